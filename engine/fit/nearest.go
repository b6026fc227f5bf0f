package fit

import (
	"slices"

	"secondpass/rules/tile"
)

// candidate is the best variant of a hand: enough to order the hands without a full reading.
type candidate struct {
	place
	// own is the variant in the index's own numbering.
	own int
}

// Nearest appends to dst the readings of the n nearest hands, best first, as [Index.Hands] orders
// them, and says how many hands are options: away at most the best one's plus one.
func (r *Rater) Nearest(rack *tile.Rack, n int, dst []Reading) (near []Reading, options int) {
	r.load(rack)
	// The n best of the hands so far, best first; how many hands are so far away.
	r.candidates = r.candidates[:0]
	var away [maxMissing + 2]int
	jokers := int(rack[tile.Joker])
	for _, h := range r.x.hands {
		c := r.bestOf(h, jokers)
		away[c.away]++
		nearer := func(a, b candidate) int { return a.compare(b.place) }
		if at, _ := slices.BinarySearchFunc(r.candidates, c, nearer); at < n {
			r.candidates = slices.Insert(r.candidates[:min(len(r.candidates), n-1)], at, c)
		}
	}
	for _, c := range r.candidates {
		dst = append(dst, r.x.read(c.own, *rack))
	}
	least := 0
	for least < maxMissing && away[least] == 0 {
		least++
	}
	return dst, away[least] + away[least+1]
}

// bestOf finds the best variant of a hand from the states loaded last.
func (r *Rater) bestOf(h handRange, jokers int) candidate {
	best, bestKey := 0, int64(1)<<62
	for v := h.first; v < h.end; v++ {
		s := int(r.bytes[v])
		away := s>>4 + max(s&15-jokers, 0)
		if key := int64(away<<8|s>>4)<<32 | int64(r.x.canonical[v]); key < bestKey {
			best, bestKey = v, key
		}
	}
	return candidate{place{r.x.card, int(bestKey >> 40), int(bestKey >> 32 & 0xff), h.hand, int(r.x.ids[best])}, best}
}
