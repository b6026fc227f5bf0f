package compose

import (
	"math/rand/v2"
	"strings"

	"secondpass/card"
	"secondpass/fit"
	"secondpass/tile"
)

const (
	// dealSeed draws the same deals for every card, so that difficulties compare.
	dealSeed  = 13
	deals     = 400
	dealTiles = 13
	// singleWeight is what a missing single or pair tile adds to the distance: neither
	// a joker nor a claim supplies it. Our choice.
	singleWeight = 0.25
	// easiest and hardest bound the difficulty of a hand that a card may have.
	easiest, hardest = 8.5, 11.4
)

// traits are the measures of a hand.
type traits struct {
	variants   int
	difficulty float64
	// use is the mean number of tiles of each kind over the variants.
	use [tile.Kinds]float64
	// kinds is the mean number of different kinds a variant has.
	kinds float64
	// sizes has bit n set where the hand has a group of n tiles.
	sizes uint
	suits int
}

// dealt are the racks that difficulty is measured on.
var dealt = func() []tile.Rack {
	rng := rand.New(rand.NewPCG(dealSeed, 0))
	tiles := tile.Usual.Tiles()
	racks := make([]tile.Rack, deals)
	for i := range racks {
		rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
		racks[i] = tile.RackOf(tiles[:dealTiles]...)
	}
	return racks
}()

// measure fills the traits of candidates and returns those that are neither too easy
// nor too hard, each set of variants once.
func measure(list []*candidate) ([]*candidate, error) {
	var text strings.Builder
	text.WriteString("card Pool\nsection S\n")
	const head = 2 // lines before the first hand
	for _, c := range list {
		text.WriteString(c.line(1) + "\n")
	}
	pool, twice, err := card.Read("pool", []byte(text.String()), tile.Usual)
	if err != nil {
		return nil, err
	}
	drop := map[int]bool{}
	for _, w := range twice {
		drop[w.Line-head-1] = true
	}
	index := fit.New(pool)
	sums := make([]float64, len(list))
	for i := range dealt {
		for _, r := range index.Hands(dealt[i]) {
			sums[r.Hand] += float64(r.Away) + singleWeight*float64(r.MissingSingles)
		}
	}
	var kept []*candidate
	for i, c := range list {
		d := sums[i] / float64(len(dealt))
		if drop[i] || d < easiest || d > hardest {
			continue
		}
		c.variants = pool.VariantsOf(i)
		c.traits = traitsOf(c)
		c.traits.difficulty = d
		kept = append(kept, c)
	}
	return kept, nil
}

// traitsOf is all measures but the difficulty.
func traitsOf(c *candidate) traits {
	t := traits{variants: len(c.variants), suits: c.hand.suits()}
	for _, g := range c.variants[0].Groups {
		t.sizes |= 1 << g.Size
	}
	for i := range c.variants {
		tiles := c.variants[i].Small.Plus(c.variants[i].Large)
		for k, n := range tiles {
			if n > 0 {
				t.kinds++
				t.use[k] += float64(n)
			}
		}
		c.tiles = append(c.tiles, tiles)
	}
	for k := range t.use {
		t.use[k] /= float64(t.variants)
	}
	t.kinds /= float64(t.variants)
	return t
}

// shared is the largest number of tiles that a variant of a has in common with one
// of b, 0 to 14: 14 where both can be the same tiles.
func shared(a, b *candidate) int {
	most := 0
	for i := range a.tiles {
		for j := range b.tiles {
			n := 0
			for k := range tile.Joker {
				n += int(min(a.tiles[i][k], b.tiles[j][k]))
			}
			most = max(most, n)
		}
	}
	return most
}
