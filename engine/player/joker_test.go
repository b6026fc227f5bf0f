package player_test

import (
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/sim"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
)

// watched is a strong player whose turns are looked at.
type watched struct {
	*player.Strong
	turns, could int
	t            *testing.T
}

// Turn complains where a tile is thrown that could have been exchanged for a joker.
func (w *watched) Turn(v table.View) table.Action {
	a := w.Strong.Turn(v)
	w.turns++
	for _, other := range v.Legal() {
		if other.Kind != table.Exchange {
			continue
		}
		w.could++
		if a.Kind == table.Discard && a.Tile == other.Tile {
			w.t.Errorf("%s throws %s, for which it could have had a joker of %s, holding %s", v.Seat().Name(), a.Tile, other.From.Name(), v.Rack())
		}
	}
	return a
}

// The strong player never throws a tile for which it could have had a joker.
func TestStrongTakesTheJokerThatCostsNothing(t *testing.T) {
	c := card.Practice()
	tuning, _ := player.TuningFor(c)
	kit := prepared.Of(c).Cast(tuning).Kit()
	tables := sim.Tables{Game: table.NewGame(c, house.Usual)}
	var all [charleston.Seats]*watched
	for seat := range all {
		all[seat] = &watched{Strong: kit.New(), t: t}
		tables.Players[seat] = all[seat]
	}
	for n := range uint64(300) {
		if _, err := tables.Play(11, n); err != nil {
			t.Fatal(err)
		}
	}
	could := 0
	for _, w := range all {
		could += w.could
	}
	if could < 20 {
		t.Errorf("a joker could be had at only %d turns", could)
	}
}
