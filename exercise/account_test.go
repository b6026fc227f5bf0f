package exercise

import (
	"testing"

	"secondpass/engine/fit"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// With a plan pinned the nearest hand, its spares and "clean" stay those of the whole card, and the plan has its own.
func TestNearestIsOfTheWholeCard(t *testing.T) {
	c := card.Practice()
	rack := tile.MustParse("3445b 17c 46689d FF J")
	want := fit.New(c).Hands(rack)[0]
	for _, section := range c.Sections {
		j, err := NewAccountant(c, []string{section})
		if err != nil {
			t.Fatal(err)
		}
		a := j.Account(rack)
		if a.Nearest != want || a.SpareBest != want.Spare {
			t.Errorf("with %s the nearest hand is %s, spare %s", section, a.Nearest.OnCard().Name, a.SpareBest)
		}
		hands, err := Hands(c, []string{section})
		if err != nil {
			t.Fatal(err)
		}
		if first := fit.Of(c, hands).Hands(rack)[0]; a.Plan[0] != first || (a.PlanApart() == nil) != (first.Hand == want.Hand) {
			t.Errorf("the plan of %s begins with %s", section, a.Plan[0].OnCard().Name)
		}
	}
}
