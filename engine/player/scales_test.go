package player

import (
	"math/rand/v2"
	"testing"

	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// The tile that a rack would miss least, of all, leaves the most when what is left is weighed by itself, but for lines that come within
// reach or have no say; and 14 tiles are worth what the best 13 of them are.
func TestLeastLeavesTheMost(t *testing.T) {
	const about = 1.5
	kit := kitOf(card.Practice(), nil, Tuning{Params: General})
	game := table.NewGame(card.Practice(), house.Usual)
	s := kit.New()
	rng := rand.New(rand.NewPCG(5, 14))
	for range 40 {
		racks, wall := table.Deal(tile.Usual, rng)
		state, err := game.Start(racks, wall)
		if err != nil {
			t.Fatal(err)
		}
		scales := s.Scales(state.View(charleston.East), charleston.South)
		rack, floor := racks[charleston.South], tile.Rack{}
		unseen := tile.Rack(tile.Usual).Minus(rack)
		if whole := scales.Weigh(&rack, &unseen); rack[tile.Joker] == 0 && whole > 1e-6 {
			least, left, _ := scales.Least(&floor)
			rest := map[tile.Kind]float64{}
			for k := range tile.Joker {
				if one := rack; rack[k] > 0 {
					one[k]--
					rest[k] = scales.Weigh(&one, &unseen)
				}
			}
			for k, worth := range rest {
				if worth > about*rest[least] || left > about*rest[least] || rest[least] > about*left {
					t.Errorf("%s is worth %.3g without %s, which it misses least and which leaves %.3g, and %.3g without %s", rack, rest[least], least, left, worth, k)
				}
			}
		}
		best := 0.0
		for k := range tile.Kind(tile.Kinds) {
			if one := racks[charleston.East]; one[k] > 0 {
				one[k]--
				best = max(best, s.Worth(one))
			}
		}
		if worth := s.Worth(racks[charleston.East]); best > 1e-6 && (worth > about*best || best > about*worth) {
			t.Errorf("%s is worth %.3g, the best 13 of them %.3g", racks[charleston.East], worth, best)
		}
	}
}
