package fit

import (
	"math/bits"

	"secondpass/rules/tile"
)

// price brings the states from the rack they are of to another, prices them and returns the least price.
func (t *Tracker) price(rack *tile.Rack, c Cost) (least int) {
	n := 0
	for kinds := rack.Differs(&t.rack) & (1<<naturals - 1); kinds != 0; kinds &= kinds - 1 {
		k := bits.TrailingZeros64(kinds)
		rows := t.x.rows[k]
		t.less[n], t.more[n] = first(rows[t.rack[k]]), first(rows[rack[k]])
		n++
	}
	if jokers := most(rack[tile.Joker]); c != t.cost || jokers != most(t.rack[tile.Joker]) {
		t.setPrices(c, jokers)
	}
	t.rack = *rack
	return t.track(t.less[:n], t.more[:n])
}

// setPrices tables what missing tiles cost.
func (t *Tracker) setPrices(c Cost, jokers int) {
	t.cost = c
	singles, groups := t.prices[:halves], t.prices[halves:]
	for i := range maxMissing + 1 {
		singles[i], groups[i] = c.Single*uint8(i), c.Group*uint8(max(i-jokers, 0))
	}
	singles[halves-1], groups[halves-1] = maxCost, maxCost
}

// maxCost is more than any variant costs.
const maxCost = 0x7f

// marked appends the variants marked.
func (t *Tracker) marked(dst []int32) []int32 {
	for block, m := range t.marks {
		for ; m != 0; m &= m - 1 {
			dst = append(dst, int32(block*blockBytes+bits.TrailingZeros64(m)))
		}
	}
	return dst
}

// withinMarks is Within by the kernels.
func (t *Tracker) withinMarks(rack *tile.Rack, c Cost, slack, most int, dst []int32) (list []int32, least int) {
	least = t.price(rack, c)
	slack = min(slack, maxCost-2-least)
	t.mark(least + slack)
	if most > 0 && t.count() > most {
		fits, tooMany := 0, slack // no slack at all is taken whatever it lists
		for tooMany-fits > 1 {
			half := (fits + tooMany) / 2
			if t.mark(least + half); t.count() > most {
				tooMany = half
			} else {
				fits = half
			}
		}
		t.mark(least + fits)
	}
	return t.marked(dst), least
}

// count is the number of variants marked.
func (t *Tracker) count() int {
	n := 0
	for _, m := range t.marks {
		n += bits.OnesCount64(m)
	}
	return n
}
