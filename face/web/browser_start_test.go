package web_test

import (
	"strings"
	"testing"

	"secondpass/internal/browser"
)

// clicks counts the clicks of a way through the workbook.
type clicks struct {
	*browser.Page
	n int
}

func (c *clicks) follow(css string) {
	c.n++
	c.Follow(css)
}

// choose clicks the first tiles that may be passed, so many.
func choose(p *browser.Page, n int) {
	for range n {
		p.Click(`.rack input:not(:checked):not([data-joker])`)
	}
}

func TestFirstPassWithinThreeClicks(t *testing.T) {
	t.Parallel()
	b := open(t)
	c := &clicks{Page: b.see(browser.Desk, "/")}
	if got := c.Path(); got != "/exercises" {
		t.Fatalf("the first page is %s", got)
	}
	for range 3 {
		if c.Count("#pass .rack input") > 0 {
			break
		}
		c.follow("button.first")
	}
	if c.n > 3 || c.Count("#pass .rack input") != 13 {
		t.Fatalf("after %d clicks there are %d tiles to pass", c.n, c.Count("#pass .rack input"))
	}
	if browser.Eval[bool](c.Page, `!document.querySelector("#go").disabled`) {
		t.Error("the button is open although nothing is chosen")
	}
	choose(c.Page, 3)
	c.UntilText("#go", "Pass these three")
	if got := c.Count("#going li"); got != 3 {
		t.Errorf("%d tiles lie in the tray, wanted 3", got)
	}
	if c.Count("details.closed[open]") > 0 || c.Count(".cands") > 0 {
		t.Error("the advice is open before the decision")
	}
	c.Follow("#go")
	c.UntilText("h1", "Three across")
	if c.Count(".last .passed") != 3 || c.Count(`.last use[href="#m-came"]`) != 3 {
		t.Error("the page does not show the three tiles passed and the three that came")
	}
}

func TestTypedRack(t *testing.T) {
	t.Parallel()
	b := open(t)
	p := b.see(browser.Desk, "/exercises")
	shown := func(text string, tiles string, says ...string) {
		t.Helper()
		p.Type("#rack", text)
		p.Until("the tiles "+tiles, `[...document.querySelectorAll("#rack-preview svg use:first-child")].map(u => u.getAttribute("href").slice(3)).join(" ") === "`+tiles+`"`)
		for _, s := range says {
			p.UntilText("#rack-preview", s)
		}
	}
	shown("3457", "", "suit")
	shown("b", "3b 4b 5b 7b", "4 tiles, 9 to go")
	shown(" 44x", "3b 4b 5b 7b")
	p.UntilText("#rack-preview mark", "x")
	if got := p.Text("#rack-preview .caret"); got != "3457b 44x" {
		t.Errorf("under the tiles stands %q, wanted the text up to the error", got)
	}
	p.Press("Backspace")
	shown("c NEWS 0 FF", "3b 4b 5b 7b 4c 4c N E W S 0 F F", "13 tiles: a whole rack")
	shown("J", "3b 4b 5b 7b 4c 4c N E W S 0 F F J", "14 tiles", "so you are the dealer")
	shown(" 1d", "3b 4b 5b 7b 4c 4c 1d N E W S 0 F F J", "13 are right, or 14 for the dealer")
	p.Press("Backspace", "Backspace")
	shown(" ", "3b 4b 5b 7b 4c 4c N E W S 0 F F J", "so you are the dealer")
	p.PressOn("Enter")
	if got := p.Count(".rack input"); got != 14 {
		t.Fatalf("Enter in the field led to %s with %d tiles, wanted the pass with 14", p.Path(), got)
	}

	p.Go(b.address + "/exercises")
	p.Click(p.Named("Click the tiles instead"))
	for range 4 {
		p.Click(`[data-add="9d"]`)
	}
	p.Click(`[data-add="J"]`)
	p.Click(p.Named("Take the last one back"))
	p.UntilText("#rack-preview", "4 tiles, 9 to go")
	p.Follow(p.Named("Use this rack"))
	if got := p.Text(".why"); !strings.Contains(got, "4 tiles") || browser.Eval[string](p, `document.querySelector("#rack").value`) != "9d 9d 9d 9d" {
		t.Errorf("a short rack is refused with %q and the field holds %q", got, browser.Eval[string](p, `document.querySelector("#rack").value`))
	}
}

// Search, rename, duplicate, delete with undo, and the file out and in again.
func TestListOfExercises(t *testing.T) {
	t.Parallel()
	b := open(t)
	b.deal("seed", "3", "name", "First of all")
	p := b.see(browser.Desk, "/exercises")
	p.Type("#q", "FIRST")
	p.PressOn("Enter")
	if n := p.Count(".entries > li"); n != 1 || p.Text(".entries a") != "First of all" {
		t.Fatalf("found %d exercises, first %q", n, p.Text(".entries a"))
	}
	p.Click(".acts-of summary")
	browser.Eval[string](p, `document.querySelector(".acts-of [name=name]").value = ""`)
	p.Type(".acts-of [name=name]", "Another name")
	p.Follow(p.Named("Rename"))
	p.UntilText(".entries", "Another name")
	p.Click(".acts-of summary")
	p.Follow(p.Named("Duplicate"))
	p.UntilText("h1", "Another name 2")
	p.Go(b.address + "/exercises")
	p.Click(".acts-of summary")
	p.Follow(p.Named("Delete"))
	p.UntilText(".said", "deleted")
	p.Follow(p.Named("Undo"))
	p.UntilText("h1", "Another name")
}
