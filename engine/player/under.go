package player

import (
	"math/rand/v2"

	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// May says whether a natural tile may go together with those that go already; nil lets all go.
type May func(going []tile.Kind, k tile.Kind) bool

// Selective is a player that can be told which tiles to keep back in a pass.
type Selective interface {
	Player
	// Release chooses n tiles, 0 to 3, to give away out of a rack before play, one after another,
	// each one that may go with those before it; where none may, all may. The rack holds
	// at least n naturals, and jokers never go.
	Release(rack tile.Rack, n int, may May) charleston.Parcel
}

// under is a player held to rules, some of them for some decisions of the passing alone; by the hands of the book they judge what is
// spare.
func under(p Selective, r Rules, sometimes []timed, b *book) *bound {
	return &bound{Selective: p, always: r, sometimes: sometimes, rules: r, near: newNearest(b, true)}
}

// bound is a player held to rules.
type bound struct {
	Selective
	always    Rules
	sometimes []timed
	// rules are those that hold for the decision at hand.
	rules Rules
	// near counts what is spare.
	near *Nearest
	// spoils says that this game is one to spoil.
	spoils bool
}

// Begin tells of a new game and draws lots whether it is one to spoil.
func (b *bound) Begin(rng *rand.Rand) {
	b.Selective.Begin(rng)
	b.rules = b.always
	if b.rules.SpoilOneIn > 0 {
		b.spoils = rng.IntN(b.rules.SpoilOneIn) == 0
	}
}

// look takes the rules that hold for a decision.
func (b *bound) look(v *charleston.View) {
	b.rules = b.always
	for i := range b.sometimes {
		if t := &b.sometimes[i]; t.holds(b, v) {
			b.rules.add(&t.rules)
		}
	}
}

// Pass asks the player, and chooses again under the rules that bind.
func (b *bound) Pass(v *charleston.View) (charleston.Parcel, int) {
	b.look(v)
	if b.spoils && v.Step == charleston.FirstRight {
		if own, ok := b.multiple(v.Rack); ok {
			return own, 0
		}
	}
	own, blind := b.Selective.Pass(v)
	if v.Rules.Blind && v.Step.BlindAllowed() {
		blind = b.blind(v, blind)
	}
	if b.rules.boundsPasses() || own.Len() != charleston.PassTiles-blind {
		own = b.Release(v.Rack, charleston.PassTiles-blind, nil)
	}
	return own, blind
}

// blind is the number of tiles to pass blind where the player would pass so many.
func (b *bound) blind(v *charleston.View, wish int) int {
	switch b.rules.Blind {
	case BlindNever:
		return 0
	case BlindAlways:
		return b.rules.BlindCount
	case BlindWhenSpare:
		if b.near.spares(v.Rack) <= b.rules.BlindSpare {
			return b.rules.BlindCount
		}
		return 0
	}
	return wish
}

// multiple is three tiles with as many as can be of the best multiple: of those held twice or more, that which most of
// the nearest hands would miss. ok is false where no kind is held twice.
func (b *bound) multiple(rack tile.Rack) (own charleston.Parcel, ok bool) {
	b.near.held = holding{rack: rack}
	b.near.count()
	best := tile.Joker
	for k := range tile.Joker {
		if rack[k] >= 2 && (best == tile.Joker || b.near.uses[k] > b.near.uses[best]) {
			best = k
		}
	}
	if best == tile.Joker {
		return own, false
	}
	var going []tile.Kind
	for range min(charleston.PassTiles, int(rack[best])) {
		going = append(going, best)
	}
	rest := b.Release(rack.Minus(tile.RackOf(going...)), charleston.PassTiles-len(going), nil)
	own, _ = charleston.ParcelOf(append(going, rest.Tiles()...)...) // never more than three
	return own, true
}

// Release chooses under the rules and under may. Where no tile keeps to all rules, flowers and other kinds are still
// kept back if they are to be, and where that leaves none, any tile goes.
func (b *bound) Release(rack tile.Rack, n int, may May) charleston.Parcel {
	if !b.rules.boundsPasses() {
		return b.Selective.Release(rack, n, may)
	}
	kept := Rules{KeepFlowers: b.rules.KeepFlowers, Keep: b.rules.Keep}
	return b.Selective.Release(rack, n, func(going []tile.Kind, k tile.Kind) bool {
		left := rack.Minus(tile.RackOf(going...))
		for _, rules := range [...]*Rules{&b.rules, &kept} {
			allowed := func(k tile.Kind) bool { return rules.may(going, k, &left) && (may == nil || may(going, k)) }
			if anyNatural(&left, allowed) {
				return allowed(k)
			}
		}
		return true
	})
}

func anyNatural(rack *tile.Rack, is func(tile.Kind) bool) bool {
	for k := range tile.Joker {
		if rack[k] > 0 && is(k) {
			return true
		}
	}
	return false
}

// Stop votes as the rule says.
func (b *bound) Stop(v *charleston.View) bool {
	b.look(v)
	switch b.rules.Stop {
	case StopAlways:
		return true
	case StopNever:
		return false
	case StopWhenSpare:
		return b.near.spares(v.Rack) <= b.rules.StopSpare
	}
	return b.Selective.Stop(v)
}

// Offer offers as many as the rule says.
func (b *bound) Offer(v *charleston.View) int {
	b.look(v)
	if b.rules.FixedCourtesy {
		return b.rules.Courtesy
	}
	return b.Selective.Offer(v)
}

// Give hands over what is due, under the rules on passes.
func (b *bound) Give(v *charleston.View) charleston.Parcel {
	b.look(v)
	if b.rules.boundsPasses() {
		return b.Release(v.Rack, v.Exchange, nil)
	}
	return b.Selective.Give(v)
}

// Turn lets the player act; under the rule on bait a discard may be another spare tile.
func (b *bound) Turn(v table.View) table.Action {
	a := b.Selective.Turn(v)
	if b.rules.JokerBait && a.Kind == table.Discard && a.Tile != tile.Joker {
		a.Tile = b.bait(v, a.Tile)
	}
	return a
}

// baitWall is the number of tiles in the wall from which on a spare pair is thrown: about when hands begin
// to lie open with jokers in them. Our choice.
const baitWall = 50

// bait is the tile to throw where the player would throw another: never from a spare pair early, as long as a
// single tile is spare, and always from one late.
func (b *bound) bait(v table.View, wish tile.Kind) tile.Kind {
	b.near.held = holdingOf(v)
	b.near.count()
	held := &b.near.held.rack
	early := v.WallLeft() > baitWall
	if early && held[wish] < 2 {
		return wish
	}
	for k := range tile.Joker {
		if held[k] > 0 && b.near.uses[k] == 0 && (held[k] >= 2) != early {
			return k
		}
	}
	return wish
}

// Split is two players on one seat: one who passes and one who plays.
type Split struct {
	Passes, Plays Selective
}

// Begin tells both of a new game.
func (s *Split) Begin(rng *rand.Rand) {
	s.Passes.Begin(rng)
	s.Plays.Begin(rng)
}

// Pass is the passer's.
func (s *Split) Pass(v *charleston.View) (charleston.Parcel, int) { return s.Passes.Pass(v) }

// Stop is the passer's.
func (s *Split) Stop(v *charleston.View) bool { return s.Passes.Stop(v) }

// Offer is the passer's.
func (s *Split) Offer(v *charleston.View) int { return s.Passes.Offer(v) }

// Give is the passer's.
func (s *Split) Give(v *charleston.View) charleston.Parcel { return s.Passes.Give(v) }

// Release is the passer's.
func (s *Split) Release(rack tile.Rack, n int, may May) charleston.Parcel {
	return s.Passes.Release(rack, n, may)
}

// Turn is the player's.
func (s *Split) Turn(v table.View) table.Action { return s.Plays.Turn(v) }

// Claim is the player's.
func (s *Split) Claim(v table.View) table.Claim { return s.Plays.Claim(v) }
