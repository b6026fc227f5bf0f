package web_test

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"secondpass/internal/browser"
)

// bottom is where an element ends, in pixels from the top of the page.
func bottom(p *browser.Page, css string) float64 {
	return browser.Eval[float64](p, fmt.Sprintf(`Math.max(...[...document.querySelectorAll(%q)].map(e => e.getBoundingClientRect().bottom + scrollY))`, css))
}

// Rack, tray, what came and the four nearest hands stand on one screen, on a phone without the hands; fourteen tiles stand on one line.
func TestSeenAtOnce(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.deal("seed", "7", "seat", "E")
	b.stepOnce(step)
	p := b.see(browser.Desk, step)
	for _, c := range []struct {
		width, height int
		all           []string
	}{
		{1280, 800, []string{"#pass .rack", ".tray", ".last", ".hands.near li:nth-child(4) .strip"}},
		{360, 740, []string{"#pass .rack", ".tray", ".last .moves"}},
	} {
		p.As(browser.Look{Width: c.width, Height: c.height, Still: true})
		for _, css := range c.all {
			if got := bottom(p, css); got > float64(c.height) || got <= 0 {
				t.Errorf("at %d x %d %s ends at %.0f", c.width, c.height, css, got)
			}
		}
	}
	if n := p.Count("#pass .rack li"); n != 14 {
		t.Fatalf("the dealer has %d tiles", n)
	}
	for _, width := range []int{1024, 1100, 1239, 1240, 1280, 1440, 1700, 1920} {
		p.As(browser.Look{Width: width, Height: 900, Still: true})
		if rows := browser.Eval[int](p, `new Set([...document.querySelectorAll("#pass .rack li")].map(e => Math.round(e.getBoundingClientRect().top))).size`); rows != 1 {
			t.Errorf("at %d the rack stands on %d lines", width, rows)
		}
		if tile := browser.Eval[float64](p, `document.querySelector("#pass .rack svg").getBoundingClientRect().width`); tile < 44 {
			t.Errorf("at %d a tile is %.1f px wide, wanted 44 to be tapped", width, tile)
		}
	}
	p.As(browser.Look{Width: 1920, Height: 1080, Still: true})
	if used := browser.Eval[float64](p, `document.querySelector("main").getBoundingClientRect().width`); used < 1700 {
		t.Errorf("of 1920 px %.0f are used", used)
	}
}

// What came has a wedge above it and what is spare a ring below, each said in words too; the legend names what for.
func TestMarksOfTheRack(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.deal("seed", "7")
	b.stepOnce(step)
	p := b.see(browser.Desk, step)
	marked := func(mark string) []string {
		return browser.Eval[[]string](p, fmt.Sprintf(`[...document.querySelectorAll("#pass .rack li:has([href='#m-%s'])")].map(e => e.dataset.code).sort()`, mark))
	}
	came := browser.Eval[[]string](p, `[...document.querySelectorAll(".last .moves > div:last-child use:first-child")].map(e => e.getAttribute("href").slice(3)).sort()`)
	if got := marked("came"); len(got) != 3 || !slices.Equal(got, came) {
		t.Errorf("the wedges are on %v, and %v came", got, came)
	}
	// The nearest hand says in words what is spare for it.
	nearest := func() string {
		_, spare, _ := strings.Cut(browser.Eval[string](p, `document.querySelector(".hands.near .needs").textContent`), "spare ")
		spare, _, _ = strings.Cut(spare, ".")
		return spare
	}
	inWords := func(mark string) string {
		return browser.Eval[string](p, fmt.Sprintf(`[...document.querySelectorAll("#pass .rack li:has([href='#m-%s']) input")].map(e => e.getAttribute("aria-label")).join("; ")`, mark))
	}
	name := p.Text(".hands.near h3")
	if spare := nearest(); len(marked("spare")) == 0 || strings.Count(inWords("spare"), ", spare") != len(marked("spare")) || len(strings.Join(strings.Fields(spare), "")) < len(marked("spare")) {
		t.Errorf("the rings are on %v, called %q; spare is %q", marked("spare"), inWords("spare"), spare)
	}
	p.UntilText("#legend", "spare for "+name+", the nearest hand")
	before := marked("spare")

	// Another hand as the plan: the marks are for it now, in place.
	p.Click(`.hands.near li:nth-child(3) .pinning button`)
	p.UntilText("#legend", "spare for the plan")
	if got := p.Text(".standing dd"); !strings.HasPrefix(got, fmt.Sprint(len(marked("spare")))) {
		t.Errorf("%d tiles are marked, and %s are said to be spare (before: %v)", len(marked("spare")), got, before)
	}

	// Drills show none before the answer, and the order by plan parts spare copies from kept ones.
	p.Click(`#pass .sort label:has([value=plan])`)
	order := browser.Eval[string](p, `[...document.querySelectorAll("#pass .rack li")].map(e => "spare" in e.dataset ? "s" : "k").join("")`)
	if kept, rest, ok := strings.Cut(order, "s"); !ok || strings.Contains(rest, "k") || kept == "" {
		t.Errorf("by plan the rack stands as %s, wanted all that is kept before all that is spare", order)
	}
}

// Pinning leaves the chosen tiles chosen, the page where it is scrolled to, and the focus on the hand.
func TestPinningInPlace(t *testing.T) {
	t.Parallel()
	b := open(t)
	p := b.see(browser.Phone, b.deal("seed", "7"))
	choose(p, 2)
	browser.Eval[int](p, `(scrollTo(0, 500), window.testSamePage = true, 0)`)
	at := browser.Eval[float64](p, `(document.querySelector(".hands.near li:nth-child(2) .pinning button").scrollIntoView({block: "center"}), scrollY)`)
	p.Click(`.hands.near li:nth-child(2) .pinning button`)
	p.Until("the plan", `document.querySelector(".plan-head") !== null`)
	if !browser.Eval[bool](p, `window.testSamePage === true`) || p.Count("#pass .rack input:checked") != 2 || p.Count("#going li") != 2 {
		t.Error("the page was loaded anew, or what was chosen is gone")
	}
	if now := browser.Eval[float64](p, `scrollY`); now < at-1 || now > at+1 {
		t.Errorf("the page scrolled from %.0f to %.0f", at, now)
	}
	if !browser.Eval[bool](p, `document.activeElement.matches("[data-pinned]")`) {
		t.Error("the focus is not on the hand that was pinned")
	}
	pinned := p.Text(".plan-head + .hands h3")
	p.Click(`.plan-head + .hands.near .pinning button[name=only], .hands.near:last-of-type .pinning button[name=only]`)
	p.Until("another plan", fmt.Sprintf(`document.querySelectorAll("#beside [data-pinned]").length === 1 && document.querySelector(".plan-head + .hands h3").innerText !== %q`, pinned))
}

// A refusal stands at the field that caused it, and that has the focus.
func TestRefusalsStandAtTheirField(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.deal("seed", "11", "incoming", "entered")
	plain := browser.Look{Plain: true, Still: true}
	p := b.see(plain, step)
	choose(p, 3)
	p.Type("[name=came]", "3b 3x")
	p.Follow("#go")
	p.Until("the focus on what came", `document.activeElement.name === "came"`)
	if p.Count(".came + #came-preview + .why[role=alert]") != 1 || p.Count(".why:not([hidden])") != 1 || p.Count(".rack input:checked") != 3 {
		t.Error("the refusal does not stand at what came, or what was chosen is lost")
	}
	p = b.see(plain, b.deal("seed", "5", "jokers", "1..2"))
	p.Click(`.rack input[data-joker]`)
	choose(p, 2)
	p.Follow("#go")
	p.Until("the focus on the refusal", `document.activeElement.id === "refusal"`)
	if !strings.Contains(strings.ToLower(p.Text("#refusal")), "joker") {
		t.Errorf("a joker was refused with %q", p.Text("#refusal"))
	}
	for _, c := range []struct{ field, value string }{{"rack", "12q"}, {"rack", "9b"}, {"jokers", "9"}, {"has", "5b5b5b5b5b"}, {"best_away", "a"}, {"seed", "-1"}} {
		p.Go(b.address + "/exercises")
		browser.Eval[int](p, fmt.Sprintf(`(document.querySelectorAll("details").forEach(d => d.open = true), document.querySelector("[name=%s]").value = %q, 0)`, c.field, c.value))
		p.Follow(map[bool]string{true: "button[value=rack]:not([hidden])", false: "button[value=deal]"}[c.field == "rack"])
		p.Until("the focus on "+c.field, fmt.Sprintf(`document.activeElement.matches("[name=%s][aria-invalid=true]")`, c.field))
		if n := p.Count(".why[role=alert]"); n != 1 {
			t.Errorf("%s %q is refused in %d places", c.field, c.value, n)
		}
	}
}

// Tiles can be typed to choose them, with and without script.
func TestTypedPass(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.post("/exercises", url.Values{"act": {"rack"}, "rack": {"22 3 8b 44 9c 15d W FF J"}})
	p := b.see(browser.Desk, step)
	p.Press("t")
	p.Press("2", "2", "b")
	p.UntilText("#go", "Choose 1 more")
	p.Press("J")
	p.UntilText("#refusal", "A joker is never passed.")
	p.Press("Backspace", "b")
	p.UntilText("#go", "Choose 1 more")
	p.Press("Backspace", "2", "b")
	p.UntilText("#refusal", "The rack has no further 2b.")
	p.Press("Backspace", "Backspace", "W")
	p.UntilText("#go", "Pass these three")
	if n := p.Count("#refusal:not([hidden])"); n != 0 {
		t.Error("the refusal stays although all is well")
	}
	p.PressOn("Enter")
	p.UntilText("h1", "Three across")
	if got := browser.Eval[string](p, `[...document.querySelectorAll(".last .passed use:first-child")].map(e => e.getAttribute("href").slice(3)).join(" ")`); got != "2b 2b W" {
		t.Errorf("passed %s", got)
	}
	step = b.post("/exercises", url.Values{"act": {"rack"}, "rack": {"22 3 8b 44 9c 15d W FF J"}})
	b.post(step+"/decide", url.Values{"at": {"0"}, "typed": {"9c1dW"}})
	if code, text := b.send("POST", step+"/decide", url.Values{"at": {"1"}, "typed": {"77d"}}.Encode()); code != http.StatusUnprocessableEntity {
		t.Errorf("tiles that the rack does not hold: %d: %s", code, shorten(text))
	}
}
