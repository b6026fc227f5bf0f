package cli

import (
	"secondpass/exercise"
	"secondpass/rules/tile"
)

// setFlags are the house rule on the tiles of the set.
type setFlags struct {
	SetFlowers int `default:"8" placeholder:"N" help:"Flowers in the set (0 to 24)." group:"House rules"`
	SetJokers  int `default:"8" placeholder:"N" help:"Jokers in the set (0 to 10)." group:"House rules"`
}

func (f *setFlags) set() (tile.Set, error) { return tile.NewSet(f.SetFlowers, f.SetJokers) }

// houseFlags are the house rules of an exercise.
type houseFlags struct {
	setFlags           `embed:""`
	NoSecondCharleston bool `help:"No second Charleston." group:"House rules"`
	NoBlind            bool `help:"No blind passes." group:"House rules"`
	NoCourtesy         bool `help:"No courtesy." group:"House rules"`
}

// usualFlags are those of the usual rules.
var usualFlags = houseFlags{setFlags: setFlags{SetFlowers: tile.UsualFlowers, SetJokers: tile.UsualJokers}}

func (f *houseFlags) house() (exercise.House, tile.Set, error) {
	h := exercise.House{Flowers: f.SetFlowers, Jokers: f.SetJokers}
	h.SecondCharleston, h.Blind, h.Courtesy = !f.NoSecondCharleston, !f.NoBlind, !f.NoCourtesy
	set, err := h.Set()
	return h, set, err
}
