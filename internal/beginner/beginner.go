// Package beginner plays for tests that want a lively game, whatever it is worth. It knows the rules of play alone.
package beginner

import (
	"slices"

	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// liking is how much a keen beginner likes each kind of action.
var liking = map[table.ActionKind]int{table.Declare: 5, table.Mahjong: 5, table.Expose: 4, table.Exchange: 3, table.Decline: 2, table.Discard: 1}

// Action takes what a keen beginner takes: mahjong, then a claim, then an exchange, then the last discard listed that is no joker.
func Action(legal []table.Action) table.Action {
	return slices.MaxFunc(legal, func(a, b table.Action) int {
		switch joker := b.Tile == tile.Joker; {
		case liking[a.Kind] != liking[b.Kind]:
			return liking[a.Kind] - liking[b.Kind]
		case joker == (a.Tile == tile.Joker):
			return 0
		case joker:
			return 1
		}
		return -1
	})
}
