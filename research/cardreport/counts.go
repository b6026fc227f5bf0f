package cardreport

import (
	"crypto/sha256"
	"fmt"

	"secondpass/engine/player"
	"secondpass/rules/house"
)

// Counts is how far a report has come, as it is kept to be gone on with.
type Counts struct {
	// Wish is what was asked for.
	Wish   Wish          `json:"wish"`
	Tuning player.Tuning `json:"tuning"`
	Tally  *Tally        `json:"tally"`
}

// Wish is how much a report counts, and by which seed.
type Wish struct {
	Deals, Games, Aimed int
	Seed                uint64
}

// Wish is how much these settings count.
func (s *Settings) Wish() Wish { return Wish{s.Deals, s.Games, s.Aimed, s.Seed} }

// Key tells what is reported on apart: by the text of the card, and the house rules.
func (s *Settings) Key() string {
	rules := s.House
	rules.Tiles = house.TilesOf(s.Card.Set)
	text := s.Card.Name + "\n" + s.Card.Source
	for _, rule := range rules.Unusual() {
		text += "\n" + rule.Said(rules)
	}
	h := sha256.Sum256([]byte(text))
	return fmt.Sprintf("%x", h[:12])
}

// GoesOn says whether counts of the same key are a part of what a survey counts, so that it comes to the same numbers from
// them as from nothing. Those of a program that tried other holdings are none.
func (s *Survey) GoesOn(c *Counts) bool {
	for _, held := range [][]int64{c.Tally.Deals.Signs.Held[finding], c.Tally.Games.Signs.Held[finding]} {
		if len(held) > 0 && len(held) != len(s.holdings) {
			return false
		}
	}
	return c.Wish.Seed == s.Seed && c.Tuning == s.Tuning && s.Hands == nil && int(c.Tally.Deals.Read) <= s.Deals &&
		int(c.Tally.Games.Played) <= s.Games && int(c.Tally.Aims.Played) <= s.AimTurns()
}
