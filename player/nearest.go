package player

import (
	"math/rand/v2"

	"secondpass/card"
	"secondpass/charleston"
	"secondpass/fit"
	"secondpass/table"
	"secondpass/tile"
)

// Nearest is greedy: it looks at the hands that are fewest tiles away and at nothing else. It
// passes and discards what they do not use and claims whatever brings it one tile nearer. It is the
// yardstick that others are measured by.
//
// With Ties it minds how many variants are nearest: of tiles that cost no tile away it lets go the
// one that fewest of them use. Without, the first in canonical order goes.
type Nearest struct {
	Ties bool

	book  *book
	rater *fit.Rater
	list  []int32
	held  holding
	// away is how far the holding counted last is, uses[k] how many nearest lines would miss a tile
	// of kind k.
	away, lines int
	uses        [tile.Kinds]int
	stance      stance
}

// NewNearest makes the yardstick for a card or the hands of an aim.
func NewNearest(c *card.Card, aim []int, ties bool) *Nearest {
	b := newBook(c, aim)
	return &Nearest{Ties: ties, book: b, rater: fit.NewRater(b.index)}
}

// Begin forgets the game before.
func (n *Nearest) Begin(*rand.Rand) { n.stance = stance{} }

// count finds the lines nearest to the holding and what they use.
func (n *Nearest) count() {
	n.list, n.away = n.nearest(n.list[:0])
	n.lines = len(n.list)
	n.uses = [tile.Kinds]int{}
	for _, at := range n.list {
		l := &n.book.lines[at]
		for _, p := range l.parts {
			have := n.held.rack[p.kind]
			if have > 0 && have <= p.single+p.group-min(p.group, n.held.opened[p.kind]) {
				n.uses[p.kind]++
			}
		}
		if l.jokers {
			n.uses[tile.Joker]++
		}
	}
}

// nearest appends the lines that are fewest away: of all, or of those that the open groups allow.
func (n *Nearest) nearest(list []int32) ([]int32, int) {
	if !n.held.open {
		return n.rater.Within(&n.held.rack, fit.AwayCost, 0, 0, list)
	}
	least := card.HandTiles + 1
	for _, v := range n.held.variants {
		at := n.book.place[v]
		if at == absent {
			continue
		}
		away := n.held.away(&n.book.lines[at])
		if away < least {
			least, list = away, list[:0]
		}
		if away == least {
			list = append(list, at)
		}
	}
	return list, least
}

// away is the number of tiles the holding is away from a line that its open groups allow.
func (h *holding) away(l *line) int {
	singles, groups := 0, 0
	for _, p := range l.parts {
		have, group := h.rack[p.kind], p.group-min(p.group, h.opened[p.kind])
		single := min(have, p.single)
		singles += int(p.single - single)
		groups += int(group - min(have-single, group))
	}
	if l.jokers {
		groups -= min(groups, int(h.rack[tile.Joker]))
	}
	return singles + groups
}

// spare is the tile to let go: one that no nearest line, or the fewest of them, would miss.
func (n *Nearest) spare(jokers bool) tile.Kind {
	best, least := tile.Joker, -1
	for k := range tile.Kind(tile.Kinds) {
		if n.held.rack[k] == 0 || k == tile.Joker && !jokers {
			continue
		}
		uses := n.uses[k]
		if !n.Ties && uses < n.lines {
			uses = 0 // some nearest line does without it: it costs no tile away
		}
		if least < 0 || uses < least {
			best, least = k, uses
		}
	}
	return best
}

// Pass gives away three tiles, one after the other, and none blind.
func (n *Nearest) Pass(v *charleston.View) (charleston.Parcel, int) {
	return n.give(v.Rack, charleston.PassTiles), 0
}

func (n *Nearest) give(rack tile.Rack, count int) charleston.Parcel {
	var tiles [charleston.PassTiles]tile.Kind
	n.held = holding{rack: rack}
	for i := range count {
		n.count()
		tiles[i] = n.spare(false)
		n.held.rack[tiles[i]]--
	}
	own, _ := charleston.ParcelOf(tiles[:count]...) // never more than three
	return own
}

// Stop goes on with the second Charleston.
func (n *Nearest) Stop(*charleston.View) bool { return false }

// Offer offers as many tiles as the nearest lines do not use.
func (n *Nearest) Offer(v *charleston.View) int {
	n.held = holding{rack: v.Rack}
	offer := 0
	for offer < charleston.PassTiles {
		n.count()
		k := n.spare(false)
		if n.uses[k] == n.lines {
			break
		}
		n.held.rack[k]--
		offer++
	}
	return offer
}

// Give hands over what is due.
func (n *Nearest) Give(v *charleston.View) charleston.Parcel { return n.give(v.Rack, v.Exchange) }

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
	k := n.spare(true)
	n.held.rack[k]--
	n.takeStance()
	return table.Action{Seat: v.Seat(), Kind: table.Discard, Tile: k}
}

// exchange puts a tile that costs nothing, or no more than the joker gains, in a joker's place.
func (n *Nearest) exchange(v table.View) (table.Action, bool) {
	held, away, uses, lines := n.held, n.away, n.uses, n.lines
	for seat := range charleston.Seat(charleston.Seats) {
		groups, count := v.Open(seat)
		for _, g := range groups[:count] {
			if g.Jokers == 0 || held.rack[g.Tile] == 0 {
				continue
			}
			n.held.rack[g.Tile]--
			n.held.rack[tile.Joker]++
			n.count()
			if n.away < away || n.away == away && uses[g.Tile] < lines {
				return table.Action{Seat: v.Seat(), Kind: table.Exchange, Tile: g.Tile, From: seat}, true
			}
			n.held = held
		}
	}
	n.away, n.uses, n.lines = away, uses, lines
	return table.Action{}, false
}

// takeStance notes which discards would bring the 13 tiles nearer.
func (n *Nearest) takeStance() {
	n.count()
	st := stance{rack: n.held.rack, away: n.away}
	for _, at := range n.list {
		l := &n.book.lines[at]
		if n.away == 1 {
			st.wins |= n.held.winning(l)
		}
		if !l.concealed {
			st.claims |= n.held.claimable(l)
		}
	}
	n.stance = st
}

// Claim wins when it can and lays open whatever brings it nearer.
func (n *Nearest) Claim(v table.View) table.Claim {
	d, ok := v.Claimable()
	if !ok {
		return table.Claim{}
	}
	if n.stance.rack != v.Rack() { // not one's own memory of this seat
		n.held = holdingOf(v)
		n.takeStance()
	}
	bit := uint64(1) << d.Tile
	if c := (table.Claim{Mahjong: true}); n.stance.wins&bit != 0 && v.Check(c.By(v.Seat(), d.Tile)) == nil {
		return c
	}
	if n.stance.claims&bit == 0 {
		return table.Claim{}
	}
	n.held = holdingOf(v)
	best, least := table.Claim{}, n.stance.away
	for c, after := range n.held.exposures(v, d.Tile) {
		n.held = after
		if _, away := n.nearest(n.list[:0]); away < least {
			best, least = c, away
		}
	}
	return best
}
