package exercise

import (
	"secondpass/engine/sim"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// drawMock draws the mock passes of an exercise.
func drawMock(deal tile.Rack, set tile.Set, seed uint64) (charleston.Mock, error) {
	return charleston.DrawMock(deal, set, sim.Stream(seed, 0, "mock"))
}
