package web_test

import (
	"testing"

	"secondpass/internal/browser"
)

// atPlay is a deal against three simulated players, passed to the first discard.
func atPlay(b *book, fields ...string) string {
	b.t.Helper()
	step := b.deal(append([]string{"incoming", "table", "players", "nearest"}, fields...)...)
	for range 12 {
		if _, text := b.get(step); first(needField, text) == "" && !voteOrName(text) {
			return step
		}
		b.stepOnce(step)
	}
	b.t.Fatalf("%s never came to the play", step)
	return ""
}

func TestPlayToTheEnd(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := atPlay(b, "seed", "41")
	p := b.see(browser.Desk, step)
	claimed, tookBack := false, false
	for range 90 {
		if p.Count(".pays, .how") > 0 {
			break
		}
		switch {
		case p.Count(`[data-key=m]`) > 0:
			p.PressOn("m")
		case p.Count(`.window [data-key=c]`) > 0 && !claimed:
			claimed = true
			p.PressOn("c")
			p.UntilText(".seats", "open")
		case p.Count(`.window`) > 0:
			p.PressOn("l")
		case p.Count(`#discard`) > 0:
			p.Click(`#discard .rack input:not([data-joker])`)
			p.PressOn("Enter")
			if !tookBack {
				tookBack = true
				p.PressOn("u")
				if p.Count(`#discard`) == 0 {
					t.Fatalf("taken back, the discard is not open again: %s", p.Text("h1"))
				}
			}
		default:
			t.Fatalf("nothing is due: %s", p.Text("main"))
		}
	}
	if p.Text(".how") == "" {
		t.Fatalf("the play has no end: %s", p.Text("main"))
	}
	t.Logf("it ended: %s Claimed: %v", p.Text(".how"), claimed)
	if n := p.Count(".seats > li"); n != 4 {
		t.Errorf("the end shows %d seats", n)
	}
	p.Reload()
	if p.Text(".how") == "" {
		t.Error("after a reload the end is gone")
	}
	p.Follow(p.Named("Review this route"))
	if p.Count("main h1") != 1 {
		t.Error("the review has no heading")
	}
}
