package web_test

import (
	"bytes"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"secondpass/engine/player"
	"secondpass/rules/card"
)

// send is a request with headers as a browser or a foreign page would set them.
func (b *book) send(method, path, body string, headers ...string) (int, string) {
	b.t.Helper()
	r, err := http.NewRequest(method, b.address+path, strings.NewReader(body))
	if err != nil {
		b.t.Fatal(err)
	}
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	for i := 0; i+1 < len(headers); i += 2 {
		if headers[i] == "Host" {
			r.Host = headers[i+1]
			continue
		}
		r.Header.Set(headers[i], headers[i+1])
	}
	return b.answer(b.client.Do(r))
}

// What a page elsewhere could make the user's browser send. Sec-Fetch-Site and Origin are set by browsers and cannot be
// set by scripts: Fetch standard (forbidden request-headers) and Fetch Metadata (W3C).
func TestForeignRequestsAreRefused(t *testing.T) {
	t.Parallel()
	b := open(t)
	for _, c := range []struct {
		what, method, path string
		headers            []string
		want               int
	}{
		{"a form on another site", "POST", "/exercises", []string{"Sec-Fetch-Site", "cross-site", "Origin", "https://elsewhere.example"}, 403},
		{"a form on another port of this machine", "POST", "/exercises", []string{"Sec-Fetch-Site", "same-site", "Origin", "http://127.0.0.1:1"}, 403},
		{"an old browser's foreign origin", "POST", "/exercises", []string{"Origin", "https://elsewhere.example"}, 403},
		{"a sandboxed frame", "POST", "/exercises", []string{"Origin", "null"}, 403},
		{"a deletion from another site", "POST", "/exercises/1/delete", []string{"Sec-Fetch-Site", "cross-site"}, 403},
		{"a name that was bent to this machine", "GET", "/exercises", []string{"Host", "elsewhere.example"}, 403},
		{"such a name with the right port", "POST", "/exercises", []string{"Host", "elsewhere.example:7520"}, 403},
		{"our own form", "POST", "/exercises", []string{"Sec-Fetch-Site", "same-origin", "Origin", b.address}, 200},
		{"a program without a browser", "POST", "/exercises", nil, 200},
		{"this machine by its usual name", "GET", "/exercises", []string{"Host", "localhost:7520"}, 200},
		{"this machine by its newer address", "GET", "/exercises", []string{"Host", "[::1]:7520"}, 200},
	} {
		if code, text := b.send(c.method, c.path, "", c.headers...); code != c.want {
			t.Errorf("%s: %d, wanted %d: %s", c.what, code, c.want, shorten(text))
		}
	}
	if code, _ := b.get("/exercises/1"); code != 200 {
		t.Error("the sample exercise is gone: a foreign request got through")
	}
}

func TestSizes(t *testing.T) {
	t.Parallel()
	b := open(t)
	if code, _ := b.send("POST", "/exercises", "act=deal&name="+strings.Repeat("x", 2<<20)); code != http.StatusRequestEntityTooLarge {
		t.Errorf("a form of 2 MB: %d, wanted 413", code)
	}
	upload := func(size int) int {
		var body bytes.Buffer
		w := multipart.NewWriter(&body)
		f, _ := w.CreateFormFile("file", "exercise.json")
		io.WriteString(f, strings.Repeat(" ", size))
		w.Close()
		code, _ := b.send("POST", "/exercises/import", body.String(), "Content-Type", w.FormDataContentType())
		return code
	}
	if code := upload(9 << 20); code != http.StatusRequestEntityTooLarge {
		t.Errorf("a file of 9 MB: %d, wanted 413", code)
	}
	if code := upload(2 << 20); code != http.StatusUnprocessableEntity {
		t.Errorf("a file of 2 MB blanks: %d, wanted 422", code)
	}
}

// Every address with a wrong number, name or place answers 404 or 422 with a sentence, never 500 and never a panic.
func TestWrongAddresses(t *testing.T) {
	t.Parallel()
	b := open(t)
	for path, want := range map[string]int{
		"/nowhere": 404, "/exercises/": 404, "/exercises/99": 404, "/exercises/0": 404, "/exercises/-1": 404, "/exercises/x": 404,
		"/exercises/99999999999999999999": 404, "/exercises/1%00": 404, "/exercises/1/file/x": 404, "/exercises/99/file": 404,
		"/exercises/1/routes/Z": 404, "/exercises/1/routes/": 404, "/exercises/99/routes/A": 404, "/exercises/1/routes/Z/hands": 404,
		"/exercises/1?routes=7": 404, "/exercises/1?routes=x": 404, "/exercises/1?routes=-1": 404,
		"/exercises/1/routes/A/advice?at=99": 404, "/exercises/1/routes/A/advice?at=-1": 404, "/exercises/1/routes/A/advice?at=x": 404,
		"/exercises/1/routes/A/advice": 422, // it has come to its end
		// Where nothing runs a stream says so and ends: whoever comes back after a restart is told what is kept.
		"/exercises/1/routes/A/advice/live?at=0": 200, "/exercises/1/outlook/live": 200, "/assets/nothing.css": 404, "/assets/../server.go": 404,
		"/cards/nothing": 404, "/cards/nothing/edit": 404, "/cards/..%2f..%2fsecret": 404, "/cards/nothing/file": 404, "/exercises/99/card": 404,
		"/exercises/99/pictures": 404, "/exercises/1/routes/A/picture?at=99": 404,
		"/exercises/1/file": 200, "/exercises/1?routes=1,0": 200,
	} {
		code, text := b.get(path)
		if code != want {
			t.Errorf("GET %s: %d, wanted %d: %s", path, code, want, shorten(text))
		}
	}
	for path, want := range map[string]int{
		"/exercises/99/delete": 404, "/exercises/99/restore": 404, "/exercises/99/rename": 404, "/exercises/99/duplicate": 404, "/exercises/99/outlook": 404,
		"/exercises/1/routes/Z/decide": 404, "/exercises/1/routes/Z/fork": 404, "/exercises/1/routes/Z/remove": 404, "/exercises/1/routes/Z/pin": 404,
		"/exercises/1/routes/A/decide": 409, "/exercises/1/routes/A/undo": 409, // forms without the place
		"/exercises/1/routes/A/fork": 422, "/exercises/1/rename": 422, "/exercises/1/routes/A/rename": 422,
		"/exercises/1/routes/A/play": 409, "/cards/nothing/text": 404, "/cards/nothing/delete": 404, "/cards/nothing/restore": 404,
		"/nowhere": 404, "/exercises/1/file": 404,
	} {
		if code, text := b.send("POST", path, ""); code != want {
			t.Errorf("POST %s: %d, wanted %d: %s", path, code, want, shorten(text))
		}
	}
}

// The forms without any script: all fields of the first page, a pass, refusals that keep what was entered.
func TestFormsWithoutScript(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.deal("seed", "7", "jokers", "1..2", "no-blind", "yes", "seat", "E", "name", "By hand")
	_, text := b.get(step)
	if n := len(tileField.FindAllString(text, -1)); n != 14 {
		t.Fatalf("the dealer has %d tiles to choose from, wanted 14", n)
	}
	refuse := func(want int, says string, f url.Values) {
		t.Helper()
		f.Set("at", "0")
		code, text := b.send("POST", step+"/decide", f.Encode())
		if code != want || !strings.Contains(text, says) {
			t.Errorf("%v: %d, wanted %d with %q: %s", f, code, want, says, shorten(text))
		}
	}
	var natural []string
	for _, m := range tileField.FindAllStringSubmatch(text, -1) {
		if m[1] != "J" {
			natural = append(natural, m[1])
		}
	}
	refuse(422, "joker", url.Values{"tile": {"J", natural[0], natural[1]}})
	refuse(422, "", url.Values{"tile": natural[:2]})
	refuse(422, "three are the most", url.Values{"tile": natural[:4]})
	refuse(422, "no tile", url.Values{"tile": {"nonsense"}})
	refuse(422, "", url.Values{"tile": {"9b", "9b", "9b"}})
	refuse(422, "", url.Values{"tile": natural[:3], "blind": {"1"}})
	refuse(422, "number is right", url.Values{"tile": natural[:3], "blind": {"x"}})
	if got := b.post(step+"/decide", url.Values{"at": {"0"}, "tile": natural[:3]}); got != step {
		t.Errorf("after the pass: %s, wanted %s", got, step)
	}
	refuse(409, "decided already", url.Values{"tile": natural[:3]})
	if _, text := b.get(step); first(headField, text) != "Three across" {
		t.Errorf("after one pass the page says %q", first(headField, text))
	}
	for field, value := range map[string]string{"rack": "12q", "seed": "-1", "seat": "X", "card": "nothing", "jokers": "9", "has": "5b5b5b5b5b", "best_away": "a", "set-flowers": "99", "incoming": "x"} {
		code, text := b.send("POST", "/exercises", url.Values{field: {value}}.Encode())
		if code != 422 || !strings.Contains(text, `class="why"`) {
			t.Errorf("the first page with %s=%s: %d, wanted 422 with the reason", field, value, code)
		}
	}
}

// Pages of paper come as PDFs on the paper asked for, and a lesson changed in two windows is not overwritten.
func TestPaperAndTwoWindows(t *testing.T) {
	b := open(t)
	for _, path := range []string{"/exercises/1/paper?routes=0,1&paper=a4", "/exercises/1/paper?of=summary&routes=0,1"} {
		res, err := http.Get(b.address + path)
		if err != nil {
			t.Fatal(err)
		}
		head := make([]byte, 5)
		_, err = io.ReadFull(res.Body, head)
		res.Body.Close()
		if err != nil || res.StatusCode != http.StatusOK || string(head) != "%PDF-" {
			t.Errorf("%s: %d, %q, %v", path, res.StatusCode, head, err)
		}
	}
	post := func(path string, form url.Values) int {
		res, err := http.PostForm(b.address+path, form)
		if err != nil {
			t.Fatal(err)
		}
		res.Body.Close()
		return res.StatusCode
	}
	if got := post("/lessons", url.Values{"title": {"Evening"}}); got != http.StatusOK {
		t.Fatal(got)
	}
	if got := post("/lessons/1", url.Values{"revision": {"1"}, "act": {"title"}, "title": {"Monday"}}); got != http.StatusOK {
		t.Errorf("the first window: %d", got)
	}
	if got := post("/lessons/1", url.Values{"revision": {"1"}, "act": {"title"}, "title": {"Tuesday"}}); got != http.StatusConflict {
		t.Errorf("the second window, with what the first has changed: %d", got)
	}
}

// What fails in a simulation may name files and people: who watches is told a plain sentence.
func TestCauseOfAFailureIsNotShown(t *testing.T) {
	t.Parallel()
	b := open(t)
	id := player.Fingerprint(card.Practice())
	if err := os.MkdirAll(filepath.Join(b.dir, "tuned", id+".json"), 0o755); err != nil { // a folder where a file is read
		t.Fatal(err)
	}
	b.post("/drills/find", url.Values{"card": {id}, "count": {"1"}, "seed": {"1"}})
	told := b.watchWork("/drills/live?what=find&card=" + id)
	if strings.Contains(told, b.dir) || strings.Contains(told, "directory") || !strings.Contains(told, "Something failed inside the program") {
		t.Errorf("a search that fails tells %s", told)
	}
}
