package web_test

import (
	"fmt"
	"strings"
	"testing"

	"secondpass/internal/browser"
)

func TestRefusedPass(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.deal("seed", "5", "jokers", "1..2")
	p := b.see(browser.Desk, step)
	p.Click(`.rack input[data-joker]`)
	p.UntilText("#refusal", "A joker is never passed.")
	if p.Count(".rack input:checked") != 0 {
		t.Error("the joker is chosen all the same")
	}
	choose(p, 3)
	if p.Text("#refusal") != "" {
		t.Error("the refusal stays although a good tile was chosen")
	}
	choose(p, 1)
	p.UntilText("#refusal", "Only three can go.")
	if p.Count(".rack input:checked") != 3 || p.Count("#going li") != 3 {
		t.Error("a fourth tile is chosen")
	}

	// Without script nothing stops the choice, so the server refuses it in its own words and keeps what was chosen.
	p = b.see(browser.Look{Plain: true, Still: true}, step)
	p.Click(`.rack input[data-joker]`)
	choose(p, 2)
	p.Follow("#go")
	if got := p.Text(`[role=alert]`); !strings.Contains(strings.ToLower(got), "joker") {
		t.Errorf("the server says %q, wanted something about the joker", got)
	}
	if p.Count(".rack input:checked") != 3 {
		t.Error("the server's refusal forgets what was chosen")
	}
	p.Click(`.rack input[data-joker]`)
	choose(p, 1)
	p.Follow("#go")
	p.UntilText("h1", "Three across")
}

// tabTo walks with Tab to what is named so.
func tabTo(t *testing.T, p *browser.Page, name string) {
	t.Helper()
	for range 60 {
		p.Press("Tab")
		if strings.HasPrefix(browser.Eval[string](p, `(document.activeElement.innerText || "").trim()`), name) {
			return
		}
	}
	t.Fatalf("Tab never came to %q", name)
}

// chooseByKeys walks the rack with the arrow and chooses so many tiles with Space.
func chooseByKeys(p *browser.Page, n int) {
	for n > 0 {
		p.Press("Right")
		if browser.Eval[bool](p, `document.activeElement.matches(".rack input:not([data-joker]):not(:checked)")`) {
			p.Press("Space")
			n--
		}
	}
}

// The whole Charleston without a pointer, with each key of the list once.
func TestCharlestonByKeyboard(t *testing.T) {
	t.Parallel()
	b := open(t)
	p := b.see(browser.Desk, "/exercises")
	tabTo(t, p, "Deal a rack")
	p.PressOn("Enter")
	p.UntilText("h1", "Three to the right")

	pinned := func(n int) {
		t.Helper()
		p.Until(fmt.Sprintf("%d hands pinned", n), fmt.Sprintf(`document.querySelectorAll(".hands [data-pinned]").length === %d`, n))
	}
	for n, key := range []string{"1", "2", "3"} {
		p.Shift(key)
		pinned(n + 1)
	}
	p.Shift("1")
	pinned(2)
	p.Press("2") // a digit alone answers a number that is asked for, and none is
	pinned(2)

	chooseByKeys(p, 2)
	p.Press("Left")
	if browser.Eval[bool](p, `document.querySelector("#go").disabled`) != true {
		t.Error("the pass is open with two tiles")
	}
	chooseByKeys(p, 1)
	p.PressOn("Enter")
	p.UntilText("h1", "Three across")
	p.PressOn("u")
	p.UntilText("h1", "Three to the right")
	chooseByKeys(p, 3)
	p.PressOn("Enter")
	chooseByKeys(p, 3)
	p.PressOn("Enter")
	p.UntilText("h1", "Three to the left")

	p.Press("b", "b")
	chooseByKeys(p, 1)
	p.UntilText("#go", "Pass this one")
	p.PressOn("Enter")
	p.UntilText("h1", "Stop here, or go on?")
	if n := p.Count(`.last .passed use[href="#t-unseen"]`); n != 2 {
		t.Errorf("%d tiles went unseen, wanted 2", n)
	}
	p.PressOn("g")
	for _, head := range []string{"Three to the left", "Three across", "Three to the right"} {
		p.UntilText("h1", head)
		chooseByKeys(p, 3)
		p.PressOn("Enter")
	}
	p.UntilText("h1", "Courtesy: how many across?")
	p.PressOn("f")
	p.UntilText(".others", "B")
	tabTo(t, p, "None")
	p.PressOn("Enter")
	p.UntilText("h1", "The passing is over")

	tabTo(t, p, "Compare the routes")
	p.PressOn("Enter")
	p.Press("Down")
	from := browser.Eval[string](p, `document.activeElement.closest("tr")?.innerText ?? ""`)
	p.Press("Down")
	if to := browser.Eval[string](p, `document.activeElement.closest("tr")?.innerText ?? ""`); from == "" || to == from {
		t.Errorf("on the sheet the arrow went from %q to %q", from, to)
	}
	p.PressOn("?")
	p.UntilText("#keys", "Keys")
}

// Nothing is lost by a reload, by the way back, by a second tap, or by a second tab that has grown old.
func TestNothingIsLost(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.deal("seed", "21")
	p := b.see(browser.Desk, step)
	other := p.Beside(b.address + step)
	choose(p, 3)
	p.DoubleClick("#go")
	p.UntilText("h1", "Three across")
	passed := p.Text(".last .moves")
	p.Reload()
	if p.Text("h1") != "Three across" || p.Text(".last .moves") != passed || p.Count(".rack input") != 13 {
		t.Errorf("the reload shows another page: %s", p.Text("main"))
	}

	choose(other, 3)
	other.Follow("#go")
	if got := other.Text("[role=alert]"); !strings.Contains(got, "decided already") {
		t.Errorf("the old tab is told %q", got)
	}
	if got := other.Text("h1"); got != "Three across" {
		t.Errorf("the old tab shows %q, wanted where the route stands", got)
	}
	choose(other, 3)
	other.Follow("#go")
	other.UntilText("h1", "Three to the left")

	// The first tab is now the old one, and the way back leads to a page that is older still or made afresh. Whatever it
	// shows, what was decided stands.
	const decided = `[...document.querySelectorAll(".routes .moves")].slice(0, 2).map(m => [...m.querySelectorAll("svg")].map(e => e.getAttribute("aria-label")).join(", ")).join("; ")`
	sheet := other.Beside(b.address + parent(step))
	before := browser.Eval[string](sheet, decided)
	p.Back()
	choose(p, 3)
	p.Follow("#go")
	sheet.Reload()
	if after := browser.Eval[string](sheet, decided); after != before || strings.Count(before, "passed") != 6 {
		t.Errorf("the first two passes were %q and after the way back are %q", before, after)
	}
}

// The orders of the rack keep the same tiles and what is chosen; the own order is kept for the next page.
func TestOrders(t *testing.T) {
	t.Parallel()
	b := open(t)
	p := b.see(browser.Desk, b.deal("seed", "22"))
	const codes = `[...document.querySelectorAll(".rack li")].map(li => li.dataset.code).join(" ")`
	suit := browser.Eval[string](p, codes)
	choose(p, 1)
	for _, order := range []string{"rank", "plan", "own"} {
		p.Click(`input[name=sort][value=` + order + `]`)
		if got := browser.Eval[string](p, codes); len(got) != len(suit) || p.Count(".rack input:checked") != 1 {
			t.Errorf("by %s the rack is %q with %d chosen; by suit it was %q", order, got, p.Count(".rack input:checked"), suit)
		}
	}
	if browser.Eval[string](p, codes) != suit {
		t.Error("the own order does not begin as the rack lies")
	}
	p.Press("Tab", "Tab", "Shift+Right")
	moved := browser.Eval[string](p, codes)
	if moved == suit {
		t.Error("Shift and the arrow moved no tile")
	}
	p.Reload()
	if got := browser.Eval[string](p, codes); got != moved {
		t.Errorf("after a reload the own order is %q, wanted %q", got, moved)
	}
}
