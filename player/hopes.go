package player

import (
	"math"

	"secondpass/fit"
	"secondpass/tile"
)

// cost orders variants for the shortlist: a missing single weighs a third more than a missing group tile.
var cost = fit.Cost{Single: 4, Group: 3}

// hopes values holdings: the sum over the hands within reach of the chance that what is missing comes
// in time. It owns working memory.
type hopes struct {
	book   *book
	odds   *Odds
	rater  *fit.Rater
	weight []float32 // of each line, by its points
	list   []int32
	// total is the value of the holding weighed last; loss[k] is what it would lose without one
	// tile of kind k.
	total float64
	loss  [tile.Kinds]float64
	// complete says that a line lacks nothing.
	complete bool
}

func newHopes(b *book, o *Odds) *hopes {
	h := &hopes{book: b, odds: o, rater: fit.NewRater(b.index), weight: make([]float32, len(b.lines))}
	for i := range b.lines {
		h.weight[i] = float32(math.Pow(float64(b.lines[i].points)/usualPoints, o.params.Points))
	}
	return h
}

// usualPoints is what a hand of the lowest price counts on most cards; it only scales.
const usualPoints = 25

// shortlist finds the lines within reach: those near the cheapest, or all that the open groups allow.
func (h *hopes) shortlist(held *holding) {
	h.list = h.list[:0]
	if !held.open {
		h.list, _ = h.rater.Within(&held.rack, cost, h.odds.params.Slack, h.odds.params.Lines, h.list)
		return
	}
	for _, v := range held.variants {
		if at := h.book.place[v]; at != absent {
			h.list = append(h.list, at)
		}
	}
}

// weigh values a holding over its shortlist.
func (h *hopes) weigh(held *holding, z *chances) {
	h.shortlist(held)
	h.weighList(held, z)
}

// weighList values a holding over the list found last, which a few tiles more or less leave nearly
// as it is.
func (h *hopes) weighList(held *holding, z *chances) {
	h.total, h.complete = 0, false
	h.loss = [tile.Kinds]float64{}
	for _, at := range h.list {
		h.weighLine(at, held, z)
	}
}

// lack is what a part of a line lacks.
type lack struct {
	kind tile.Kind
	rate rate
	// single and group are the tiles lacking, after jokers.
	single, group uint8
	// used is the number of naturals held that the part uses; tight says that no more are held.
	used  uint8
	tight bool
	// chance is that what is lacking comes.
	chance float32
}

const maxParts = 14

func (h *hopes) weighLine(at int32, held *holding, z *chances) {
	l := &h.book.lines[at]
	var room [maxParts]lack
	lacks := room[:len(l.parts)]
	e := estimate{product: 1}
	for i, p := range l.parts {
		have := held.rack[p.kind]
		group := p.group - min(p.group, held.opened[p.kind])
		inSingle := min(have, p.single)
		inGroup := min(have-inSingle, group)
		c := &lacks[i]
		*c = lack{kind: p.kind, rate: p.rate, single: p.single - inSingle, group: group - inGroup,
			used: inSingle + inGroup, tight: have > 0 && have <= p.single+group}
		c.chance = z.of(c.kind, c.rate, c.single, c.group)
		e.missing += int(c.single + c.group)
	}
	jokered := -1
	if l.jokers && held.rack[tile.Joker] > 0 {
		jokered = e.placeJokers(lacks, int(held.rack[tile.Joker]), z)
	}
	for i := range lacks {
		e.product *= lacks[i].chance
	}
	h.complete = h.complete || e.missing == 0
	value := h.weight[at] * e.value(lacks, z)
	if value == 0 {
		return
	}
	h.total += float64(value)
	for i := range lacks {
		c := &lacks[i]
		if !c.tight {
			continue
		}
		single, group := c.single, c.group
		if c.used > l.parts[i].single {
			group++
		} else {
			single++
		}
		h.loss[c.kind] += float64(value - h.weight[at]*e.with(c, single, group, z))
	}
	if jokered >= 0 {
		c := &lacks[jokered]
		h.loss[tile.Joker] += float64(value - h.weight[at]*e.with(c, c.single, c.group+1, z))
	}
}

// estimate is the chance of one line: the product of the chances of its parts, unless one tile or
// none is missing.
type estimate struct {
	missing int
	product float32
}

// placeJokers puts jokers where they raise the chances most and returns the part that got the
// last one, or -1.
func (e *estimate) placeJokers(lacks []lack, jokers int, z *chances) (last int) {
	last = -1
	for range jokers {
		best, gain := -1, float32(0)
		var chance float32
		for i := range lacks {
			c := &lacks[i]
			if c.group == 0 || c.rate == drawn || c.rate == claimed {
				continue
			}
			with := z.of(c.kind, c.rate, c.single, c.group-1)
			if g := with / (c.chance + tiny); best < 0 || g > gain {
				best, gain, chance = i, g, with
			}
		}
		if best < 0 {
			return last
		}
		lacks[best].group--
		lacks[best].chance = chance
		e.missing--
		last = best
	}
	return last
}

// tiny keeps quotients of chances finite.
const tiny = 1e-12

func (e *estimate) value(lacks []lack, z *chances) float32 {
	switch e.missing {
	case 0:
		return 1
	case 1:
		for i := range lacks {
			if c := &lacks[i]; c.single+c.group == 1 {
				return z.finish(c.kind, c.rate, c.group == 1)
			}
		}
	}
	return e.product
}

// with is the value when one part lacks a tile more: single and group are what it then lacks.
func (e *estimate) with(c *lack, single, group uint8, z *chances) float32 {
	if e.missing == 0 {
		return z.finish(c.kind, c.rate, group > c.group)
	}
	return e.product / (c.chance + tiny) * z.of(c.kind, c.rate, single, group)
}
