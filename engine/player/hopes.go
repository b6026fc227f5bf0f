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
	// list is the lines within reach, least the cost of the cheapest; batches is how they were weighed last; prices and tiles are
	// working memory.
	list    []int32
	least   int
	batches []batch
	prices  []uint8
	tiles   tiles
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
		h.weight[i] = single(math.Pow(float64(b.points(i))/usualPoints, o.params.Points))
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
	opened := held.opened.Held()
	for _, v := range held.variants {
		at := h.book.place[v]
		if at == absent {
			continue
		}
		var price uint8
		if l := &h.book.lines[at]; same && l.jokers() && l.mixed&opened == 0 {
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
func (h *hopes) weighList(held *holding, z *chances) { h.weighLines(allKinds, held, z) }

// allKinds has the bit of every kind.
const allKinds = 1<<tile.Kinds - 1

// reweigh is weighList where the holding weighed last has lost one tile and the chances are what they were.
func (h *hopes) reweigh(lost tile.Kind, held *holding, z *chances) { h.weighLines(1<<lost, held, z) }

// weighLines weighs the lines that use one of some kinds and sums what all are worth.
func (h *hopes) weighLines(kinds uint64, held *holding, z *chances) {
	h.tiles.of(held, &z.live)
	for from := 0; from < len(h.list); from += lanes {
		if from/lanes == len(h.batches) {
			h.batches = append(h.batches, batch{})
		}
		h.batches[from/lanes].weigh(kinds, h.book, h.weight, h.list[from:], &h.tiles, int(held.rack[tile.Joker]), z)
	}
	h.add()
}

// add sums what the lines are worth.
func (h *hopes) add() {
	h.total, h.complete = 0, false
	for i := range h.list {
		b := &h.batches[i/lanes]
		h.total += float64(b.value[i%lanes])
		h.complete = h.complete || b.missing[i%lanes] == 0
	}
}

// lose finds what the holding weighed last would lose without a tile of each kind.
func (h *hopes) lose(z *chances) {
	h.loss = [tile.Kinds]float64{}
	total := 0.0
	for i, at := range h.list {
		b, i := &h.batches[i/lanes], i%lanes
		value := b.value[i]
		total += float64(value)
		if value < float32(total)*negligible {
			continue
		}
		l, row := &h.book.lines[at], &h.book.slots[at]
		for tight := b.tight[i]; tight != 0; tight &= tight - 1 {
			j := bits.TrailingZeros32(tight) % lineSlots
			h.loss[row[j].kind()] += float64(value * b.fall(i, j, row, l.rate, z))
		}
		if j := b.jokered[i]; j >= 0 {
			h.loss[tile.Joker] += float64(value * b.fall(i, int(j), row, l.rate, z))
		}
	}
}

// negligible is the part of the value up to a line below which the line has no say in what may go.
const negligible = 5e-4
