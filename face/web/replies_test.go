package web_test

import (
	"fmt"
	"html"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"secondpass/exercise"
	"secondpass/internal/browser"
	"secondpass/rules/charleston"
	"secondpass/teach/reply"
)

// The codes of an exercise's own routes are shown, and what comes back with them is counted; texts without a code and exercises
// that have none are told so.
func TestReplies(t *testing.T) {
	b := open(t)
	step := b.deal("seed", "11", "name", "Monday")
	b.stepOnce(step)
	b.post(step+"/fork", url.Values{"at": {"0"}})
	path := parent(step) + "/replies"
	_, text := b.get(path)
	codes := regexp.MustCompile(`class="code">(2P-[^<]+)<`).FindAllStringSubmatch(text, -1)
	if len(codes) != 2 {
		t.Fatalf("%d codes on the page:\n%s", len(codes), text)
	}
	sent := "Rosa <b>: " + codes[0][1] + "\nTom: " + codes[1][1] + "\nEd: " + codes[0][1][:len(codes[0][1])-1] + "\n"
	code, text := b.send("POST", path, url.Values{"text": {sent}}.Encode())
	if code != 200 {
		t.Fatalf("%d:\n%s", code, text)
	}
	for _, want := range []string{"2 readers in 3 codes, 0 at the end of the passing", "First right", "<b>1 reader</b>", "Rosa &lt;b&gt;", "Line 3", "a letter is wrong"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the page:\n%s", want, text)
		}
	}
	if code, text := b.send("POST", path, "text=none"); code != 422 || !strings.Contains(html.UnescapeString(text), "No reply code stands in this text") {
		t.Errorf("no code: %d\n%s", code, text)
	}
	// What was counted is taken away; as a drawing, names are text.
	for as, begins := range map[string]string{"csv": "line,reader,code", "json": "{\n  \"replies\": [", "pdf": "%PDF", "png": "\x89PNG", "svg": "<svg"} {
		code, file := b.send("POST", path, url.Values{"text": {sent}, "act": {as}}.Encode())
		if code != 200 || !strings.HasPrefix(file, begins) {
			t.Errorf("%s: %d %.60q", as, code, file)
		}
	}
	// Of a crowd the page shows the first lines, the table all.
	var crowd strings.Builder
	whole := stopped(t, stored(b, number(step)).Fresh())
	for n := range 230 {
		fmt.Fprintf(&crowd, "Reader %d: %s\nSpoilt %d: %s\n", n, whole, n, whole[:len(whole)-1])
	}
	_, text = b.send("POST", path, url.Values{"text": {crowd.String()}}.Encode())
	if n := strings.Count(text, "130 more are in the table"); n != 2 || !strings.Contains(text, "Reader 29 and 200 more") {
		t.Errorf("a crowd: %d lists are cut:\n%s", n, text)
	}
	if _, table := b.send("POST", path, url.Values{"text": {crowd.String()}, "act": {"csv"}}.Encode()); strings.Count(table, "Reader ") != 230*5 {
		t.Errorf("the table has %d lines of readers", strings.Count(table, "Reader "))
	}
	if code, text := b.get(path + "?of=000000"); code != 404 || !strings.Contains(text, "paste it again") {
		t.Errorf("what nobody collected: %d\n%s", code, text)
	}
	typed := b.deal("seed", "11", "name", "Real tiles", "incoming", "entered")
	if _, text := b.get(parent(typed) + "/replies"); !strings.Contains(text, "typed in") {
		t.Errorf("an exercise with entered passes:\n%s", text)
	}
}

// stopped is the code of the shortest passing there is: it ends after the first three passes, with no courtesy.
func stopped(t *testing.T, e *exercise.Exercise) string {
	t.Helper()
	for {
		trail, err := e.Replay(e.Routes[0])
		if err != nil {
			t.Fatal(err)
		}
		if trail.Now.Phase() == charleston.Over {
			break
		}
		view := trail.Now.View()
		legal := view.Legal()
		a := legal[0]
		for _, other := range legal {
			if other.Stop {
				a = other
			}
		}
		if _, err := e.Do(e.Routes[0].Name, exercise.Decision{Own: a.Own, Count: a.Count, Stop: a.Stop}); err != nil {
			t.Fatal(err)
		}
	}
	code, err := reply.Code(e, e.Routes[0])
	if err != nil {
		t.Fatal(err)
	}
	return code
}

// A reader's whole passing is judged while the page is watched, and goes into the record of the student of that name.
func TestRepliesCost(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.deal("seed", "11", "name", "Monday")
	b.post("/practice", url.Values{"act": {"add"}, "name": {"Rosa"}})
	b.post("/practice", url.Values{"act": {"add"}, "name": {"Annabel"}})
	path := parent(step) + "/replies"
	code := stopped(t, stored(b, number(step)))
	sent := url.Values{"text": {"Rosá: " + code + "\nAnn <b>: " + code}, "act": {"judge"}}
	at := b.post(path, sent)
	of := regexp.MustCompile(`[?]of=[0-9a-f]+`).FindString(at)
	_, text := b.get(path + "/live" + of) // to its end
	for _, want := range []string{"The lowest cost: Rosá", "A passing cost", "Keep it in the records of Rosa"} {
		if !strings.Contains(text, want) {
			t.Fatalf("%q is not told:\n%s", want, text)
		}
	}
	sent.Set("act", "record")
	b.post(path, sent)
	_, text = b.get(path + "/live" + of)
	p := browser.Open(t, browser.Phone, b.address+path+of)
	p.UntilText("#tally", "Kept in the records of Rosa")
	judge(t, p, "replies-counted")
	if _, whole := b.get(path + of); !strings.Contains(whole, "Rosá: 2P-") {
		t.Errorf("the page does not show what was collected:\n%s", whole)
	}
	if !strings.Contains(text, "Kept in the records of Rosa.") {
		t.Errorf("nothing is kept:\n%s", text)
	}
	if _, text := b.get("/students/Rosa"); !strings.Contains(text, "Monday") {
		t.Errorf("the record does not tell of it:\n%s", text)
	}

	// Who gave another name is linked by hand.
	if _, text := b.get("/students/Annabel"); strings.Contains(text, "Monday") {
		t.Error("a reader is taken for a student of another name")
	}
	p.Click(p.Named("Other readers’ records"))
	browser.Eval[string](p, `document.querySelector("select[name=student]").value = "Annabel"`)
	judge(t, p, "replies-linked")
	p.Click(p.Named("Keep it in their records"))
	p.UntilText("#tally", "Kept in the records of Rosa, Annabel")
	if _, text := b.get("/students/Annabel"); !strings.Contains(text, "Monday") {
		t.Errorf("the record does not tell of it:\n%s", text)
	}
	sent.Set("reader", "Ann <b>")
	sent.Set("student", "Nobody")
	if code, text := b.send("POST", path, sent.Encode()); code != 404 || !strings.Contains(text, "no such student") {
		t.Errorf("a student who is none: %d", code)
	}
}
