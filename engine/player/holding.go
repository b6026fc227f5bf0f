package player

import (
	"iter"

	"secondpass/engine/fit"
	"secondpass/rules/card"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// holding is what a seat has: concealed tiles, and the sizes of its open groups by kind.
type holding struct {
	rack   tile.Rack
	opened tile.Rack
	// open says that something lies open; variants are then those that it allows, of the card.
	open     bool
	variants []int32
}

// naturals has a bit for each kind but the joker.
const naturals = 1<<tile.Joker - 1

// holdingOf reads a seat's own tiles from its view.
func holdingOf(v table.View) holding {
	h := holding{rack: v.Rack()}
	groups, n := v.Open(v.Seat())
	for _, g := range groups[:n] {
		h.opened[g.Tile] += g.Size
	}
	if n > 0 {
		h.open, h.variants = true, v.Variants(v.Seat())
	}
	return h
}

// lacks is the tiles that a line lacks which the open groups allow: of singles and pairs, and of
// larger groups after jokers.
func (h *holding) lacks(l *line) (singles, groups int) {
	for _, p := range l.parts {
		have, group := h.rack[p.kind], p.group-min(p.group, h.opened[p.kind])
		single := min(have, p.single)
		singles += int(p.single - single)
		groups += int(group - min(have-single, group))
	}
	if l.jokers() {
		groups -= min(groups, int(h.rack[tile.Joker]))
	}
	return singles, groups
}

// prices is what every line costs, by its place in the index, with the open groups' tiles added to the rack. That is what a line lacks
// unless a kind of theirs is one of its mixed ones, or its hand has no jokers: the index counts its groups as singles. ok is false where
// that makes more tiles of a kind than there are: jokers lie among them.
func (h *holding) prices(near *fit.Tracker, c fit.Cost) (prices []uint8, ok bool) {
	return near.Prices(h.rack.Plus(h.opened), c)
}

// away is the number of tiles the holding is away from a line that its open groups allow.
func (h *holding) away(l *line) int {
	singles, groups := h.lacks(l)
	return singles + groups
}

// stance is what a seat with 13 tiles waits for.
type stance struct {
	rack tile.Rack // whose stance it is
	// wins are the kinds that may complete the hand, claims those that may complete a group, one
	// bit each.
	wins, claims uint64
	away         int
	// allowed is the number of variants that the open groups allowed, 0 with none open; it changes when
	// somebody takes a joker out of them.
	allowed int
	// unread says that it is not known yet what completes a group, only that no tile wins.
	unread bool
}

// unread is the stance of a holding far from complete. Most discards cannot complete a group with what is held, whatever the hands;
// what the hands want is found out when one can.
func (h *holding) unread() stance {
	return stance{rack: h.rack, allowed: len(h.variants), unread: true}
}

// knows says whether the stance answers a discard.
func (s *stance) knows(v table.View, k tile.Kind) bool {
	return s.isOf(v) && !(s.unread && s.rack[k]+s.rack[tile.Joker] >= table.MinGroup-1)
}

// isOf says whether the stance is that of a seat as it is now.
func (s *stance) isOf(v table.View) bool {
	if s.rack != v.Rack() {
		return false
	}
	if _, n := v.Open(v.Seat()); n > 0 {
		return s.allowed == len(v.Variants(v.Seat()))
	}
	return s.allowed == 0
}

// answer is what a discard calls for by itself: a claim where it wins, none where it completes no group. weigh says that groups to lay open
// have to be weighed.
func (s *stance) answer(v table.View, k tile.Kind) (c table.Claim, weigh bool) {
	win := table.Claim{Mahjong: true}
	if s.wins>>k&1 == 1 && v.Check(win.By(v.Seat(), k)) == nil {
		return win, false
	}
	return c, s.claims>>k&1 == 1
}

// stanceOver is the stance by some lines: what may complete a group of any, and, where one may lack a single tile, what wins.
func (h *holding) stanceOver(b *book, lines []int32, single bool) stance {
	st := stance{rack: h.rack, allowed: len(h.variants)}
	for _, at := range lines {
		l := &b.lines[at]
		if single {
			st.wins |= h.winning(l)
		}
		if !l.concealed() {
			st.claims |= h.claimable(l, b.groups[at])
		}
	}
	return st
}

// winning is the kinds that would complete a line, or none when more is missing.
func (h *holding) winning(l *line) uint64 {
	singles, groups := 0, 0
	var singleKinds, groupKinds uint64
	for _, p := range l.parts {
		have := h.rack[p.kind]
		group := p.group - min(p.group, h.opened[p.kind])
		if lacking := p.single - min(have, p.single); lacking > 0 {
			singles += int(lacking)
			singleKinds |= 1 << p.kind
		}
		if lacking := group - min(have-min(have, p.single), group); lacking > 0 {
			groups += int(lacking)
			groupKinds |= 1 << p.kind
		}
	}
	if l.jokers() {
		groups -= min(groups, int(h.rack[tile.Joker]))
	}
	switch {
	case singles == 1 && groups == 0:
		return singleKinds
	case singles == 0 && groups == 1:
		return groupKinds
	}
	return 0
}

// claimable is the kinds with which a line's groups of three or more could be laid open now.
func (h *holding) claimable(l *line, of []card.Group) uint64 {
	var kinds uint64
	for _, g := range of {
		have := int(h.rack[g.Kind])
		if l.jokers() {
			have += int(h.rack[tile.Joker])
		}
		if have >= g.Size-1 && int(h.opened[g.Kind]) < g.Size {
			kinds |= 1 << g.Kind
		}
	}
	return kinds
}

// exposures lists the groups that a discard can be claimed for, each with as many naturals as
// are held, and the holding after it, which still has a tile to discard.
func (h *holding) exposures(v table.View, k tile.Kind) iter.Seq2[table.Claim, holding] {
	before := *h
	return func(yield func(table.Claim, holding) bool) {
		for size := uint8(table.MinGroup); size <= table.MaxGroup; size++ {
			naturals := min(size-1, before.rack[k])
			jokers := size - 1 - naturals
			if jokers > before.rack[tile.Joker] {
				return
			}
			c := table.Claim{Size: size, Jokers: jokers}
			variants := v.VariantsWith(table.Exposure{Tile: k, Size: size, Jokers: jokers})
			if len(variants) == 0 {
				continue
			}
			after := before
			after.rack[k] -= naturals
			after.rack[tile.Joker] -= jokers
			after.opened[k] += size
			after.open, after.variants = true, variants
			if !yield(c, after) {
				return
			}
		}
	}
}
