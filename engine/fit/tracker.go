package fit

import (
	"math/bits"

	"secondpass/rules/tile"
)

// Tracker follows racks that differ little from one to the next, as those of a seat in play do: it finds
// the variants within reach at the price of one row for each kind whose number has changed. It owns its
// working memory, so each goroutine needs its own.
type Tracker struct {
	x *Index
	// rack is whose states these are.
	rack   tile.Rack
	states []uint64
	costs  []uint64
	// away is the least number of tiles away found last: a first guess for the next rack.
	away int
	// counts is how many variants have a price, by how much it is above the least.
	counts [maxSlack + 1]int

	// What the kernels work with: rows that go and come, what missing singles and missing group tiles cost, 16 prices each, and
	// a bit for each variant.
	less, more [naturals]*uint8
	prices     [2 * halves]uint8
	cost       Cost // that the prices are for, with the jokers of the rack
	marks      []uint64
}

// halves is the number of values that half a state can have; the last is that of the bytes behind the last variant.
const halves = 16

// maxSlack bounds the slack that a Tracker is asked for.
const maxSlack = 40

// NewTracker makes a tracker for an index.
func NewTracker(x *Index) *Tracker {
	memory := newSlab(len(x.base), 2)
	t := &Tracker{x: x, states: memory.row(), costs: memory.row(), away: maxMissing, marks: make([]uint64, x.blocks())}
	copy(t.states[:cap(t.states)], x.base[:cap(x.base)])
	return t
}

// move brings the states from the rack they are of to another.
func (t *Tracker) move(rack *tile.Rack) {
	var less, more [naturals][]uint64
	n := 0
	for k := range naturals {
		if old, now := t.rack[k], rack[k]; old != now {
			rows := t.x.rows[k]
			less[n], more[n] = rows[old], rows[now]
			n++
		}
	}
	t.rack = *rack
	i := 0
	for ; i+2 <= n; i += 2 {
		swap2(t.states, less[i], more[i], less[i+1], more[i+1])
	}
	if i < n {
		swap1(t.states, less[i], more[i])
	}
}

// The swaps never carry from one byte to the next: without a row a state is at most that of no tiles,
// and no row matches more than is missing.

func swap1(dst, less, more []uint64) {
	n := len(dst)
	less, more = less[:n], more[:n]
	for w := range dst {
		dst[w] += less[w] - more[w]
	}
}

func swap2(dst, less, more, less2, more2 []uint64) {
	n := len(dst)
	less, more, less2, more2 = less[:n], more[:n], less2[:n], more2[:n]
	for w := range dst {
		dst[w] += less[w] - more[w] + less2[w] - more2[w]
	}
}

// Nearest appends to dst the variants that are fewest tiles away, in the index's own numbering and in
// rising order, and returns how many tiles that is.
func (t *Tracker) Nearest(rack *tile.Rack, dst []int32) (list []int32, away int) {
	if using > portable {
		away = t.price(rack, AwayCost)
		t.mark(away)
		return t.marked(dst), away
	}
	t.move(rack)
	jokers := uint64(min(rack[tile.Joker], 2*maxMissing)) * ones
	first := len(dst)
	least := t.away
	for list = dst; len(list) == first; least++ {
		list, least = t.atMost(jokers, least, list)
	}
	t.away = least - 1
	return list, t.away
}

// atMost lists the variants that are fewest away, if that is at most limit; if not, it lists none.
func (t *Tracker) atMost(jokers uint64, limit int, dst []int32) (list []int32, least int) {
	first := len(dst)
	bound := limitFor(limit)
	for w, s := range t.states {
		rest := (s&lows | tops) - jokers
		cost := s>>4&lows + rest&^tops&((rest&tops)>>7*0xff)
		for hit := below(cost, bound); hit != 0; hit &= hit - 1 {
			shift := bits.TrailingZeros64(hit) - 7
			if away := int(cost >> shift & 0xff); away < limit {
				limit, bound, dst = away, limitFor(away), dst[:first]
			} else if away > limit { // a lane of the same word has lowered the limit
				continue
			}
			dst = append(dst, int32(w*lanes+laneAt(shift)))
		}
	}
	return dst, limit
}

// Within takes the next rack and appends to dst the variants, in the index's own numbering, that cost at most
// slack (0 to 40) more than the cheapest, in rising order, and returns the least cost. Where that are more
// than most, the slack is made smaller until they are not, or until only the cheapest are left; most 0 sets no
// bound.
func (t *Tracker) Within(rack *tile.Rack, c Cost, slack, most int, dst []int32) (list []int32, least int) {
	if using > portable {
		return t.withinMarks(rack, c, slack, most, dst)
	}
	t.move(rack)
	jokers := uint64(min(rack[tile.Joker], 2*maxMissing)) * ones
	single, group := uint64(c.Single), uint64(c.Group)
	best := uint64(0x7f * ones)
	for w, s := range t.states {
		cost := costs(s, jokers, single, group)
		t.costs[w] = cost
		best = lesser(best, cost)
	}
	least = leastByte(best)
	first := len(dst)
	limit := limitFor(least + slack)
	t.counts = [maxSlack + 1]int{}
	for w, cost := range t.costs {
		for hit := below(cost, limit); hit != 0; hit &= hit - 1 {
			shift := bits.TrailingZeros64(hit) - 7
			t.counts[int(cost>>shift&0xff)-least]++
			dst = append(dst, int32(w*lanes+laneAt(shift)))
		}
	}
	if most > 0 && len(dst)-first > most {
		dst = t.thin(dst, first, least+t.affordable(slack, most))
	}
	return dst, least
}

// Prices takes the next rack and returns what every variant costs, by the index's own numbering; it holds until the next call. ok is
// false, and nothing changed, where the rack has more tiles of a kind than the set.
func (t *Tracker) Prices(rack tile.Rack, c Cost) (prices []uint8, ok bool) {
	for k := range naturals {
		if rack[k] > t.x.card.Set[k] {
			return nil, false
		}
	}
	if using > portable {
		t.price(&rack, c)
		return bytesOf(t.costs), true
	}
	t.move(&rack)
	jokers := uint64(most(rack[tile.Joker])) * ones
	for w, s := range t.states {
		t.costs[w] = costs(s, jokers, uint64(c.Single), uint64(c.Group))
	}
	return bytesOf(t.costs), true
}

// affordable is the greatest slack at which no more than most variants are listed, and 0 if there is none.
func (t *Tracker) affordable(slack, most int) int {
	total := 0
	for above, n := range t.counts[:slack+1] {
		if total += n; total > most {
			return max(above-1, 0)
		}
	}
	return slack
}

// thin keeps of the list from a place on those at a price or below.
func (t *Tracker) thin(list []int32, from, price int) []int32 {
	kept := list[:from]
	for _, v := range list[from:] {
		if int(t.costs[v/lanes]>>shiftOf(v)&0xff) <= price {
			kept = append(kept, v)
		}
	}
	return kept
}

// leastByte is the smallest of the eight bytes of a word.
func leastByte(w uint64) int {
	least := w & 0xff
	for range lanes - 1 {
		w >>= 8
		least = min(least, w&0xff)
	}
	return int(least)
}
