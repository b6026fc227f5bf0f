package web_test

import (
	"bytes"
	"fmt"
	"io"
	"mime/multipart"
	"net/url"
	"strings"
	"testing"
)

// upload is a form with a file.
func upload(text string, fields ...string) (body, kind string) {
	var form bytes.Buffer
	w := multipart.NewWriter(&form)
	for i := 0; i < len(fields); i += 2 {
		w.WriteField(fields[i], fields[i+1])
	}
	f, _ := w.CreateFormFile("file", "some.json")
	io.WriteString(f, text)
	w.Close()
	return form.String(), w.FormDataContentType()
}

// A student goes out as a file and comes in elsewhere; what was decided in a file of drills goes into a record; practice narrows down to a
// theme.
func TestStudentsFiles(t *testing.T) {
	t.Parallel()
	b := practice(t)
	b.student("Ana")
	b.answerDrill(2, b.showing("/practice/drills/2"), "1")
	_, file := b.get("/students/Ana/file")
	send := func(path, text string, fields ...string) (int, string) {
		body, kind := upload(text, fields...)
		return b.send("POST", path, body, "Content-Type", kind)
	}
	if code, text := send("/students/import", file); code != 422 || !strings.Contains(text, "is here already; give another name") {
		t.Errorf("the same name: %d, %s", code, shorten(text))
	}
	if code, text := send("/students/import", file, "as", "Bea"); code != 200 || !strings.Contains(text, "Bea is here with all") {
		t.Errorf("brought in: %d, %s", code, shorten(text))
	}
	ana, bea := b.dataOf("Ana"), b.dataOf("Bea")
	if len(bea.Tries) != 1 || bea.Tries[0].Drill != 2 || fmt.Sprint(bea.Memories) != fmt.Sprint(ana.Memories) || len(bea.Tries[0].Themes) == 0 {
		t.Errorf("Bea has %+v, Ana %+v", bea, ana)
	}
	for _, wrong := range []string{"", "{}", file[:40]} {
		if code, _ := send("/students/import", wrong, "as", "Cid"); code != 422 {
			t.Errorf("%.20q comes in: %d", wrong, code)
		}
	}

	b.post("/lessons/add", url.Values{"drill": {"2"}, "title": {"Week"}})
	_, drills := someDrills(t)
	answers := func(who, drill, answer string) string {
		return fmt.Sprintf(`{"format":"secondpass answers","version":1,"lesson":"Week","student":%q,"answers":[{"drill":%q,"answer":%q,"at":"2026-01-02T03:04:05Z","seconds":4}]}`, who, drill, answer)
	}
	mark := drills[1].Mark()
	for _, c := range []struct {
		text, student, want string
		code                int
	}{
		{answers("Ana", mark, "stop"), "", "1 answer in the record of Ana.", 200},
		{answers("Ana", mark, "go on"), "Bea", "1 answer in the record of Bea.", 200},
		{answers("Ana", "0000", "stop"), "", "0 answers in the record of Ana; 1 more is to a drill that no lesson here holds.", 200},
		{answers("Nobody", mark, "stop"), "", "no student Nobody", 422},
		{answers("", mark, "stop"), "", "names nobody", 422},
		{answers("Ana", mark, "1b 1b 1b"), "", "cannot be used", 422},
		{"nothing", "", "cannot be used", 422},
	} {
		if code, text := send("/students/answers", c.text, "student", c.student); code != c.code || !strings.Contains(text, c.want) {
			t.Errorf("%s: %d, wanted %d and %q: %s", c.text, code, c.code, c.want, shorten(text))
		}
	}
	if n := len(b.dataOf("Ana").Tries); n != 2 {
		t.Errorf("Ana has %d answers", n)
	}
	if _, text := b.get("/students/Ana"); !strings.Contains(text, "By theme of the rack") {
		t.Errorf("no themes: %s", shorten(text))
	}

	// The vote was tried; of racks with jokers there is the claim alone, and of flowers none.
	if path, _ := b.follow("/practice/next?theme=jokers"); !strings.HasPrefix(path, "/practice/drills/3?") || !strings.Contains(path, "theme=jokers") {
		t.Errorf("the next drill with jokers is %s", path)
	}
	if path, _ := b.follow("/practice/next?theme=flowers"); !strings.HasPrefix(path, "/practice?") {
		t.Errorf("the next drill with flowers is %s", path)
	}
	if code, _ := b.get("/practice?theme=nothing"); code != 422 {
		t.Errorf("a theme that is none: %d", code)
	}
}
