package compose

import (
	"math"
	"math/bits"

	"secondpass/tile"
)

// Demands on a card. All are our choice; those that [Draw] must meet are limits, the
// others are aims that the blemish pulls towards.
const (
	leastVariants, mostVariants   = 1100, 1600
	leastConcealed, mostConcealed = 0.20, 0.25
	// mostShared is the largest number of tiles two hands may have in common in any
	// of their variants.
	mostShared = 11
	// aimKinds is the mean number of kinds a variant should have.
	aimKinds = 4.6
)

// aimSizes is the least share of hands that should have a group of so many tiles.
var aimSizes = [7]float64{1: 0.3, 2: 0.5, 3: 0.4, 4: 0.4, 5: 0.12, 6: 0.05}

// aimSuits is the share of hands that should stand in no, one, two and three suits.
var aimSuits = [4]float64{0.04, 0.22, 0.38, 0.36}

// overlaps holds shared for every two candidates.
type overlaps [][]uint8

// deal of hands: picked[section] lists indices into the candidates.
type deck struct {
	all    []*candidate
	shared overlaps
}

// sums is what the blemish is computed from, over the hands of a card.
type sums struct {
	hands, variants, concealed int
	kinds                      float64 // over variants
	use                        [tile.Kinds]float64
	sizes                      [7]int
	suits                      [4]int
}

func (s *sums) add(c *candidate, sign int) {
	f := float64(sign)
	s.hands += sign
	s.variants += sign * c.traits.variants
	if c.concealed {
		s.concealed += sign
	}
	s.kinds += f * c.traits.kinds * float64(c.traits.variants)
	for k, n := range c.traits.use {
		s.use[k] += f * n
	}
	for set := c.traits.sizes; set != 0; set &= set - 1 {
		s.sizes[bits.TrailingZeros(set)] += sign
	}
	s.suits[c.traits.suits] += sign
}

// ranksUse is the tiles used of each rank over all suits.
func (s *sums) ranksUse() []float64 {
	use := make([]float64, 9)
	for k := range tile.North {
		use[k.Rank()-1] += s.use[k]
	}
	return use
}

// spread is the standard deviation of the values over their mean.
func spread(values []float64) float64 {
	sum, squares := 0.0, 0.0
	for _, v := range values {
		sum += v
		squares += v * v
	}
	n := float64(len(values))
	mean := sum / n
	if mean == 0 {
		return 1
	}
	return math.Sqrt(max(0, squares/n-mean*mean)) / mean
}

// outside is how far v lies outside of low..high.
func outside(v, low, high float64) float64 { return max(0, low-v, v-high) }

// blemish sums up how far the totals are from the aims; 0 is best.
func (s *sums) blemish() float64 {
	hands := float64(s.hands)
	b := 3*spread(s.ranksUse()) + spread(s.use[tile.North:tile.Red]) + spread(s.use[tile.Red:tile.Flower])
	b += 10 * outside(float64(s.variants)/1350, 0.9, 1.1)
	b += 40 * outside(float64(s.concealed)/hands, 0.21, 0.24)
	b += math.Abs(s.kinds/float64(s.variants) - aimKinds)
	for n := 1; n < len(aimSizes); n++ {
		b += 5 * max(0, aimSizes[n]-float64(s.sizes[n])/hands)
	}
	for n, aim := range aimSuits {
		b += 2 * math.Abs(aim-float64(s.suits[n])/hands)
	}
	return b
}
