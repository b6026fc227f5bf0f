package sim

import (
	"math"
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/stat"
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
	var given, elsewhere tile.Rack
	for step := charleston.FirstRight; step < charleston.Courtesy; step++ {
		given = given.Plus(v.Gave[step].Rack()).Minus(v.Came[step].Rack())
	}
	for seat, r := range racks {
		if charleston.Seat(seat) != v.Seat {
			elsewhere = elsewhere.Plus(r)
		}
	}
	if !elsewhere.Contains(given) {
		t.Fatalf("%s at the %s has given %s, which the others must hold; they hold %s", v.Seat, v.Step, given, elsewhere)
	}
	if _, err := charleston.FromView(*v, racks, tile.Usual); err != nil {
		t.Fatal(err)
	}
}

// What is laid out before the courtesy is like what is there: the others' racks are worth as much, and where the second Charleston is
// held they would all have voted for it.
func TestPastIsLikeTheTruth(t *testing.T) {
	l := staged(t, false)
	w, judge := l.Worker(), l.Judge.New()
	const tables = 250
	var truly, laid stat.Moments
	seconds, agreed := 0, 0
	for g := range uint64(tables) {
		racks, _ := table.Deal(tile.Usual, Stream(6, g, "deal"))
		state, err := charleston.Start(racks, house.Usual.Passing, tile.Usual)
		if err != nil {
			t.Fatal(err)
		}
		lots := Stream(6, g, "lots")
		for state.Phase() != charleston.Naming {
			if v := state.View(charleston.South); v.Step == charleston.SecondLeft && state.Waits(charleston.South) {
				racks, _, err := w.past(&v, Stream(7, g, "unseen"))
				if err != nil {
					t.Fatal(err)
				}
				seconds++
				agreed += boolInt(w.wouldVote(&layout{racks: racks, seat: v.Seat}, &v))
			}
			for seat := range charleston.Seat(charleston.Seats) {
				v := state.View(seat)
				if err := state.Apply(Decide(w.tables.Players[seat], &v), lots); err != nil {
					t.Fatal(err)
				}
			}
		}
		v := state.View(charleston.South)
		guess, _, err := w.past(&v, Stream(7, g, "unseen"))
		if err != nil {
			t.Fatal(err)
		}
		for seat := range charleston.Seat(charleston.Seats) {
			if seat != v.Seat {
				truly.Add(math.Log(judge.Worth(state.Rack(seat))))
				laid.Add(math.Log(judge.Worth(guess[seat])))
			}
		}
	}
	t.Logf("logarithm of the worth of the others' racks %.2f +- %.2f, laid out %.2f +- %.2f; of %d tables with a second Charleston the others vote for it in %d",
		truly.Mean(), truly.SE(), laid.Mean(), laid.SE(), seconds, agreed)
	if off, limit := laid.Mean()-truly.Mean(), 3*math.Hypot(truly.SE(), laid.SE()); math.Abs(off) > limit {
		t.Errorf("the others' racks are laid out %+.2f off in the logarithm of their worth; %.2f are three standard errors", off, limit)
	}
	if seconds < 30 || agreed*10 < seconds*9 {
		t.Errorf("of %d tables with a second Charleston the others would have voted for it in %d", seconds, agreed)
	}
}
