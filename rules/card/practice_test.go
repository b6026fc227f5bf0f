package card

import (
	"testing"

	"secondpass/rules/tile"
)

// The card built in reads without a warning and is the same card at every call.
func TestPractice(t *testing.T) {
	c, warnings, err := Read("lantern.card", []byte(PracticeText), tile.Usual)
	if err != nil || len(warnings) > 0 {
		t.Fatal(err, warnings)
	}
	p := Practice()
	if p != Practice() || p.Name != "Lantern" || p.Season != "2026" || len(p.Variants) != len(c.Variants) {
		t.Errorf("card %q of %q with %d variants, read again %d", p.Name, p.Season, len(p.Variants), len(c.Variants))
	}
}
