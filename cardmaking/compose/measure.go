package compose

import (
	"math/rand/v2"
	"strings"
	"sync"

	"secondpass/engine/fit"
	"secondpass/engine/prepared"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// How difficulty is measured; all our choice.
const (
	// dealSeed draws the same deals for every card, so that difficulties compare.
	dealSeed  = 13
	deals     = 400
	dealTiles = 13
	// singleWeight is what a missing single or pair tile counts more than one of a larger
	// group: neither a joker nor a claim supplies it.
	singleWeight = 0.25
)

// traits are the measures of a hand.
type traits struct {
	variants   int
	difficulty float64
	// tiles are the variants as counts of kinds; the groups are merged.
	tiles []packed
	// unlike are those of them that differ by more than their suits, where turns says that the hand stays the same when suits
	// change places.
	unlike []packed
	turns  bool
	// use is the mean number of tiles of each kind over the variants.
	use [tile.Kinds]float64
	// kinds is the mean number of different kinds in a variant.
	kinds float64
	// sizes has bit n set where the hand has a group of n tiles.
	sizes uint
	// inSuits is how many suits it stands in.
	inSuits int
}

// testRacks are the deals that difficulty is measured on.
var testRacks = sync.OnceValue(func() []tile.Rack {
	rng := rand.New(rand.NewPCG(dealSeed, 0))
	tiles := tile.Usual.Tiles()
	racks := make([]tile.Rack, deals)
	for i := range racks {
		rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
		racks[i] = tile.RackOf(tiles[:dealTiles]...)
	}
	return racks
})

// Difficulty is how far each hand of a card is from a deal, indexed as Card.Hands, in
// tiles: the mean over 400 racks of 13, drawn at random but the same at every call, of the
// away of the hand's best variant plus a quarter of its missing singles. Away and
// missing singles are those of package fit; the quarter is our choice. It says nothing
// of play: a concealed hand is as near as one that may be exposed.
func Difficulty(c *card.Card) []float64 {
	rater := fit.NewRater(prepared.New(c).Index())
	sums := make([]float64, len(c.Hands))
	var near []fit.Reading
	for _, rack := range testRacks() {
		near, _ = rater.Nearest(&rack, len(c.Hands), near[:0])
		for _, r := range near {
			sums[r.Hand] += float64(r.Away) + float64(singleWeight*float64(r.MissingSingles))
		}
	}
	for i := range sums {
		sums[i] /= deals
	}
	return sums
}

// measure fills the traits of candidates and returns those that are neither too easy
// nor too hard for a level, each set of variants once.
func measure(list []*candidate, level Level) ([]*candidate, error) {
	pool, twice, err := readLines(list)
	if err != nil {
		return nil, err
	}
	bounds := levels[level]
	drop := map[int]bool{}
	for _, w := range twice {
		drop[w.Line-strings.Count(poolHead, "\n")-1] = true
	}
	var kept []*candidate
	for i, d := range Difficulty(pool) {
		if !drop[i] && d >= bounds.easiest && d <= bounds.hardest {
			list[i].traits = traitsOf(pool.VariantsOf(i))
			list[i].difficulty, list[i].inSuits = d, list[i].suits()
			kept = append(kept, list[i])
		}
	}
	return kept, nil
}

// traitsOf is all measures that the variants alone show.
func traitsOf(variants []card.Variant) traits {
	t := traits{variants: len(variants)}
	for _, g := range variants[0].Groups {
		t.sizes |= 1 << g.Size
	}
	racks := make([]tile.Rack, len(variants))
	for i := range variants {
		tiles := variants[i].Small.Plus(variants[i].Large)
		racks[i] = tiles
		for k, n := range tiles {
			if n > 0 {
				t.kinds++
				t.use[k] += float64(n)
			}
		}
		t.tiles = append(t.tiles, pack(tiles))
	}
	for k := range t.use {
		t.use[k] /= float64(t.variants)
	}
	t.kinds /= float64(t.variants)
	t.unlike, t.turns = bySuits(racks)
	return t
}
