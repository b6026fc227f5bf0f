package fit

import (
	"math/bits"

	"secondpass/tile"
)

// Cost prices what a variant lacks: so much a missing single and so much a missing group tile
// that no joker stands for. A complete hand costs nothing. Both are 1 to 8.
type Cost struct{ Single, Group uint8 }

// AwayCost prices every missing tile alike: the cost is the number of tiles away.
var AwayCost = Cost{1, 1}

// Within appends to dst the variants, in the index's own numbering, that cost at most slack
// more than the cheapest, in rising order, and returns the least cost.
func (r *Rater) Within(rack *tile.Rack, c Cost, slack int, dst []int32) (list []int32, least int) {
	r.load(rack)
	jokers := uint64(min(rack[tile.Joker], 2*maxMissing)) * ones
	single, group := uint64(c.Single), uint64(c.Group)
	best := uint64(0x7f * ones)
	for i, s := range r.states {
		cost := costs(s, jokers, single, group)
		r.costs[i] = cost
		best = lesser(best, cost)
	}
	least = lowestByte(best)
	limit := uint64(min(least+slack, 0x7e)+1) * ones
	for i, cost := range r.costs {
		// A byte below limit keeps no top bit once limit is taken from it.
		for hit := ^((cost | tops) - limit) & tops; hit != 0; hit &= hit - 1 {
			if v := i*lanes + bits.TrailingZeros64(hit)/lanes; v < len(r.x.needs) {
				dst = append(dst, int32(v))
			}
		}
	}
	return dst, least
}

// costs prices eight states at once. With 14 tiles and prices of at most 8 every byte stays below 128;
// the lanes behind the last variant are capped there.
func costs(s, jokers, single, group uint64) uint64 {
	rest := (s&lows | tops) - jokers
	above := (rest & tops) >> 7 * 0xff
	cost := s>>4&lows*single + rest&^tops&above*group
	return (cost | cost&tops>>7*0x7f) &^ tops
}

// lesser is the smaller of two in every byte; both are below 128 there.
func lesser(a, b uint64) uint64 {
	less := ((b | tops) - a) & tops >> 7 * 0xff // 0xff where b >= a
	return a&less | b&^less
}

func lowestByte(w uint64) int {
	lowest := w & 0xff
	for w >>= 8; w != 0; w >>= 8 {
		lowest = min(lowest, w&0xff)
	}
	return int(lowest)
}

// Needs are the tiles of variant v, in the index's own numbering: those that only the natural tile
// can be, and those for which a joker may stand. They must not be changed.
func (x *Index) Needs(v int32) (single, group *tile.Rack) {
	return &x.needs[v].single, &x.needs[v].group
}

// Variant is the index of Card.Variants for a variant in the index's own numbering.
func (x *Index) Variant(v int32) int { return int(x.ids[v]) }
