package web_test

import (
	"strings"
	"testing"

	"secondpass/internal/browser"
)

// faulty has its error in line 3: a hand of 12 tiles.
const faulty = `card     Own
section  Evens
25 exposed    222x 44x 666y FFFF
30 concealed  FFF 246x 888y 24z DDDx
`

func TestCardWithAnErrorMended(t *testing.T) {
	t.Parallel()
	b := open(t)
	p := b.see(browser.Desk, "/cards")
	p.Type(`form.stack [name=name]`, "Own card")
	browser.Eval[string](p, `document.querySelector("form.stack [name=text]").value = "`+strings.ReplaceAll(faulty, "\n", `\n`)+`"`) // as pasted
	p.Follow(p.Named("Write the card"))
	p.UntilText("#check", "1 error")
	if got := p.Text("#check .problems"); !strings.Contains(got, "Line 3") || !strings.Contains(got, "12 tiles") {
		t.Errorf("the error is told as %q, wanted its line and the 12 tiles", got)
	}
	if got := p.Text("#gutter .wrong"); !strings.HasSuffix(got, "3") {
		t.Errorf("the margin marks line %q, wanted 3", got)
	}
	p.Click("#check .problems button")
	p.Until("the cursor in line 3", `(() => { const f = document.querySelector("#text"); return document.activeElement === f && f.value.slice(0, f.selectionStart).split("\n").length === 3 })()`)
	p.Press("End")
	p.Press("Left", "Left", "Left", "Left")
	for _, key := range "88y " {
		p.Press(string(key))
	}
	p.UntilText("#check [role=status]", "2 hands")
	if p.Count("#check .problems") != 0 {
		t.Errorf("the error is mended and still told: %s", p.Text("#check"))
	}
	p.UntilText("#check", "The hand in this line")
	if p.Count("#check .variants .strip") < 2 {
		t.Error("no examples of the hand under the cursor")
	}

	// An exercise with the card keeps it as it was, whatever becomes of the card.
	step := b.deal("card", "Own card", "seed", "51")
	p.Press("End")
	p.Press(" ", "x")
	p.UntilText("#check", "1 error")
	p.UntilText("#check [role=status]", "draft")
	p.Go(b.address + step)
	if p.Count(".hands > li") != 2 {
		t.Errorf("the exercise shows %d nearest hands of a card of two", p.Count(".hands > li"))
	}
	p.Go(b.address + "/cards")
	p.UntilText(".entries", "a draft with errors waits")
	p.Click(`summary[aria-label="More for Own card"]`)
	p.Follow(p.Named("Delete"))
	p.UntilText(".said", "deleted")
	p.Go(b.address + parent(step) + "/card")
	p.UntilText("main", "Evens 2")
}
