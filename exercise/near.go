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
	open := fit.Open{Variants: v.Variants(v.Seat())}
	groups, count := v.Open(v.Seat())
	for _, e := range groups[:count] {
		open.Tiles[e.Tile] += e.Size
	}
	return fit.NearestBeside(v.Game().Card(), v.Rack(), open, hands, n)
}
