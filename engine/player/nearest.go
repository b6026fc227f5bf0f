package player

import (
	"math/bits"
	"math/rand/v2"

	"secondpass/engine/fit"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Nearest is greedy: it looks at the hands that are fewest tiles away and at nothing else. It
// passes and discards what they do not use and claims whatever brings it one tile nearer. It is the
// yardstick that others are measured by.
//
// With Ties it minds how many variants are nearest: of tiles that cost no tile away it lets go the
// one that fewest of them use. Without, the first in canonical order goes.
type Nearest struct {
	Ties bool

	book    *book
	tracker *fit.Tracker
	held    holding
	// list is the lines nearest to the holding counted last, away how far they are, uses[k] how many of
	// them would miss a tile of kind k.
	list []int32
	away int
	uses [tile.Kinds]int
	// tried is a second list, for holdings that are only looked at.
	tried  []int32
	stance stance
	// going is the tiles of a pass as they are chosen.
	going [charleston.PassTiles]tile.Kind
}

func newNearest(b *book, ties bool) *Nearest {
	return &Nearest{Ties: ties, book: b, tracker: fit.NewTracker(b.index)}
}

// Begin forgets the game before.
func (n *Nearest) Begin(*rand.Rand) { n.stance = stance{} }

// count finds the lines nearest to the holding and what they use.
func (n *Nearest) count() {
	n.list, n.away = n.nearest(n.list[:0])
	n.countUses()
}

func (n *Nearest) countUses() {
	n.uses = [tile.Kinds]int{}
	for _, at := range n.list {
		l := &n.book.lines[at]
		for i := range l.parts {
			p := &l.parts[i]
			n.uses[p.kind] += n.held.misses(p)
		}
		if l.jokers() {
			n.uses[tile.Joker]++
		}
	}
}

// misses is 1 if a part of a line would lack one more tile if one of its kind went, or else 0.
func (h *holding) misses(p *part) (one int) {
	size := p.size
	if h.open {
		size -= min(p.group, h.opened[p.kind])
	}
	if h.rack[p.kind]-1 < size { // which none, wrapped around, is not
		one = 1
	}
	return one
}

// without lets a tile go. Lines that do not use it stay as near as they were and all others are
// further, so that where there are such lines they are the nearest now.
func (n *Nearest) without(k tile.Kind) {
	n.held.rack[k]--
	if k == tile.Joker || n.uses[k] == len(n.list) {
		n.count()
		return
	}
	if n.uses[k] == 0 && n.held.rack[k] == 0 {
		return // as it was
	}
	kept := n.list[:0]
	for _, at := range n.list {
		// One that misses it may be as near all the same: a joker to spare stands in.
		if l := &n.book.lines[at]; l.kinds>>k&1 == 0 || n.held.away(l) == n.away {
			kept = append(kept, at)
		}
	}
	n.list = kept
	n.countUses()
}

// nearest appends the lines that are fewest away: of all, or of those that the open groups allow.
func (n *Nearest) nearest(list []int32) ([]int32, int) {
	if !n.held.open {
		return n.tracker.Nearest(&n.held.rack, list)
	}
	least := card.HandTiles + 1
	prices, same := n.held.prices(n.tracker, fit.AwayCost)
	opened := n.held.opened.Held()
	priced := same && n.book.mixed&opened == 0
	for _, v := range n.held.variants {
		at := n.book.place[v]
		if at == absent {
			continue
		}
		var away int
		if priced || same && n.book.lines[at].mixed&opened == 0 {
			away = int(prices[at])
		} else {
			away = n.held.away(&n.book.lines[at])
		}
		if away < least {
			least, list = away, list[:0]
		}
		if away == least {
			list = append(list, at)
		}
	}
	return list, least
}

// spare is the tile to let go of those that may: one that no nearest line, or the fewest of them, would
// miss; ok is false where none may. Jokers are looked at last.
func (n *Nearest) spare(last tile.Kind, going []tile.Kind, may May) (best tile.Kind, ok bool) {
	least := -1
	for kinds := n.held.rack.Held() & (1<<last - 1); kinds != 0; kinds &= kinds - 1 {
		k := tile.Kind(bits.TrailingZeros64(kinds))
		if may != nil && !may(going, k) {
			continue
		}
		uses := n.uses[k]
		if !n.Ties && uses < len(n.list) {
			uses = 0 // some nearest line does without it: it costs no tile away
		}
		if least < 0 || uses < least {
			best, least = k, uses
		}
		if least == 0 {
			break
		}
	}
	return best, least >= 0
}

// Pass gives away three tiles, one after the other, and none blind.
func (n *Nearest) Pass(v *charleston.View) (charleston.Parcel, int) {
	return n.Release(v.Rack, charleston.PassTiles, nil), 0
}

// Release gives away tiles one after another, each the one that is missed least.
func (n *Nearest) Release(rack tile.Rack, count int, may May) charleston.Parcel {
	tiles := &n.going
	n.held = holding{rack: rack}
	n.count()
	for i := range count {
		k, ok := n.spare(tile.Joker, tiles[:i], may)
		if !ok {
			k, _ = n.spare(tile.Joker, nil, nil)
		}
		tiles[i] = k
		if i+1 < count {
			n.without(k)
		}
	}
	own, _ := charleston.ParcelOf(tiles[:count]...) // never more than three
	return own
}

// Stop goes on with the second Charleston.
func (n *Nearest) Stop(*charleston.View) bool { return false }

// Offer offers as many tiles as the nearest lines do not use.
func (n *Nearest) Offer(v *charleston.View) int { return min(n.spares(v.Rack), charleston.PassTiles) }

// spares is the number of tiles that can go before the nearest lines all miss one, four at most.
func (n *Nearest) spares(rack tile.Rack) int {
	n.held = holding{rack: rack}
	n.count()
	for spare := range charleston.PassTiles + 1 {
		k, ok := n.spare(tile.Joker, nil, nil)
		if !ok || n.uses[k] == len(n.list) {
			return spare
		}
		n.without(k)
	}
	return charleston.PassTiles + 1
}

// Give hands over what is due.
func (n *Nearest) Give(v *charleston.View) charleston.Parcel {
	return n.Release(v.Rack, v.Exchange, nil)
}

// Turn declares, exchanges for any joker that does not set it back, or discards.
func (n *Nearest) Turn(v table.View) table.Action {
	n.held = holdingOf(v)
	n.count()
	if n.away == 0 {
		return table.Action{Seat: v.Seat(), Kind: table.Declare}
	}
	if a, ok := n.exchange(v); ok {
		return a
	}
	k, _ := n.spare(tile.Kinds, nil, nil)
	if n.away > 1 { // and no nearer without the tile
		n.held.rack[k]--
		n.stance = n.held.unread()
	} else {
		n.without(k)
		n.takeStance()
	}
	return table.Action{Seat: v.Seat(), Kind: table.Discard, Tile: k}
}

// exchange finds a joker exchange that brings the holding nearer, or keeps it as near with a tile that not
// all nearest lines use.
func (n *Nearest) exchange(v table.View) (table.Action, bool) {
	held := n.held
	for seat := range charleston.Seat(charleston.Seats) {
		groups, count := v.Open(seat)
		for _, g := range groups[:count] {
			if g.Jokers == 0 || held.rack[g.Tile] == 0 {
				continue
			}
			n.held.rack[g.Tile]--
			n.held.rack[tile.Joker]++
			var away int
			n.tried, away = n.nearest(n.tried[:0])
			n.held = held
			if away < n.away || away == n.away && n.uses[g.Tile] < len(n.list) {
				return table.Action{Seat: v.Seat(), Kind: table.Exchange, Tile: g.Tile, From: seat}, true
			}
		}
	}
	return table.Action{}, false
}

// takeStance notes which discards would bring the 13 tiles nearer, from the lines counted last.
func (n *Nearest) takeStance() {
	n.stance = n.held.stanceOver(n.book, n.list, n.away == 1)
	n.stance.away = n.away
}

// Claim wins when it can and lays open whatever brings it nearer.
func (n *Nearest) Claim(v table.View) table.Claim {
	d, ok := v.Claimable()
	if !ok {
		return table.Claim{}
	}
	if !n.stance.knows(v, d.Tile) {
		n.held = holdingOf(v)
		n.count()
		n.takeStance()
	}
	best, weigh := n.stance.answer(v, d.Tile)
	if !weigh {
		return best
	}
	n.held = holdingOf(v)
	least := n.stance.away
	for c, after := range n.held.exposures(v, d.Tile) {
		n.held = after
		var away int
		if n.tried, away = n.nearest(n.tried[:0]); away < least {
			best, least = c, away
		}
	}
	return best
}
