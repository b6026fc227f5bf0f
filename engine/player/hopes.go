package player

import (
	"math"

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
	// list is the lines within reach, least the cost of the cheapest; prices is working memory.
	list   []int32
	least  int
	prices []int
	// total is the value of the holding weighed last; loss[k] is what it would lose without one
	// tile of kind k.
	total float64
	loss  [tile.Kinds]float64
	// complete says that a line lacks nothing.
	complete bool
	// lacks is working memory.
	lacks [maxLacks]lack
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
	for _, v := range held.variants {
		at := h.book.place[v]
		if at == absent {
			continue
		}
		singles, groups := held.lacks(&h.book.lines[at])
		price := int(cost.Single)*singles + int(cost.Group)*groups
		h.list, h.prices, h.least = append(h.list, at), append(h.prices, price), min(h.least, price)
	}
	kept := h.list[:0]
	for i, at := range h.list {
		if h.prices[i] <= h.least+p.Slack {
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
	h.total, h.complete = 0, false
	h.loss = [tile.Kinds]float64{}
	for _, at := range h.list {
		h.weighLine(at, held, z)
	}
}

// lack is what a line lacks of one kind, for its singles and pairs or for its larger groups.
type lack struct {
	kind tile.Kind
	// need is the tiles lacking after jokers; at is the place of that in the odds.
	need uint8
	at   int32
	// group says that it is for a group; tight that the line would lack one more if one tile went.
	group, tight bool
}

// maxLacks bounds the lacks of a line of fourteen tiles.
const maxLacks = 16

func (h *hopes) weighLine(at int32, held *holding, z *chances) {
	l := &h.book.lines[at]
	lacks, missing := h.lacking(l, held, z)
	jokered := -1
	if jokers := held.rack[tile.Joker]; jokers > 0 && l.jokers {
		var placed int
		jokered, placed = placeJokers(lacks, int(jokers), z)
		missing -= placed
	}
	h.complete = h.complete || missing == 0
	value := h.weight[at] * chanceOf(lacks, missing, l.rate, z)
	h.total += float64(value)
	if value < float32(h.total)*negligible {
		return
	}
	for i := range lacks {
		if c := &lacks[i]; c.tight {
			h.loss[c.kind] += float64(value * fall(c, missing, l.rate, z))
		}
	}
	if jokered >= 0 {
		h.loss[tile.Joker] += float64(value * fall(&lacks[jokered], missing, l.rate, z))
	}
}

// negligible is the part of the value up to a line below which the line has no say in what may go.
const negligible = 5e-4

// lacking lists what a line lacks before jokers, and parts of which it has just enough.
func (h *hopes) lacking(l *line, held *holding, z *chances) (lacks []lack, missing int) {
	n := 0
	groups := int32(l.rate) * perRate
	for i := range l.parts {
		p := &l.parts[i]
		have := held.rack[p.kind]
		group := p.group
		if held.open {
			group -= min(group, held.opened[p.kind])
		}
		if have > p.single+group {
			continue
		}
		live := z.live[p.kind]
		if p.single > 0 {
			need := p.single - min(have, p.single)
			c := &h.lacks[n] // filled field by field: a literal is built elsewhere and copied
			c.kind, c.need, c.group, c.tight = p.kind, need, false, have > 0 && have <= p.single
			c.at = int32(need)*perNeed + int32(live)
			n++
			missing += int(need)
			have -= min(have, p.single)
			live -= min(live, need)
		}
		if group > 0 {
			need := group - have
			c := &h.lacks[n]
			c.kind, c.need, c.group, c.tight = p.kind, need, true, have > 0
			c.at = groups + int32(need)*perNeed + int32(live)
			n++
			missing += int(need)
		}
	}
	return h.lacks[:n], missing
}

// placeJokers puts jokers where they raise the chance most. It returns the lack that got the last one,
// or -1 where one is left over, and how many were placed.
func placeJokers(lacks []lack, jokers int, z *chances) (last, placed int) {
	for ; placed < jokers; placed++ {
		best, least := -1, float32(2)
		for i := range lacks {
			c := &lacks[i]
			if !c.group || c.need == 0 {
				continue
			}
			if f := z.less[c.at-perNeed]; f < least {
				best, least = i, f
			}
		}
		if best < 0 {
			return -1, placed
		}
		last = best
		lacks[best].need--
		lacks[best].at -= perNeed
	}
	return last, placed
}

// chanceOf is the chance of a line: the product of the chances of its parts, unless one tile or none is missing.
func chanceOf(lacks []lack, missing int, r rate, z *chances) float32 {
	switch missing {
	case 0:
		return 1
	case 1:
		for i := range lacks {
			if c := &lacks[i]; c.need == 1 {
				return z.finish(c.kind, r, c.group)
			}
		}
	}
	product := float32(1)
	for i := range lacks {
		product *= z.come[lacks[i].at]
	}
	return product
}

// fall is the part of a line's chance that is lost when one tile more is missing.
func fall(c *lack, missing int, r rate, z *chances) float32 {
	if missing == 0 {
		return 1 - z.finish(c.kind, r, c.group)
	}
	return 1 - z.less[c.at]
}
