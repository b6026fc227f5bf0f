package fit

import (
	"math/bits"

	"secondpass/rules/tile"
)

// price brings the states from the rack they are of to another, prices them and returns the least price.
func (t *Tracker) price(rack *tile.Rack, c Cost) (least int) {
	n := 0
	for k := range naturals {
		if old, now := t.rack[k], rack[k]; old != now {
			rows := t.x.rows[k]
			t.less[n], t.more[n] = first(rows[old]), first(rows[now])
			n++
		}
	}
	t.rack = *rack
	jokers := most(rack[tile.Joker])
	singles, groups := t.prices[:halves], t.prices[halves:]
	for i := range maxMissing + 1 {
		singles[i], groups[i] = c.Single*uint8(i), c.Group*uint8(max(i-jokers, 0))
	}
	singles[halves-1], groups[halves-1] = maxCost, maxCost
	return t.track(t.less[:n], t.more[:n])
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
	t.mark(min(least+slack, maxCost-2))
	from := len(dst)
	dst = t.marked(dst)
	if most == 0 || len(dst)-from <= most {
		return dst, least
	}
	costs := bytesOf(t.costs)
	t.counts = [maxSlack + 1]int{}
	for _, v := range dst[from:] {
		t.counts[int(costs[v])-least]++
	}
	return t.thin(dst, from, least+t.affordable(slack, most)), least
}
