package exercise

import (
	"secondpass/engine/fit"
	"secondpass/rules/table"
)

// Nearest is the n hands, of those given (indices of the card's Hands in rising order), that are nearest and that the open
// groups still allow, in the one order of nearness, see [fit.NearestBeside].
func (g *Game) Nearest(hands []int, n int) []fit.Reading { return NearestInPlay(g.View(), hands, n) }

// NearestInPlay is the n hands, of those given (indices of the card's Hands in rising order), that are nearest to what
// the seat that looks has in the play, see [Game.Nearest].
func NearestInPlay(v table.View, hands []int, n int) []fit.Reading {
	return fit.NearestBeside(v.Game().Card(), v.Rack(), openOf(v), hands, n)
}

// WaysInPlay reads every variant that the open groups of the seat that looks still allow, best first.
func WaysInPlay(v table.View) []fit.Reading {
	return fit.WaysBeside(v.Game().Card(), v.Rack(), openOf(v))
}

// openOf is what lies open before the seat that looks.
func openOf(v table.View) fit.Open {
	open := fit.Open{Variants: v.Variants(v.Seat())}
	groups, count := v.Open(v.Seat())
	for _, e := range groups[:count] {
		open.Tiles[e.Tile] += e.Size
	}
	return open
}
