package web_test

import (
	"fmt"
	"strings"
	"testing"

	"secondpass/internal/browser"
)

// A card of five hands is written on a phone by tile buttons alone, with two mistakes on the way that are mended: 110 taps at most.
func TestCardByRows(t *testing.T) {
	t.Parallel()
	b := open(t)
	p := b.see(browser.Phone, "/cards")
	taps := 0
	tap := func(css string) {
		t.Helper()
		taps++
		p.Click(css)
	}
	// A tap that meets the rows while they are drawn anew may be lost; whoever sees that taps again, which counts.
	choose := func(input string) {
		t.Helper()
		for range 3 {
			tap("#pad label:has(" + input + ")")
			if browser.Eval[bool](p, fmt.Sprintf("document.querySelector(`#pad %s`).checked", input)) {
				return
			}
		}
		t.Fatalf("%s cannot be chosen", input)
	}
	taps++
	p.Type("form.stack [name=name]", "By hand")
	taps++
	p.Follow(p.Named("Begin empty, hand by hand"))
	p.Until("the rows", `!document.querySelector("#by-rows").hidden`)
	size, suit := 3, "x"
	group := func(text string) {
		t.Helper()
		symbol, own := text[:1], strings.TrimLeft(text, text[:1])
		if n := len(text) - len(own); n != size {
			size = n
			choose(fmt.Sprintf(`[name=size][value="%d"]`, n))
		}
		if own != "" && own != suit {
			suit = own
			choose(fmt.Sprintf(`[name=suit][value=%s]`, own))
		}
		tap(fmt.Sprintf(`#pad [data-symbol="%s"]`, symbol))
	}
	hand := func(groups string) {
		t.Helper()
		tap(`#pad [data-act=hand]`)
		for _, g := range strings.Fields(groups) {
			group(g)
		}
	}
	mend := func(row, chip int, groups string) {
		t.Helper()
		css := fmt.Sprintf(`#rows > li[data-line]:nth-of-type(%d) .group:nth-of-type(%d)`, row, chip)
		browser.Eval[int](p, fmt.Sprintf(`(document.querySelector("%s").scrollIntoView({block: "start"}), 0)`, css)) // a finger scrolls
		tap(css)
		group(groups)
	}
	hand("222x 44x 666y 88z FFFF")
	hand("FFF 222x 888y 44z DDx") // a tile of the fours is lacking
	p.UntilText("#rows li.now .why", "13 tiles")
	mend(3, 5, "444z")
	p.Until("no error", `document.querySelectorAll("#rows .why").length === 0`)
	p.Until("the example", `document.querySelectorAll("#rows li.now .variants svg").length === 14`)
	hand("1111x 22x 333y 44y 555z")
	hand("777x 999y 77z 88x FFFF")
	mend(5, 5, "99x") // meant was another rank
	hand("55x 666x 77y 888y 9999z")
	p.UntilText("#check [role=status]", "5 hands")
	if taps > 110 {
		t.Errorf("the card took %d taps, wanted 110 at most", taps)
	}
	t.Logf("%d taps", taps)
	for _, line := range p.Sideways() {
		t.Errorf("beyond the window: %s", line)
	}
	_, text := b.get("/cards/By%20hand/file")
	for _, want := range []string{"FFF 222x 888y 444z DDx", "777x 999y 77z 99x FFFF"} {
		if !strings.Contains(text, want) {
			t.Errorf("the card has no %s:\n%s", want, text)
		}
	}
}
