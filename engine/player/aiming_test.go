package player

import (
	"math/rand/v2"
	"testing"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// A kit made from another values racks as one made anew.
func TestKitForAnAim(t *testing.T) {
	c := card.Practice()
	tuning := Tuning{Params: General, Calibration: GeneralCalibration}
	tuning.Params.Receiver = 0.5
	aim := c.SectionOf(1)
	one, other := kitOf(c, aim, tuning).New(), kitOf(c, nil, tuning).ForAim(c, aim).New()
	if one.kit.wanted != other.kit.wanted {
		t.Error("it minds receivers otherwise")
	}
	tiles := c.Set.Tiles()
	rng := rand.New(rand.NewPCG(8, 9))
	for range 50 {
		rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
		rack := tile.RackOf(tiles[:13]...)
		if a, b := one.Worth(rack), other.Worth(rack); a != b {
			t.Fatalf("%s: chance %v and %v", rack, a, b)
		}
	}
}
