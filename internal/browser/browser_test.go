package browser

import (
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
)

func TestMain(m *testing.M) { Main(m) }

// serve answers every request with one page.
func serve(t *testing.T, html string) string {
	t.Helper()
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.Write([]byte("<!doctype html><html lang=en><title>" + r.URL.Path + "</title><meta name=viewport content='width=device-width'><main>" + html + "</main>"))
	}))
	t.Cleanup(s.Close)
	return s.URL
}

// The judges must find what is there to be found, or clean pages say nothing.
func TestJudgesSeeFaults(t *testing.T) {
	t.Parallel()
	p := Open(t, Phone, serve(t, `<h1>A page</h1><img src="data:,"><p style="color:#ccc;background:#fff">pale</p>
		<h4>No third before it</h4><p class=cap style="width:3em;overflow-wrap:normal">a caption stands alone</p><p>It came to -3.5 points.</p><a href=/one>More</a> <a href=/two>More</a>
		<div id=wide style="width:900px">too wide</div><small style="font-size:9px">tiny</small><button style="width:8px;height:8px;padding:0">x</button>`))
	has := func(what string, lines []string, want string) {
		t.Helper()
		if !slices.ContainsFunc(lines, func(l string) bool { return strings.Contains(l, want) }) {
			t.Errorf("%s: nothing about %q in %q", what, want, lines)
		}
	}
	barriers := p.Barriers()
	has("barriers", barriers, "image-alt")
	has("barriers", barriers, "color-contrast")
	has("barriers", barriers, "heading-order")
	has("stacked", p.Stacked(), "a caption stands alone")
	has("hyphened", p.Hyphened(), "-3.5")
	has("namesakes", p.Namesakes(), "more")
	has("sideways", p.Sideways(), "div#wide")
	has("small", p.Small(16), "tiny")
	has("cramped", p.Cramped(24), "8 x 8")
	p.Go(serve(t, `<h1>A page</h1><p>Nothing is wrong here.</p>`))
	for what, lines := range map[string][]string{"barriers": p.Barriers(), "sideways": p.Sideways(), "small": p.Small(16), "cramped": p.Cramped(24), "stacked": p.Stacked(), "hyphened": p.Hyphened(), "namesakes": p.Namesakes()} {
		if len(lines) > 0 {
			t.Errorf("%s on a clean page: %q", what, lines)
		}
	}
}

func TestInputAndLook(t *testing.T) {
	t.Parallel()
	p := Open(t, Look{Width: 800, Height: 600, Dark: true, Still: true}, serve(t, `<h1>Form</h1><form action=/next><label>Word <input id=w name=w></label><button>Send it</button></form>
		<script>document.addEventListener("keydown", e => document.title += " " + e.key)</script>`)+"/first")
	if !Eval[bool](p, `matchMedia("(prefers-color-scheme:dark)").matches && matchMedia("(prefers-reduced-motion:reduce)").matches && innerWidth === 800`) {
		t.Error("the look is not the one asked for")
	}
	p.Type("#w", "abc")
	p.Press("Tab", "Shift+Tab", "Right")
	if got := Eval[string](p, "document.title"); got != "/first a b c Tab Tab ArrowRight" {
		t.Errorf("keys that came: %q", got)
	}
	p.Follow(p.Named("Send it"))
	if p.Path() != "/next?w=abc" {
		t.Errorf("the form went to %s", p.Path())
	}
	p.Back()
	if p.Path() != "/first" {
		t.Errorf("back went to %s", p.Path())
	}
	Eval[bool](p, `setTimeout(() => { throw new Error("out of order") }, 0) > 0`)
	p.Until("a complaint", `true`)
	for len(p.Complaints()) == 0 {
		p.Until("a moment", `new Promise(done => setTimeout(done, 10))`)
	}
	if got := p.Complaints(); !strings.Contains(got[0], "out of order") {
		t.Errorf("complaints: %q", got)
	}
}

func TestPrint(t *testing.T) {
	t.Parallel()
	p := Open(t, Desk, serve(t, `<style>@page{size:A4 landscape}</style><h1>Paper</h1><p style="break-before:page">Second</p>`))
	if pages := Rasterise(t, p.Print(), 20); len(pages) != 2 {
		t.Errorf("%d pages, wanted 2", len(pages))
	}
}
