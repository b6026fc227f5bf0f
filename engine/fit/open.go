package fit

import (
	"slices"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// Open is what lies open before a player: the tiles for which its groups stand (jokers counted as these), and the variants
// that the groups allow, as indices of Card.Variants in rising order.
type Open struct {
	Tiles    tile.Rack
	Variants []int32
}

// NearestBeside is the readings of the n nearest hands for a rack beside what lies open, best first: of each hand still
// possible its best variant, in the order of [Rater.Nearest]. hands, indices of Card.Hands in rising order, are those that
// count. There are none where no hand is possible any more.
func NearestBeside(c *card.Card, rack tile.Rack, open Open, hands []int, n int) []Reading {
	best := make([]*Reading, len(c.Hands))
	for _, v := range open.Variants {
		hand := c.Variants[v].Hand
		if _, counts := slices.BinarySearch(hands, hand); !counts {
			continue
		}
		r := read(c, int(v), &rack, &open.Tiles)
		if best[hand] == nil || r.place().compare(best[hand].place()) < 0 {
			best[hand] = &r
		}
	}
	var near []Reading
	for _, r := range best {
		if r != nil {
			near = append(near, *r)
		}
	}
	slices.SortFunc(near, func(a, b Reading) int { return a.place().compare(b.place()) })
	return near[:min(n, len(near))]
}

// WaysBeside reads a rack against every variant that what lies open allows, best first.
func WaysBeside(c *card.Card, rack tile.Rack, open Open) []Reading {
	ways := make([]Reading, len(open.Variants))
	for i, v := range open.Variants {
		ways[i] = read(c, int(v), &rack, &open.Tiles)
	}
	slices.SortFunc(ways, func(a, b Reading) int { return a.place().compare(b.place()) })
	return ways
}
