package exercise

import (
	"secondpass/engine/fit"
	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Board is a moment as one seat may see it, complete: what screens, paper and phones all show.
type Board struct {
	Seat charleston.Seat
	Rack tile.Rack
	// Before is the steps of the passing that are over; none in play.
	Before []Passed
	// Table is what lies open, in play; nil in the passing.
	Table *OpenTable
	// Near is the nearest hands, best first, as many as a plan has.
	Near []fit.Reading
}

// Passed is a step that is over: what went and what came. Blind is how many tiles were handed on unseen.
type Passed struct {
	Step       charleston.Step
	Gave, Came charleston.Parcel
	Blind      int
}

// OpenTable is what everybody sees in play.
type OpenTable struct {
	// Waiting says that a discard waits for answers: Discard of From.
	Waiting bool
	From    charleston.Seat
	Discard tile.Kind
	// Open is the groups laid open, by seat, Lying the discards that nobody took, in the order of play, without the one
	// that waits.
	Open  [charleston.Seats][]table.Exposure
	Lying []tile.Kind
	// Wall is the number of tiles left.
	Wall int
}

// BoardOf is a moment of the passing.
func BoardOf(c *card.Card, v *charleston.View) *Board {
	b := &Board{Seat: v.Seat, Rack: v.Rack}
	for step := charleston.FirstRight; step < charleston.Steps; step++ {
		if gave, blind := v.Gave[step], v.Blind[step]; gave.Len() > 0 || step != charleston.Courtesy && blind > 0 {
			b.Before = append(b.Before, Passed{step, gave, v.Came[step], blind})
		}
	}
	b.Near, _ = fit.NewRater(prepared.Of(c).Index()).Nearest(&v.Rack, player.PlanHands, nil)
	return b
}

// BoardInPlay is a moment of the play.
func BoardInPlay(v table.View) *Board {
	b := &Board{Seat: v.Seat(), Rack: v.Rack(), Table: &OpenTable{Wall: v.WallLeft()}}
	for seat := range charleston.Seat(charleston.Seats) {
		groups, n := v.Open(seat)
		b.Table.Open[seat] = append([]table.Exposure(nil), groups[:n]...)
	}
	last := v.Discards()
	if d, waits := v.Claimable(); waits {
		b.Table.Waiting, b.Table.From, b.Table.Discard = true, d.Seat, d.Tile
		last--
	}
	for i := range last {
		if d := v.Discard(i); !d.Claimed {
			b.Table.Lying = append(b.Table.Lying, d.Tile)
		}
	}
	hands := make([]int, len(v.Game().Card().Hands))
	for i := range hands {
		hands[i] = i
	}
	b.Near = NearestInPlay(v, hands, player.PlanHands)
	return b
}
