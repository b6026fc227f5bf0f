package compose

import (
	"fmt"
	"math"
	"math/bits"

	"secondpass/rules/tile"
)

// What is asked of a card, by hand where it grows with their number. The first group must be met, the second is aimed
// at. All are our choice.
const (
	leastVariants, mostVariants   = 18., 36.
	leastConcealed, mostConcealed = 0.2, 0.25
	// mostShared is the largest number of tiles two hands may have in common in any
	// of their variants.
	mostShared = 11

	aimVariants = 24.
	aimKinds    = 4.2
	// aimStep is how much harder the hardest hand of a section should be than the easiest, in
	// tiles.
	aimStep = 1.0
)

// demands are what is asked of one card.
type demands struct {
	hands int
	// largest is the size up to which groups of every size must be there.
	largest int
	// difficulty is the mean that is aimed at.
	difficulty float64
}

func demandsOf(themes []theme, wish Wish) demands {
	d := demands{hands: wish.Hands, difficulty: levels[wish.Difficulty].aim}
	for i := range themes {
		d.largest = max(d.largest, themes[i].most)
	}
	return d
}

// concealed bounds the number of concealed hands: a fifth to a quarter, and where there is no whole number between them the
// next above.
func (d *demands) concealed() (least, most int) {
	least = int(math.Ceil(leastConcealed * float64(d.hands)))
	return least, max(least, int(mostConcealed*float64(d.hands)))
}

// aimSizes is the least share of hands that should have a group of so many tiles.
var aimSizes = [7]float64{1: 0.3, 2: 0.4, 3: 0.4, 4: 0.4, 5: 0.08}

// aimSuits is the share of hands that should stand in no, one, two and three suits.
var aimSuits = [4]float64{0.05, 0.2, 0.4, 0.35}

// sums is what a card is judged by, over its hands.
type sums struct {
	hands, variants, concealed, flowers int
	kinds                               float64 // over variants
	difficulty                          float64
	use                                 [tile.Kinds]float64
	sizes                               [7]int
	suits                               [4]int
}

// add counts a hand in, or with sign -1 out.
func (s *sums) add(c *candidate, sign int) {
	f := float64(sign)
	s.hands += sign
	s.variants += sign * c.variants
	if c.concealed {
		s.concealed += sign
	}
	if c.use[tile.Flower] > 0 {
		s.flowers += sign
	}
	s.kinds += float64(f * c.kinds * float64(c.variants))
	s.difficulty += float64(f * c.difficulty)
	for k, n := range c.use {
		s.use[k] += float64(f * n)
	}
	for set := c.sizes; set != 0; set &= set - 1 {
		s.sizes[bits.TrailingZeros(set)] += sign
	}
	s.suits[c.inSuits] += sign
}

// lacks names the first demand that is not met, or is "".
func (d *demands) lacks(s *sums) string {
	if each := float64(s.variants) / float64(d.hands); each < leastVariants || each > mostVariants {
		return fmt.Sprintf("%d variants", s.variants)
	}
	if least, most := d.concealed(); s.concealed < least || s.concealed > most {
		return fmt.Sprintf("%d concealed hands of %d", s.concealed, s.hands)
	}
	for n := 1; n <= d.largest; n++ {
		if s.sizes[n] == 0 {
			return fmt.Sprintf("no group of %d", n)
		}
	}
	for k := range tile.Joker {
		if s.use[k] < 1e-9 {
			return "no " + k.Name()
		}
	}
	return ""
}

func (s *sums) share(hands int) float64 { return float64(hands) / float64(s.hands) }

// blemish sums up how far the card is from what is aimed at; 0 is best. The weights are
// our choice, set by reading the cards that came of them.
func (d *demands) blemish(s *sums) float64 {
	var ranks [9]float64
	for k := range tile.North {
		ranks[k.Rank()-1] += s.use[k]
	}
	b := float64(6*spread(ranks[:])) + float64(2*spread(s.use[tile.North:tile.Flower]))
	b += float64(5 * outside(float64(s.variants)/(aimVariants*float64(d.hands)), 0.9, 1.1))
	b += float64(10 * outside(s.share(s.concealed), 0.21, 0.24))
	b += 2 * outside(s.share(s.flowers), 0.5, 0.65)
	b += float64(6 * math.Abs(s.kinds/float64(s.variants)-aimKinds))
	b += float64(10 * outside(s.difficulty/float64(s.hands), d.difficulty-0.1, d.difficulty+0.1))
	for n := 1; n <= d.largest; n++ {
		b += float64(5 * max(0, aimSizes[n]-s.share(s.sizes[n])))
	}
	for n, aim := range aimSuits {
		b += 2 * math.Abs(aim-s.share(s.suits[n]))
	}
	return b
}

// spread is the standard deviation of values over their mean.
func spread(values []float64) float64 {
	sum, squares := 0.0, 0.0
	for _, v := range values {
		sum += v
		squares += float64(v * v)
	}
	mean := sum / float64(len(values))
	if mean == 0 {
		return 1
	}
	return math.Sqrt(max(0, squares/float64(len(values))-float64(mean*mean))) / mean
}

// outside is how far v lies outside of low to high.
func outside(v, low, high float64) float64 { return max(0, low-v, v-high) }
