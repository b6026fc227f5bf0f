package player

import (
	"math/rand/v2"

	"secondpass/engine/fit"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Thumb follows the usual rules of thumb (common practice, no source). It looks for multiples first: of the
// hands that are nearest or one tile further it chooses the one with the most pairs and larger
// groups begun, and sticks to the section of that hand: what the section's other near hands use is
// kept too. Flowers are not passed while anything else is spare, white dragons are kept where number hands use
// the zero, pairs rather than single tiles, neighbours in a suit rather than lone ones. It passes tiles of
// different suits, and no pair, where it can. With fewer than three tiles to spare it passes the
// rest blind, stops, and offers no more than it can spare. In play it claims only for the hand
// chosen, takes every joker it can exchange for, and discards what it wants least.
type Thumb struct {
	book    *book
	tracker *fit.Tracker
	held    holding
	list    []int32
	// chosen is the line it plays for, away how far that is.
	chosen int32
	away   int
	// wants is how much it wants to keep a tile of each kind.
	wants  [tile.Kinds]int
	stance stance
}

// What a tile is wanted for; the sums order the tiles. Our choice: a tile that the chosen hand uses goes
// last, one that only has a neighbour goes nearly first.
const (
	wantChosen    = 100
	wantSection   = 20
	wantFlower    = 30
	wantWhite     = 10
	wantMultiple  = 8
	wantNeighbour = 2
	wantJoker     = 1000
	// sameSuit and sameTile are what it costs to pass a tile with another of its suit or kind.
	sameSuit = 5
	sameTile = 12
	// wantSpare is what a tile to spare is wanted less than.
	wantSpare = wantSection
)

func newThumb(b *book) *Thumb { return &Thumb{book: b, tracker: fit.NewTracker(b.index)} }

// Begin forgets the game before.
func (t *Thumb) Begin(*rand.Rand) { t.stance = stance{} }

// consider chooses the hand and weighs what each tile is wanted for.
func (t *Thumb) consider(h holding) {
	t.held = h
	t.near()
	t.choose()
	t.wants = [tile.Kinds]int{}
	if len(t.list) > 0 {
		t.wantForSection(t.book.lines[t.chosen].section)
	}
	for k := range tile.Kind(tile.Kinds) {
		if t.held.rack[k] > 0 {
			t.wants[k] += t.wantByItself(k)
		}
	}
}

// near lists the lines within one tile of the nearest, or all that the open groups allow.
func (t *Thumb) near() {
	t.list = t.list[:0]
	if !t.held.open {
		t.list, _ = t.tracker.Within(&t.held.rack, fit.AwayCost, 1, 0, t.list)
		return
	}
	for _, v := range t.held.variants {
		if at := t.book.place[v]; at != absent {
			t.list = append(t.list, at)
		}
	}
}

// choose takes the line with the most tiles, counted twice, and multiples; of equals the first.
func (t *Thumb) choose() {
	most := -1 << 30
	t.chosen, t.away = 0, card.HandTiles
	for _, at := range t.list {
		l := &t.book.lines[at]
		away := t.held.away(l)
		if score := t.held.multiples(l) - 2*away; score > most {
			most, t.chosen, t.away = score, at, away
		}
	}
}

// multiples is the number of kinds of which a line wants two or more and two or more are held.
func (h *holding) multiples(l *line) int {
	n := 0
	for _, p := range l.parts {
		if p.single+p.group >= 2 && h.rack[p.kind] >= 2 {
			n++
		}
	}
	return n
}

func (t *Thumb) wantForSection(section int16) {
	for _, at := range t.list {
		l := &t.book.lines[at]
		if l.section != section {
			continue
		}
		for _, p := range l.parts {
			switch {
			case t.held.misses(&p) == 0:
			case at == t.chosen:
				t.wants[p.kind] += wantChosen
			case t.wants[p.kind]%wantChosen == 0: // once for all the other hands of the section
				t.wants[p.kind] += wantSection
			}
		}
	}
}

func (t *Thumb) wantByItself(k tile.Kind) int {
	want := 0
	switch {
	case k == tile.Joker:
		return wantJoker
	case k == tile.Flower:
		want += wantFlower
	case k == tile.White && t.book.zeros:
		want += wantWhite
	}
	if t.held.rack[k] >= 2 {
		want += wantMultiple
	}
	if _, ranked := k.Suit(); ranked {
		below := k.Rank() > 1 && t.held.rack[k-1] > 0
		above := k.Rank() < 9 && t.held.rack[k+1] > 0
		if below || above {
			want += wantNeighbour
		}
	}
	return want
}

// spares is the number of tiles that neither the section nor a rule of thumb wants to keep.
func (t *Thumb) spares() int {
	n := 0
	for k := range tile.Joker {
		if t.wants[k] < wantSpare {
			n += int(t.held.rack[k])
		}
	}
	return n
}

// Pass gives away what is wanted least, and with fewer than three to spare only that.
func (t *Thumb) Pass(v *charleston.View) (charleston.Parcel, int) {
	blind := 0
	if v.Rules.Blind && v.Step.BlindAllowed() {
		t.consider(holding{rack: v.Rack})
		blind = max(0, charleston.PassTiles-t.spares())
	}
	return t.Release(v.Rack, charleston.PassTiles-blind, nil), blind
}

// Release gives away tiles one after another, each the one wanted least, with a mind to different suits.
func (t *Thumb) Release(rack tile.Rack, n int, may May) charleston.Parcel {
	var tiles [charleston.PassTiles]tile.Kind
	t.consider(holding{rack: rack})
	for i := range n {
		k, ok := t.least(tiles[:i], may)
		if !ok {
			k, _ = t.least(tiles[:i], nil)
		}
		tiles[i] = k
		t.held.rack[k]--
	}
	own, _ := charleston.ParcelOf(tiles[:n]...) // never more than three
	return own
}

// least is the natural wanted least beside those that go; ok is false where none may.
func (t *Thumb) least(going []tile.Kind, may May) (best tile.Kind, ok bool) {
	bestPrice := 0
	for k := range tile.Joker {
		if t.held.rack[k] == 0 || may != nil && !may(going, k) {
			continue
		}
		price := t.wants[k]
		suit, ranked := k.Suit()
		for _, other := range going {
			if other == k {
				price += sameTile
			} else if s, _ := other.Suit(); ranked && s == suit {
				price += sameSuit
			}
		}
		if !ok || price < bestPrice {
			best, bestPrice, ok = k, price, true
		}
	}
	return best, ok
}

// Stop stops with fewer than three tiles to spare.
func (t *Thumb) Stop(v *charleston.View) bool {
	t.consider(holding{rack: v.Rack})
	return t.spares() < charleston.PassTiles
}

// Offer offers what is to spare.
func (t *Thumb) Offer(v *charleston.View) int {
	t.consider(holding{rack: v.Rack})
	return min(t.spares(), charleston.PassTiles)
}

// Give hands over what is due.
func (t *Thumb) Give(v *charleston.View) charleston.Parcel { return t.Release(v.Rack, v.Exchange, nil) }

// Turn declares, takes any joker it can use, or discards what is wanted least.
func (t *Thumb) Turn(v table.View) table.Action {
	t.consider(holdingOf(v))
	declare := table.Action{Seat: v.Seat(), Kind: table.Declare}
	if t.away == 0 && v.Check(declare) == nil {
		return declare
	}
	if a, ok := t.exchange(v); ok {
		return a
	}
	k, ok := t.least(nil, nil)
	if !ok { // nothing but jokers
		k = tile.Joker
	}
	h := t.held
	h.rack[k]--
	t.takeStance(h)
	return table.Action{Seat: v.Seat(), Kind: table.Discard, Tile: k}
}

// exchange finds any joker that the chosen hand has use for.
func (t *Thumb) exchange(v table.View) (table.Action, bool) {
	if !t.book.lines[t.chosen].jokers() {
		return table.Action{}, false
	}
	for seat := range charleston.Seat(charleston.Seats) {
		groups, n := v.Open(seat)
		for _, g := range groups[:n] {
			if g.Jokers > 0 && t.held.rack[g.Tile] > 0 {
				return table.Action{Seat: v.Seat(), Kind: table.Exchange, Tile: g.Tile, From: seat}, true
			}
		}
	}
	return table.Action{}, false
}

// takeStance notes what 13 tiles wait for.
func (t *Thumb) takeStance(h holding) {
	t.consider(h)
	st := stance{rack: t.held.rack, allowed: len(t.held.variants)}
	for _, at := range t.list {
		st.wins |= t.held.winning(&t.book.lines[at])
	}
	if l := &t.book.lines[t.chosen]; len(t.list) > 0 && !l.concealed() {
		st.claims = t.held.claimable(l, t.book.groups[t.chosen])
	}
	t.stance = st
}

// Claim takes a tile that wins or completes a group of the hand chosen.
func (t *Thumb) Claim(v table.View) table.Claim {
	d, ok := v.Claimable()
	if !ok {
		return table.Claim{}
	}
	h := holdingOf(v)
	if !t.stance.isOf(v) { // not one's own memory of this seat
		t.takeStance(h)
	}
	if c, weigh := t.stance.answer(v, d.Tile); !weigh {
		return c
	}
	t.consider(h)
	for c, after := range h.exposures(v, d.Tile) {
		for _, variant := range after.variants {
			if t.book.place[variant] == t.chosen {
				return c
			}
		}
	}
	return table.Claim{}
}
