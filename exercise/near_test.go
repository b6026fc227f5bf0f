package exercise

import (
	"slices"
	"testing"

	"secondpass/engine/fit"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Through whole games: with nothing open the nearest hand is as far as package fit has it, and at any time nothing
// is away exactly when the hand may be declared.
func TestNearestInPlay(t *testing.T) {
	c := card.Practice()
	all, err := Hands(c, nil)
	if err != nil {
		t.Fatal(err)
	}
	rater := fit.NewRater(fit.New(c))
	open := 0
	for seed := range uint64(4) {
		e := newExercise(t, charleston.Seat(seed), TablePasses, seed)
		playOut(t, e, e.Routes[0], func(legal []table.Action) table.Action {
			trail, err := e.Replay(e.Routes[0])
			if err != nil {
				t.Fatal(err)
			}
			v := trail.Game.View()
			near := trail.Game.Nearest(all, 1)
			rack := v.Rack()
			if _, n := v.Open(e.Seat); n > 0 {
				open++
			} else if want := rater.Away(&rack); near[0].Away != want {
				t.Errorf("%s: %d away, by package fit %d", rack, near[0].Away, want)
			}
			declares := slices.ContainsFunc(legal, func(a table.Action) bool { return a.Kind == table.Declare })
			if v.Phase() == table.Discarding && declares != (near[0].Away == 0) {
				t.Errorf("%s: %d away, may declare: %v", rack, near[0].Away, declares)
			}
			return greedy(trail.Game, all, legal)
		})
	}
	if open == 0 {
		t.Error("nothing was laid open in any game; other seeds are needed")
	}
}

// greedy claims whatever it can and keeps what the nearest hand uses.
func greedy(g *Game, all []int, legal []table.Action) table.Action {
	last := legal[len(legal)-1]
	if last.Kind != table.Discard {
		return last
	}
	near := g.Nearest(all, 1)[0]
	v := g.View().Game().Card().Variants[near.Variant]
	needed, rack := v.Small.Plus(v.Large), g.View().Rack()
	for _, a := range legal {
		if a.Kind == table.Discard && a.Tile < tile.Joker && rack[a.Tile] > needed[a.Tile] {
			return a
		}
	}
	return legal[0]
}
