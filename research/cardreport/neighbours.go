package cardreport

import (
	"cmp"
	"slices"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// bestNeighbours is the number of neighbours listed for a hand.
const bestNeighbours = 5

// Neighbour is a hand to switch to.
type Neighbour struct {
	// Hand indexes Card.Hands; Shared is the tiles shared with it, see [Shared].
	Hand   int     `json:"-"`
	Name   string  `json:"hand"`
	Shared float64 `json:"shared"`
}

// Shared is the map of neighbours: Shared(c)[a][b] is how many tiles, 0 to 14, of a complete hand a serve
// hand b as well, where both indices are those of Card.Hands. It is symmetric, and 14 on the diagonal.
//
// For each variant of a it takes the variant of b that has most tiles in common with it, jokers aside, and the mean
// over the variants of a; then the same from b to a; and the mean of the two. It is worked out, not
// simulated, so it has no interval. Our own choice.
func Shared(c *card.Card) [][]float64 {
	lists := make([][]held, len(c.Variants))
	tiles := make([]tile.Rack, len(c.Variants))
	for v := range c.Variants {
		tiles[v] = c.Variants[v].Small.Plus(c.Variants[v].Large)
		lists[v] = heldKinds(&tiles[v])
	}
	shared := make([][]float64, len(c.Hands))
	for a := range shared {
		shared[a] = make([]float64, len(c.Hands))
		shared[a][a] = card.HandTiles
	}
	best := make([]int, len(c.Variants)) // of the variants of b: most tiles in common with a variant of a
	for a := range c.Hands {
		for b := a + 1; b < len(c.Hands); b++ {
			shared[a][b] = sharedBy(&c.Hands[a], &c.Hands[b], lists, tiles, best)
			shared[b][a] = shared[a][b]
		}
	}
	return shared
}

// held is a kind and how many of it.
type held struct {
	kind tile.Kind
	n    uint8
}

func heldKinds(r *tile.Rack) []held {
	var list []held
	for k, n := range r {
		if n > 0 {
			list = append(list, held{tile.Kind(k), n})
		}
	}
	return list
}

func sharedBy(a, b *card.Hand, lists [][]held, tiles []tile.Rack, best []int) float64 {
	if a.First == a.End || b.First == b.End {
		return 0
	}
	clear(best[b.First:b.End])
	there := 0
	for v := a.First; v < a.End; v++ {
		most := 0
		for w := b.First; w < b.End; w++ {
			common := 0
			for _, h := range lists[v] {
				common += int(min(h.n, tiles[w][h.kind]))
			}
			most = max(most, common)
			best[w] = max(best[w], common)
		}
		there += most
	}
	back := 0
	for w := b.First; w < b.End; w++ {
		back += best[w]
	}
	return (float64(there)/float64(a.End-a.First) + float64(back)/float64(b.End-b.First)) / 2
}

// neighboursOf lists the best neighbours of a hand, best first and then in card order.
func neighboursOf(c *card.Card, shared [][]float64, hand int) []Neighbour {
	list := []Neighbour{}
	for other, tiles := range shared[hand] {
		if other != hand {
			list = append(list, Neighbour{other, c.Hands[other].Name, tiles})
		}
	}
	slices.SortStableFunc(list, func(a, b Neighbour) int { return cmp.Compare(b.Shared, a.Shared) })
	return list[:min(bestNeighbours, len(list))]
}
