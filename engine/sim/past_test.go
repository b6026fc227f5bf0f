package sim

import (
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// At every decision of real tables the past that is laid out leads to what the seat knows: all tiles
// are there once, its rack is its own, and whoever got its last tiles still holds them unless blind passes may
// have moved them on.
func TestPastAgreesWithTheView(t *testing.T) {
	game := table.NewGame(card.Practice(), house.Usual)
	l := &Lookahead{Game: game}
	flexible, err := prepared.Of(card.Practice()).Cast(player.Tuning{Params: player.General}).Player("flexible")
	if err != nil {
		t.Fatal(err)
	}
	for seat := range l.Players {
		l.Players[seat] = flexible
	}
	ahead, tables := l.Worker(), l.Worker()
	decisions := 0
	for g := range uint64(40) {
		racks, _ := table.Deal(tile.Usual, Stream(6, g, "deal"))
		state, err := charleston.Start(racks, house.Usual.Passing, tile.Usual)
		if err != nil {
			t.Fatal(err)
		}
		lots := Stream(6, g, "lots")
		for state.Phase() != charleston.Over {
			for seat := range charleston.Seat(charleston.Seats) {
				if !state.Waits(seat) {
					continue
				}
				v := state.View(seat)
				checkPast(t, ahead, &v, g)
				decisions++
				if err := state.Apply(Decide(tables.tables.Players[seat], &v), lots); err != nil {
					t.Fatal(err)
				}
			}
		}
		for seat := range charleston.Seat(charleston.Seats) {
			v := state.View(seat)
			checkPast(t, ahead, &v, g)
			if _, err := ahead.Out(&v, 6, g); err != nil {
				t.Fatal(err)
			}
		}
	}
	if decisions < 1000 {
		t.Errorf("only %d decisions", decisions)
	}
}

func checkPast(t *testing.T, a *Ahead, v *charleston.View, g uint64) {
	t.Helper()
	racks, wall, err := a.past(v, Stream(6, g, "past"))
	if err != nil {
		t.Fatalf("%s at the %s: %v", v.Seat, v.Step, err)
	}
	all := tile.RackOf(wall...)
	for seat, r := range racks {
		all = all.Plus(r)
		if r.Size() != charleston.Seat(seat).DealtTiles() {
			t.Fatalf("%s holds %d tiles", charleston.Seat(seat), r.Size())
		}
	}
	if all != tile.Rack(tile.Usual) || racks[v.Seat] != v.Rack {
		t.Fatalf("%s at the %s: the tiles do not make the set, or the own rack differs", v.Seat, v.Step)
	}
	for seat, known := range given(v) {
		if !racks[seat].Contains(known) {
			t.Fatalf("%s does not hold %s, which it got last", charleston.Seat(seat), known)
		}
	}
	if v.Phase == charleston.Over {
		return
	}
	if _, err := charleston.FromView(*v, racks, tile.Usual); err != nil {
		t.Fatal(err)
	}
}
