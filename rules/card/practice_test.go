package card

import (
	"testing"

	"secondpass/rules/tile"
)

// The card built in reads without a warning and is the same card at every call; each of its hands can be made, and says how
// in a note of its own.
func TestPractice(t *testing.T) {
	c, warnings, err := Read("lantern.card", []byte(PracticeText), tile.Usual)
	if err != nil || len(warnings) > 0 {
		t.Fatal(err, warnings)
	}
	p := Practice()
	if p != Practice() || p.Name != "Lantern" || p.Season != "2026" || len(p.Variants) != len(c.Variants) {
		t.Errorf("card %q of %q with %d variants, read again %d", p.Name, p.Season, len(p.Variants), len(c.Variants))
	}
	names := map[string]bool{}
	for i := range p.Hands {
		h := &p.Hands[i]
		if names[h.Name] || h.Note == "" || h.First == h.End || h.Points%5 != 0 {
			t.Errorf("line %d: %+v", h.Line, h)
		}
		names[h.Name] = true
	}
	for section, name := range p.Sections {
		if len(p.SectionOf(section)) == 0 {
			t.Errorf("section %s has no hand", name)
		}
	}
	for i := range p.Variants {
		v := &p.Variants[i]
		if n := v.Small.Size() + v.Large.Size(); n != HandTiles {
			t.Errorf("a variant of %s has %d tiles: %v", p.Hands[v.Hand].Name, n, v.Groups)
		}
	}
}
