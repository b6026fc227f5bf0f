package drill

import (
	"cmp"
	"flag"
	"testing"

	"secondpass/engine/fit"
	"secondpass/engine/sim"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
)

var nearestRacks = flag.Int("racks", 500, "racks on which all ways to the nearest hand are compared")

// On random racks the nearest hands are the same, in the same order, wherever they are asked for: as the command fit lists
// them, as the account of an exercise has them with an aim and without, in the play with nothing open, and in the reasons of
// drills. The order is checked beside it by the definition in docs/measures.md.
func TestNearestAgrees(t *testing.T) {
	c := card.Practice()
	g := table.NewGame(c, house.Usual)
	x := fit.New(c)
	all, err := exercise.Hands(c, nil)
	if err != nil {
		t.Fatal(err)
	}
	free, err := exercise.NewAccountant(c, nil)
	if err != nil {
		t.Fatal(err)
	}
	aimed, err := exercise.NewAccountant(c, c.Sections[:1])
	if err != nil {
		t.Fatal(err)
	}
	points := 0 // racks whose order the points decide
	for n := range *nearestRacks {
		racks, wall := table.Deal(g.Set(), sim.Stream(20, uint64(n), "deal"))
		seat := charleston.Seat(n % charleston.Seats)
		rack := racks[seat]
		want := x.Hands(rack)
		for i := range want[1:] {
			a, b := &want[i], &want[i+1]
			if cmp.Or(cmp.Compare(a.Away, b.Away), cmp.Compare(a.MissingSingles, b.MissingSingles),
				-cmp.Compare(a.OnCard().Points, b.OnCard().Points), cmp.Compare(a.Hand, b.Hand)) >= 0 {
				t.Fatalf("%s: %s stands before %s", rack, a.OnCard().Name, b.OnCard().Name)
			}
		}
		if a, b := &want[0], &want[1]; a.Away == b.Away && a.MissingSingles == b.MissingSingles && a.Hand > b.Hand {
			points++
		}
		for name, accountant := range map[string]*exercise.Accountant{"without an aim": free, "with an aim": aimed} {
			if a := accountant.Account(rack); a.Nearest != want[0] {
				t.Fatalf("%s: the account %s has %s for %s", rack, name, a.Nearest.OnCard().Name, want[0].OnCard().Name)
			}
		}
		if a := free.Account(rack); a.Plan[0] != want[0] || a.Plan[1] != want[1] || a.Plan[2] != want[2] {
			t.Fatalf("%s: the plan of no aim begins with %s", rack, a.Plan[0].OnCard().Name)
		}
		state, err := g.Start(racks, wall)
		if err != nil {
			t.Fatal(err)
		}
		near := exercise.NearestInPlay(state.View(seat), all, len(all))
		for i := range want {
			if near[i] != want[i] {
				t.Fatalf("%s: hand %d in the play is %s, by fit %s", rack, i+1, near[i].OnCard().Name, want[i].OnCard().Name)
			}
		}
		if n%200 == 0 {
			reasonsAgree(t, c, seat, &want[0])
		}
	}
	t.Logf("%d racks; in %d the points decide which hand is nearest", *nearestRacks, points)
	if points == 0 {
		t.Error("the points never decided; other racks are needed")
	}
}

// reasonsAgree reads the nearest hand off the reasons of a drill about a pass.
func reasonsAgree(t *testing.T, c *card.Card, seat charleston.Seat, want *fit.Reading) {
	t.Helper()
	rack := want.Keep.Plus(want.Spare)
	own, err := charleston.ParcelOf(rack.Tiles()[:charleston.PassTiles]...)
	if err != nil {
		t.Fatal(err)
	}
	solo := charleston.NewSolo(seat, rack, house.Usual.Passing, nil)
	d := Drill{Position: Position{Seat: seat, View: solo.View()}, Choices: []Choice{{Action: charleston.Action{Kind: charleston.Pass, Own: own}}}}
	facts, err := d.facts(c)
	if err != nil {
		t.Fatal(err)
	}
	if best := facts[0].Before; best != *want {
		t.Fatalf("%s: the drill has %s for %s", rack, best.OnCard().Name, want.OnCard().Name)
	}
}
