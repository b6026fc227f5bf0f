package web_test

import (
	"testing"

	"secondpass/internal/browser"
)

// acted counts what somebody does on a way through the workbook, besides one click for each tile passed.
type acted struct {
	*browser.Page
	t            *testing.T
	clicks, keys int
}

func (l *acted) click(css string) {
	l.clicks++
	l.Click(css)
}

func (l *acted) follow(css string) {
	l.clicks++
	l.Follow(css)
}

func (l *acted) press(keys ...string) {
	l.keys += len(keys)
	l.Press(keys...)
}

// pass chooses so many tiles and passes them, and comes to a heading.
func (l *acted) pass(tiles int, next string) {
	l.t.Helper()
	choose(l.Page, tiles)
	l.follow("#go")
	l.UntilText("h1", next)
}

// A whole lesson: 14 tiles typed, a plan, the seven steps with a blind pass, the vote, another plan and the courtesy, to the
// comparison; then another route from the deal with another plan. Nothing is chosen for whoever teaches.
func TestLessonInFewActs(t *testing.T) {
	t.Parallel()
	b := open(t)
	l := &acted{Page: b.see(browser.Desk, "/exercises"), t: t}
	l.click("#rack")
	for _, key := range "22338b449c15dWFFJ" {
		l.press(string(key))
	}
	l.keys++
	l.PressOn("Enter")
	l.UntilText("h1", "Three to the right")
	if n := l.Count("#pass .rack input"); n != 14 || l.Count("#pass .rack input:checked") != 0 || l.Count(".plan-head") != 0 {
		t.Fatalf("the page begins with %d tiles, %d of them chosen, and %d plans", n, l.Count("#pass .rack input:checked"), l.Count(".plan-head"))
	}
	l.click(".hands.near li:nth-child(1) .pinning button")
	l.Until("a plan", `document.querySelector(".plan-head")`)
	l.pass(3, "Three across")
	l.pass(3, "Three to the left")
	l.click(".blind label:has([value='1'])")
	l.pass(2, "Stop here, or go on?")
	l.follow("button[name=stop][value=no]")
	first := l.Text(".plan-head + .hands h3")
	l.click(".plan-head + .hands.near + .plan-head + .hands.near li:nth-child(1) button[name=only]")
	l.Until("another plan", `document.querySelector(".plan-head + .hands h3").innerText !== "`+first+`"`)
	l.pass(3, "Three across")
	l.pass(3, "Three to the right")
	l.pass(3, "Courtesy: how many across?")
	l.follow("button[name=count][value='1']")
	for l.Count("#pass") == 1 { // the other side may name none
		choose(l.Page, 1)
		l.follow("#go")
	}
	l.UntilText("h1", "The passing is over")
	l.follow("main .btn.first")
	l.UntilText("#comparison h2", "Where the route stands")
	if l.clicks > 14 || l.keys > 23 {
		t.Errorf("the lesson took %d clicks and %d keys, wanted 14 and 23 at most", l.clicks, l.keys)
	}
	t.Logf("the lesson took %d clicks and %d keys", l.clicks, l.keys)

	l.clicks = 0
	l.follow(`.routes button[aria-label^="fork here, Dealt"]`)
	l.UntilText("h1", "Three to the right")
	l.click(".plan-head + .hands.near + .plan-head + .hands.near li:nth-child(2) button[name=only]")
	l.Until("the plan of the second route", `document.querySelector(".plan-head + .hands h3").innerText !== "`+first+`"`)
	l.pass(3, "Three across")
	l.pass(3, "Three to the left")
	l.pass(3, "Stop here, or go on?")
	l.follow("button[name=stop][value=yes]")
	l.follow("button[name=count][value='0']")
	l.UntilText("h1", "The passing is over")
	l.follow("main .btn.first")
	l.UntilText("#comparison h2", "Comparison")
	if l.clicks > 8 {
		t.Errorf("the second route took %d clicks, wanted 8 at most", l.clicks)
	}
	t.Logf("the second route took %d clicks", l.clicks)
}

// By keyboard alone a pass of three of any tiles takes eight keys, the vote one.
func TestPassByFewKeys(t *testing.T) {
	t.Parallel()
	b := open(t)
	l := &acted{Page: b.see(browser.Desk, b.deal("seed", "31", "no-blind", "yes")), t: t}
	for _, next := range []string{"Three across", "Three to the left", "Stop here, or go on?"} {
		tiles := browser.Eval[[]string](l.Page, `[...document.querySelectorAll("#pass .rack input:not([data-joker])")].map(i => i.value).sort((a, b) => b.length - a.length).slice(0, 3)`)
		l.keys = 0
		l.press("t")
		for _, code := range tiles {
			for _, key := range code {
				l.press(string(key))
			}
		}
		l.keys++
		l.PressOn("Enter")
		l.UntilText("h1", next)
		if l.keys > 8 {
			t.Errorf("passing %v took %d keys, wanted 8 at most", tiles, l.keys)
		}
	}
	l.PressOn("g")
	l.UntilText("h1", "Three to the left")
}
