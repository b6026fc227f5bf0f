package player

import (
	"math"
	"math/bits"

	"secondpass/engine/fit"
	"secondpass/rules/tile"
)

// cost orders variants for the shortlist: a missing single weighs a third more than a missing group tile.
var cost = fit.Cost{Single: 4, Group: 3}

// hopes values holdings: the sum over the hands within reach of the chance that what is missing comes
// in time. It owns working memory.
type hopes struct {
	book   *book
	odds   *Odds
	near   *fit.Tracker
	weight []float32 // of each line, by its points
	// list is the lines within reach, least the cost of the cheapest; lines is how each was weighed last; prices is working
	// memory.
	list   []int32
	least  int
	lines  []weighed
	prices []uint8
	// total is the value of the holding weighed last; loss[k] is what it would lose without one
	// tile of kind k, if that was asked for.
	total float64
	loss  [tile.Kinds]float64
	// complete says that a line lacks nothing.
	complete bool
}

func newHopes(b *book, o *Odds) *hopes {
	h := &hopes{book: b, odds: o, near: fit.NewTracker(b.index), weight: make([]float32, len(b.lines))}
	for i := range b.lines {
		h.weight[i] = single(math.Pow(float64(b.lines[i].points)/usualPoints, o.params.Points))
	}
	return h
}

// usualPoints is what a hand of the lowest price counts on most cards; it only scales.
const usualPoints = 25

// shortlist finds the lines within reach: those near the cheapest, of all or of those that the open
// groups allow.
func (h *hopes) shortlist(held *holding) {
	p := &h.odds.params
	if !held.open {
		h.list, h.least = h.near.Within(&held.rack, cost, p.Slack, p.Lines, h.list[:0])
		return
	}
	h.list, h.prices, h.least = h.list[:0], h.prices[:0], math.MaxInt
	prices, same := held.prices(h.near, cost)
	for _, v := range held.variants {
		at := h.book.place[v]
		if at == absent {
			continue
		}
		var price uint8
		if l := &h.book.lines[at]; same && l.jokers() && !l.mixed {
			price = prices[at]
		} else {
			singles, groups := held.lacks(l)
			price = cost.Single*uint8(singles) + cost.Group*uint8(groups)
		}
		h.list, h.prices, h.least = append(h.list, at), append(h.prices, price), min(h.least, int(price))
	}
	kept := h.list[:0]
	for i, at := range h.list {
		if int(h.prices[i]) <= h.least+p.Slack {
			kept = append(kept, at)
		}
	}
	h.list = kept
}

// weigh values a holding over its shortlist.
func (h *hopes) weigh(held *holding, z *chances) {
	h.shortlist(held)
	h.weighList(held, z)
}

// weighList values a holding over the list found last, which a few tiles more or less leave nearly
// as it is.
func (h *hopes) weighList(held *holding, z *chances) {
	for len(h.lines) < len(h.list) {
		h.lines = append(h.lines, weighed{})
	}
	for i, at := range h.list {
		h.weighLine(&h.lines[i], at, held, z)
	}
	h.add()
}

// reweigh is weighList where the holding weighed last has lost one tile and the chances are what they were: lines that have no
// use for the tile stay as they were.
func (h *hopes) reweigh(lost tile.Kind, held *holding, z *chances) {
	for i, at := range h.list {
		if h.book.lines[at].kinds>>lost&1 == 1 {
			h.weighLine(&h.lines[i], at, held, z)
		}
	}
	h.add()
}

// add sums what the lines are worth.
func (h *hopes) add() {
	h.total, h.complete = 0, false
	for i := range h.list {
		w := &h.lines[i]
		h.total += float64(w.value)
		h.complete = h.complete || w.missing == 0
	}
}

// lose finds what the holding weighed last would lose without a tile of each kind.
func (h *hopes) lose(z *chances) {
	h.loss = [tile.Kinds]float64{}
	total := 0.0
	for i, at := range h.list {
		w := &h.lines[i]
		total += float64(w.value)
		if w.value < float32(total)*negligible {
			continue
		}
		r := h.book.lines[at].rate
		for tight := w.tight; tight != 0; tight &= tight - 1 {
			c := &w.lacks[bits.TrailingZeros16(tight)%maxLacks]
			h.loss[c.kind] += float64(w.value * fall(c, w.missing, r, z))
		}
		if w.jokered >= 0 {
			h.loss[tile.Joker] += float64(w.value * fall(&w.lacks[w.jokered], w.missing, r, z))
		}
	}
}

// lack is what a line lacks of one kind, for its singles and pairs or for its larger groups.
type lack struct {
	// at is the place in the odds of the tiles lacking after jokers, need, which may be none.
	at   uint16
	kind tile.Kind
	need uint8
	// grouped is 1 if it is for a group.
	grouped uint8
}

// maxLacks bounds the lacks of a line of fourteen tiles.
const maxLacks = 16

// weighed is a line as a holding has it.
type weighed struct {
	value   float32
	missing int // tiles, after jokers
	jokered int // the lack that got the last joker; -1 if none did or one is left over
	n       int // of lacks
	// tight has a bit for each lack whose line would lack one more if one tile of the kind went, open one for each of a group that
	// a joker could fill.
	tight, open uint16
	lacks       [maxLacks]lack
}

// negligible is the part of the value up to a line below which the line has no say in what may go.
const negligible = 5e-4

func (h *hopes) weighLine(w *weighed, at int32, held *holding, z *chances) {
	l := &h.book.lines[at]
	var chance float32
	if l.mixed {
		w.listMixed(l, held, z)
		chance = w.chance(z)
	} else {
		chance = w.list(l.parts, held, z)
	}
	w.jokered = -1
	if jokers := held.rack[tile.Joker]; jokers > 0 && l.jokers() {
		w.placeJokers(int(jokers), z)
		chance = w.chance(z)
	}
	switch w.missing {
	case 0:
		chance = 1
	case 1:
		chance = w.last(l.rate, z)
	}
	w.value = h.weight[at] * chance
}

// list fills in what a line lacks before jokers, and parts of which it has just enough. It returns the product of the chances.
func (w *weighed) list(parts []part, held *holding, z *chances) float32 {
	n, missing, chance := 0, 0, float32(1)
	tight, open := uint16(0), uint16(0)
	for i := range parts {
		p := &parts[i]
		have, size := held.rack[p.kind], p.size
		if held.open && p.grouped > 0 {
			size -= min(size, held.opened[p.kind])
		}
		if have > size {
			continue
		}
		need := size - have
		at := p.odds + uint16(need)*perNeed + uint16(z.live[p.kind])
		c := &w.lacks[n%maxLacks] // filled field by field: a literal is built elsewhere and copied
		c.at, c.kind, c.need, c.grouped = at, p.kind, need, p.grouped
		tight |= positive(have) << n // without a branch, which nobody can predict
		open |= positive(need) & uint16(p.grouped) << n
		n++
		missing += int(need)
		chance *= z.come[at]
	}
	w.n, w.missing, w.tight, w.open = n, missing, tight, open
	return chance
}

// positive is 1 for a number above 0.
func positive(n uint8) uint16 { return uint16(uint32(-int32(n)) >> 31) }

// listMixed is list, but for the product, where a line uses some kind both for singles or a pair and for a larger group.
func (w *weighed) listMixed(l *line, held *holding, z *chances) {
	w.n, w.missing, w.tight, w.open = 0, 0, 0, 0
	for i := range l.parts {
		p := &l.parts[i]
		have, live := held.rack[p.kind], z.live[p.kind]
		group := p.group - min(p.group, held.opened[p.kind])
		if have > p.single+group {
			continue
		}
		if p.single > 0 {
			need := p.single - min(have, p.single)
			w.put(lack{at: uint16(need)*perNeed + uint16(live), kind: p.kind, need: need}, have > 0 && have <= p.single)
			have -= min(have, p.single)
			live -= min(live, need)
		}
		if group > 0 {
			need := group - have
			at := uint16(l.rate)*perRate + uint16(need)*perNeed + uint16(live)
			w.put(lack{at: at, kind: p.kind, need: need, grouped: 1}, have > 0)
		}
	}
}

// put adds a lack.
func (w *weighed) put(c lack, tight bool) {
	w.lacks[w.n] = c
	if tight {
		w.tight |= 1 << w.n
	}
	if c.grouped > 0 && c.need > 0 {
		w.open |= 1 << w.n
	}
	w.n++
	w.missing += int(c.need)
}

// placeJokers puts jokers where they raise the chance most.
func (w *weighed) placeJokers(jokers int, z *chances) {
	for range jokers {
		best, least := -1, float32(2)
		for open := w.open; open != 0; open &= open - 1 {
			i := bits.TrailingZeros16(open)
			if f := z.less[w.lacks[i%maxLacks].at-perNeed]; f < least {
				best, least = i, f
			}
		}
		w.jokered = best
		if best < 0 {
			return
		}
		c := &w.lacks[best]
		c.need--
		c.at -= perNeed
		w.missing--
		if c.need == 0 {
			w.open &^= 1 << best
		}
	}
}

// chance is the product of the chances of the parts.
func (w *weighed) chance(z *chances) float32 {
	product := float32(1)
	for i := range w.lacks[:w.n] {
		product *= z.come[w.lacks[i].at]
	}
	return product
}

// last is the chance of a line that lacks one tile.
func (w *weighed) last(r rate, z *chances) float32 {
	i := 0
	for w.lacks[i].need != 1 {
		i++
	}
	return z.finish(&w.lacks[i], r)
}

// fall is the part of a line's chance that is lost when one tile more is missing.
func fall(c *lack, missing int, r rate, z *chances) float32 {
	if missing == 0 {
		return 1 - z.finish(c, r)
	}
	return 1 - z.less[c.at]
}
