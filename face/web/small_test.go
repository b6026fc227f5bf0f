package web_test

import (
	"compress/gzip"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"secondpass/internal/browser"
)

// What came is shown as it is typed, and the console stays silent; see checks that too.
func TestWhatCameIsShownAsTyped(t *testing.T) {
	t.Parallel()
	b := open(t)
	p := b.see(browser.Desk, b.deal("seed", "11", "incoming", "entered"))
	p.Type("[name=came]", "3b 7c")
	p.Until("two tiles", `document.querySelectorAll("#came-preview svg").length === 2`)
	p.Type("[name=came]", "x")
	p.UntilText("#came-preview .caret mark", "x")
	if n := p.Count("#rack-preview"); n != 0 {
		t.Error("the preview of a rack stands on the page of a pass")
	}
	// On a phone the tiles are tapped, no more than come, and none that cannot come.
	p.As(browser.Phone)
	p.Reload()
	p.Click(".incame summary")
	for _, code := range []string{"3b", "7c", "7c", "N"} {
		if code == "7c" && p.Count(`.incame [data-add="7c"]:disabled`) > 0 {
			t.Error("a tile cannot be tapped before three have come")
		}
		if p.Count(fmt.Sprintf(`.incame [data-add=%q]:enabled`, code)) > 0 {
			p.Click(fmt.Sprintf(`.incame [data-add=%q]`, code))
		}
	}
	p.Until("three tiles and no more", `document.querySelector("#came").value === "3b 7c 7c" && document.querySelectorAll("#came-preview svg").length === 3`)
	if got := browser.Eval[bool](p, `(() => { const b = document.querySelector("#came-preview").getBoundingClientRect(); return b.top >= 0 && b.bottom <= innerHeight })()`); !got {
		t.Error("what came is not in sight while it is tapped")
	}
	if p.Count(`.incame [data-add="J"]`) > 0 {
		t.Error("a joker can come")
	}
	p.Click(p.Named("Take the last one back"))
	p.Until("two tiles again", `document.querySelectorAll("#came-preview svg").length === 2 && !document.querySelector('.incame [data-add="N"]').disabled`)
}

// No tile typed is no rack: it is refused at the field, and no rack is dealt instead.
func TestNoTypedRackIsRefused(t *testing.T) {
	t.Parallel()
	b := open(t)
	for _, act := range []string{"rack", "enter"} {
		code, text := b.send("POST", "/exercises", url.Values{"act": {act}, "rack": {" "}}.Encode())
		if code != http.StatusUnprocessableEntity || !strings.Contains(text, "No tile is typed") {
			t.Errorf("%s with an empty field: %d, wanted 422: %s", act, code, shorten(text))
		}
	}
	if code, _ := b.get("/exercises/2"); code != http.StatusNotFound {
		t.Error("an exercise was made all the same")
	}
	// Enter in the field of the seed asks for a deal.
	if got := b.post("/exercises", url.Values{"act": {"enter"}, "seed": {"3"}}); !strings.HasPrefix(got, "/exercises/2/routes/") {
		t.Errorf("a seed alone led to %s", got)
	}
}

// The address of a form, opened again, leads to its page.
func TestFormsLeadToTheirPage(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.deal("seed", "3")
	for path, want := range map[string]string{
		step + "/decide": step, step + "/undo": step, step + "/pin": step, step + "/fork": step, step + "/rename": step, step + "/play": step,
		parent(step) + "/outlook": parent(step), parent(step) + "/rename": parent(step), parent(step) + "/delete": parent(step),
		"/exercises/import": "/exercises", "/exercises/sample": "/exercises", "/drills/find": "/drills", "/lessons/add": "/lessons",
		"/cards/Lantern/text": "/cards/Lantern", step: step, step + "/hands": step + "/hands",
	} {
		r, err := b.client.Get(b.address + path)
		if err != nil {
			t.Fatal(err)
		}
		r.Body.Close()
		if r.StatusCode != http.StatusOK || r.Request.URL.Path != want {
			t.Errorf("GET %s: %d at %s, wanted %s", path, r.StatusCode, r.Request.URL.Path, want)
		}
	}
	for _, path := range []string{"/nowhere", "/exercises/99", "/drills/99", step + "/nothing"} {
		if code, _ := b.get(path); code != http.StatusNotFound {
			t.Errorf("GET %s: %d, wanted 404", path, code)
		}
	}
}

// Pages travel compressed (RFC 9110, 8.4.1.3) to whoever takes gzip, and plain to whoever does not.
func TestPagesAreCompressed(t *testing.T) {
	t.Parallel()
	b := open(t)
	ask := func(path, coding string) (*http.Response, []byte) {
		t.Helper()
		r, err := http.NewRequest("GET", b.address+path, nil)
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Accept-Encoding", coding)
		res, err := b.client.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		defer res.Body.Close()
		text, err := io.ReadAll(res.Body)
		if err != nil {
			t.Fatal(err)
		}
		return res, text
	}
	for _, path := range []string{"/exercises/1", "/assets/look.css", "/assets/workbook.js"} {
		plain, text := ask(path, "identity")
		if plain.Header.Get("Content-Encoding") != "" {
			t.Errorf("%s is sent as %q to a browser that takes no coding", path, plain.Header.Get("Content-Encoding"))
		}
		res, packed := ask(path, "gzip")
		if res.Header.Get("Content-Encoding") != "gzip" || len(packed)*2 > len(text) {
			t.Errorf("%s: coding %q, %d bytes of %d", path, res.Header.Get("Content-Encoding"), len(packed), len(text))
			continue
		}
		z, err := gzip.NewReader(strings.NewReader(string(packed)))
		if err != nil {
			t.Fatal(err)
		}
		if back, err := io.ReadAll(z); err != nil || string(back) != string(text) {
			t.Errorf("%s is another text when it is unpacked (%v)", path, err)
		}
	}
}

// A name of 80 letters without a blank widens no page, on a phone or a desktop.
func TestLongNamesStayOnThePage(t *testing.T) {
	t.Parallel()
	b := open(t)
	name := strings.Repeat("Wm", 40)
	step := b.deal("seed", "7", "name", name)
	second := b.post(step+"/fork", url.Values{"at": {"0"}, "name": {name}})
	b.post("/cards", url.Values{"name": {name}, "text": {strings.Replace(faulty, "My card", name, 1)}})
	b.post("/practice", url.Values{"act": {"add"}, "name": {name}})
	lesson := b.post("/lessons", url.Values{"title": {name}})
	b.post("/lessons/add", url.Values{"exercise": {number(step)}, "route": {name}, "at": {"0"}, "lesson": {strings.TrimPrefix(lesson, "/lessons/")}})
	p := browser.Open(t, browser.Phone, b.address+"/help")
	for _, path := range []string{"/exercises", "/exercises?q=" + name, parent(step), second, second + "/hands", second + "/advice", second + "/review", second + "/record",
		parent(step) + "/pictures", "/cards", "/cards/" + name + "/edit", "/lessons", lesson, "/students", "/students/" + name, "/practice", "/classes", "/drills"} {
		p.Go(b.address + path)
		browser.Eval[int](p, `document.querySelectorAll("details").forEach(d => d.open = true), 0`)
		for _, look := range []browser.Look{browser.Phone, browser.Desk} {
			p.As(look)
			for _, line := range p.Sideways() {
				t.Errorf("%s, %d wide: %s", strings.ReplaceAll(path, name, "NAME"), look.Width, strings.ReplaceAll(line, name, "NAME"))
			}
		}
	}
}

// The line that leaves where routes part looks like the route it leads to.
func TestBranchLooksLikeItsRoute(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.deal("seed", "7")
	for range 2 {
		b.post(step+"/fork", url.Values{"at": {"0"}})
	}
	p := b.see(browser.Desk, parent(step)+"?routes=A,C")
	branch := browser.Eval[string](p, `(s => s.borderTopStyle + " " + s.borderTopColor)(getComputedStyle(document.querySelector(".fork .branch")))`)
	route := browser.Eval[string](p, `(s => s.borderTopStyle + " " + s.borderTopColor)(getComputedStyle(document.querySelectorAll(".heads .badge")[1]))`)
	if branch != route || !strings.HasPrefix(branch, "dotted") {
		t.Errorf("the branch to C is %s, its badge %s", branch, route)
	}
	p.Go(b.address + parent(step) + "?routes=A,B,C")
	if got := browser.Eval[string](p, `[...document.querySelectorAll(".fork .branch")].map(e => getComputedStyle(e).borderTopStyle).join(" ")`); got != "dashed dotted" {
		t.Errorf("three routes leave by lines that are %s", got)
	}
}
