package web_test

import (
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
)

var itemRevision = regexp.MustCompile(`name="revision" value="([0-9]+)"`)

// Whatever is pressed on a lesson's page, all that was typed there is kept; what cannot be kept stands there as it was typed.
func TestNothingTypedIsLost(t *testing.T) {
	t.Parallel()
	b := practice(t)
	path := b.post("/lessons/add", url.Values{"drill": {"1", "2", "3"}, "title": {"Monday"}})
	page := func() string { _, text := b.get(path); return text }
	form := func(act string, more ...string) url.Values {
		f := url.Values{"revision": {first(itemRevision, page())}, "act": {act}, "title": {"Evening " + act}, "note": {"word " + act}, "teacher": {"page " + act}}
		for n := 1; n <= 3; n++ {
			f.Set(fmt.Sprintf("note-%d", n), fmt.Sprintf("own %d %s", n, act))
		}
		for i := 0; i+1 < len(more); i += 2 {
			f.Set(more[i], more[i+1])
		}
		return f
	}
	notes := func(want ...string) {
		t.Helper()
		text := page()
		at := 0
		for _, note := range want {
			next := strings.Index(text[at:], ">"+note+"<")
			if next < 0 {
				t.Fatalf("%q does not stand in its place: %s", note, shorten(text))
			}
			at += next
		}
	}
	b.post(path, form("down-1"))
	notes("own 2 down-1", "own 1 down-1", "own 3 down-1", "word down-1", "page down-1")
	b.post(path, form("up-3"))
	notes("own 1 up-3", "own 3 up-3", "own 2 up-3", "word up-3", "page up-3")
	b.post(path, form("keep", "order", "3,1,2"))
	notes("own 3 keep", "own 1 keep", "own 2 keep", "word keep")
	if to := b.post(path, form("remove-2")); to != path {
		t.Errorf("taking out leads to %s", to)
	}
	notes("own 1 remove-2", "own 3 remove-2", "word remove-2")

	// What cannot be kept, and what another window was faster with, stands on the page.
	for what, f := range map[string]url.Values{"too long": form("keep", "title", strings.Repeat("x", 101)), "an order": form("keep", "order", "1,1"),
		"no item": form("up-9"), "another window": form("keep", "revision", "1")} {
		code, text := b.send("POST", path, f.Encode(), "Content-Type", "application/x-www-form-urlencoded")
		want := http.StatusUnprocessableEntity
		if what == "another window" {
			want = http.StatusConflict
		}
		for _, typed := range []string{"own 1 " + f.Get("act"), "own 2 " + f.Get("act"), "word " + f.Get("act"), "page " + f.Get("act")} {
			if code != want || !strings.Contains(text, ">"+typed+"<") {
				t.Errorf("%s: %d, and %q is gone: %s", what, code, typed, shorten(text))
			}
		}
	}
	notes("own 1 remove-2", "own 3 remove-2", "word remove-2")
	b.post(path, form("delete"))
	b.post(path+"/restore", nil)
	notes("own 1 delete", "own 2 delete", "page delete")
}

// A ready lesson becomes one of the user's own, as often as is wanted; its page for the teacher goes onto the answer sheet.
func TestReadyLessons(t *testing.T) {
	t.Parallel()
	b := open(t)
	_, text := b.get("/lessons")
	names := regexp.MustCompile(`name="name" value="([a-z]+)"`).FindAllStringSubmatch(text, -1)
	if len(names) != 6 {
		t.Fatalf("%d ready lessons are offered, wanted 6", len(names))
	}
	path := b.post("/lessons/ready", url.Values{"name": {names[0][1]}})
	if again := b.post("/lessons/ready", url.Values{"name": {names[0][1]}}); again == path {
		t.Error("a second copy is the first")
	}
	if _, text := b.get(path); !strings.Contains(text, "Aim: students") || strings.Count(text, "data-number") != 4 {
		t.Errorf("the lesson lacks its drills or the page for the teacher: %s", shorten(text))
	}
	if code, pdf := b.get(path + "/answers.pdf"); code != 200 || !strings.HasPrefix(pdf, "%PDF") {
		t.Errorf("the answer sheet: %d", code)
	}
	if code, _ := b.send("POST", "/lessons/ready", "name=nothing", "Content-Type", "application/x-www-form-urlencoded"); code != 404 {
		t.Errorf("a ready lesson that there is not: %d", code)
	}
}
