package web_test

import (
	"html"
	"net/url"
	"regexp"
	"strings"
	"testing"
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
	typed := b.deal("seed", "11", "name", "Real tiles", "incoming", "entered")
	if _, text := b.get(parent(typed) + "/replies"); !strings.Contains(text, "typed in") {
		t.Errorf("an exercise with entered passes:\n%s", text)
	}
}
