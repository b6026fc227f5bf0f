package player

import (
	"math/bits"
	"math/rand/v2"

	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Strong is the best player there is here. It values a rack by all hands within reach at once: for
// each the chance that what is missing comes in time, from the wall or by a claim, given the tiles
// already seen and the jokers; hands that can only win by themselves count for little, several
// open ones for more than one. Passing, discarding, claiming and exchanging all go by that
// one value. It steers by a short horizon: a hand that needs the whole wall is worth next to
// nothing, since others win before.
type Strong struct {
	kit   *StrongKit
	hopes *hopes
	held  holding
	// stance is what it waits for since its last turn.
	stance stance
	// waits is the lines within reach of the stance.
	waits []int32
	// going is what it would give away of a rack, for the decisions that ask that several times.
	going going
}

// going is what a player would give away of a rack, one after another, with the part of the value that
// each costs.
type going struct {
	rack  tile.Rack
	tiles [charleston.PassTiles]tile.Kind
	costs [charleston.PassTiles]float64
}

// StrongKit is what all strong players of a card and aim share: the book of hands and the tables of
// chances. It is read-only.
type StrongKit struct {
	book *book
	odds *Odds
	set  tile.Set
	// wanted is what passing a tile of each kind costs for the sake of who receives it, see Params.Receiver.
	wanted [tile.Kinds]float64
}

// newKit is for the hands of a book, with tables of chances.
func newKit(b *book, o *Odds) *StrongKit {
	k := &StrongKit{book: b, odds: o, set: b.card.Set}
	if o.params.Receiver > 0 {
		k.askReceivers(o.params.Receiver)
	}
	return k
}

// With is a kit for the same hands with another tuning.
func (k *StrongKit) With(t Tuning) *StrongKit {
	return newKit(k.book, NewOdds(t.Params))
}

// New is a player of its own: one for each seat and goroutine.
func (k *StrongKit) New() *Strong {
	return &Strong{kit: k, hopes: newHopes(k.book, k.odds)}
}

// Begin forgets the game before.
func (s *Strong) Begin(*rand.Rand) { s.stance, s.going = stance{}, going{} }

// value weighs a closed rack before play, when the wall is whole.
func (s *Strong) value(rack *tile.Rack, z *chances) float64 {
	s.held = holding{rack: *rack}
	s.hopes.weigh(&s.held, z)
	return s.hopes.total
}

// dealtWall is the number of tiles left when all are dealt.
func dealtWall(set tile.Set) int {
	return set.Size() - 1 - charleston.Seats*(card.HandTiles-1)
}

// before gives the chances before play: unseen is all that is not in the own rack.
func (s *Strong) before(rack *tile.Rack) chances {
	unseen := tile.Rack(s.kit.set).Minus(*rack)
	return s.kit.odds.at(&unseen, dealtWall(s.kit.set))
}

// cheapest takes three naturals out of a rack one after another, each the one whose loss costs the least.
func (s *Strong) cheapest(rack *tile.Rack) *going {
	if s.going.rack != *rack {
		s.going.release(s, rack, charleston.PassTiles, nil)
		s.going.rack = *rack
	}
	return &s.going
}

// release takes n naturals out of a rack. The hands within reach are those of the whole rack.
func (g *going) release(s *Strong, rack *tile.Rack, n int, may May) {
	z := s.before(rack)
	s.held = holding{rack: *rack}
	s.hopes.shortlist(&s.held)
	s.hopes.weighList(&s.held, &z)
	same := false // the holding is worth what it was, tile by tile
	for i := range n {
		if i > 0 && !same {
			s.hopes.reweigh(g.tiles[i-1], &s.held, &z)
		}
		if !same {
			s.hopes.lose(&z)
			s.mindReceiver(g.tiles[:i])
		}
		k, ok := s.leastLoss(g.tiles[:i], may)
		if !ok {
			k, _ = s.leastLoss(nil, nil)
		}
		g.tiles[i], g.costs[i] = k, 0
		if s.hopes.total > 0 {
			g.costs[i] = s.hopes.loss[k] / s.hopes.total
		}
		s.held.rack[k]--
		same = s.hopes.loss[k] == 0 && s.held.rack[k] == 0 // no line had a use for the only one
	}
}

// leastLoss is the natural, of those held that may go, whose loss costs the holding weighed last least; of
// equals the first in canonical order. ok is false where none may.
func (s *Strong) leastLoss(going []tile.Kind, may May) (best tile.Kind, ok bool) {
	bestLoss := 0.0
	for kinds := s.held.rack.Held() & naturals; kinds != 0; kinds &= kinds - 1 {
		k := tile.Kind(bits.TrailingZeros64(kinds))
		if may != nil && !may(going, k) {
			continue
		}
		if loss := s.hopes.loss[k]; !ok || loss < bestLoss {
			best, bestLoss, ok = k, loss, true
		}
	}
	return best, ok
}

// willing is the number of tiles, 0 to 3, that cost no more than its patience.
func (s *Strong) willing(g *going) int {
	n := charleston.PassTiles
	for n > 0 && g.costs[n-1] > s.kit.odds.params.Hold {
		n--
	}
	return n
}

// Pass gives away what costs least; tiles that cost more than its patience are held back and
// others passed blind where that is allowed.
func (s *Strong) Pass(v *charleston.View) (charleston.Parcel, int) {
	g := s.cheapest(&v.Rack)
	n := charleston.PassTiles
	if v.Rules.Blind && v.Step.BlindAllowed() {
		n = s.willing(g)
	}
	own, _ := charleston.ParcelOf(g.tiles[:n]...) // never more than three
	return own, charleston.PassTiles - n
}

// Release gives away tiles one after another, each the one that costs least.
func (s *Strong) Release(rack tile.Rack, n int, may May) charleston.Parcel {
	var g going
	g.release(s, &rack, n, may)
	own, _ := charleston.ParcelOf(g.tiles[:n]...)
	return own
}

// Stop stops the second Charleston when three more tiles cost too much.
func (s *Strong) Stop(v *charleston.View) bool {
	return s.willing(s.cheapest(&v.Rack)) < charleston.PassTiles
}

// Offer offers the tiles that cost little.
func (s *Strong) Offer(v *charleston.View) int { return s.willing(s.cheapest(&v.Rack)) }

// Give hands over what costs least.
func (s *Strong) Give(v *charleston.View) charleston.Parcel {
	own, _ := charleston.ParcelOf(s.cheapest(&v.Rack).tiles[:v.Exchange]...)
	return own
}

// Turn declares a complete hand, exchanges for a joker where that gains or costs nothing, and else discards what
// costs least.
func (s *Strong) Turn(v table.View) table.Action {
	seat := v.Seat()
	s.held = holdingOf(v)
	unseen := v.Unseen()
	z := s.kit.odds.at(&unseen, v.WallLeft())
	s.hopes.weigh(&s.held, &z)
	if declare := (table.Action{Seat: seat, Kind: table.Declare}); s.hopes.complete && v.Check(declare) == nil {
		return declare
	}
	s.hopes.lose(&z)
	far := s.hopes.least > farthestWait
	if a, ok := s.exchange(v, &z); ok {
		return a
	}
	s.mindDanger(v)
	k := s.discard()
	if from, ok := jokerFor(v, k); ok { // it would go anyhow
		return table.Action{Seat: seat, Kind: table.Exchange, Tile: k, From: from}
	}
	s.held.rack[k]--
	if far { // and farther without the tile
		s.stance = s.held.unread()
	} else {
		s.takeStance()
	}
	return table.Action{Seat: seat, Kind: table.Discard, Tile: k}
}

// jokerFor is the seat that has a joker lying open in place of a tile.
func jokerFor(v table.View, k tile.Kind) (seat charleston.Seat, ok bool) {
	for seat := range charleston.Seat(charleston.Seats) {
		groups, n := v.Open(seat)
		for _, g := range groups[:n] {
			if g.Tile == k && g.Jokers > 0 {
				return seat, true
			}
		}
	}
	return 0, false
}

// discard is the tile whose loss costs least, jokers included: a hand without jokers has no use
// for them.
func (s *Strong) discard() tile.Kind {
	k, ok := s.leastLoss(nil, nil)
	if s.held.rack[tile.Joker] > 0 && (!ok || s.hopes.loss[tile.Joker] < s.hopes.loss[k]) {
		return tile.Joker
	}
	return k
}

// exchange finds the joker exchange that gains most.
func (s *Strong) exchange(v table.View, z *chances) (table.Action, bool) {
	var best table.Action
	before, gained := s.hopes.total, s.hopes.total
	held := s.held
	for seat := range charleston.Seat(charleston.Seats) {
		groups, n := v.Open(seat)
		for _, g := range groups[:n] {
			if g.Jokers == 0 || held.rack[g.Tile] == 0 {
				continue
			}
			s.held = held
			s.held.rack[g.Tile]--
			s.held.rack[tile.Joker]++
			s.hopes.weigh(&s.held, z)
			if s.hopes.total > gained {
				gained = s.hopes.total
				best = table.Action{Seat: v.Seat(), Kind: table.Exchange, Tile: g.Tile, From: seat}
			}
		}
	}
	if gained > before {
		return best, true
	}
	s.held, s.hopes.total = held, before
	return table.Action{}, false
}

// takeStance notes what the holding waits for, from the lines within its reach.
func (s *Strong) takeStance() {
	s.hopes.shortlist(&s.held)
	s.waits = append(s.waits[:0], s.hopes.list...)
	s.stance = s.held.stanceOver(s.kit.book, s.hopes.list, s.hopes.least <= farthestWait)
}

// farthestWait is the cost of the cheapest line above which none lacks only one tile.
var farthestWait = int(max(cost.Single, cost.Group))

// Claim takes a tile that wins, and one that completes a group where the hand is worth enough
// more with the group open than closed.
func (s *Strong) Claim(v table.View) table.Claim {
	d, ok := v.Claimable()
	if !ok {
		return table.Claim{}
	}
	if !s.stance.knows(v, d.Tile) {
		s.held = holdingOf(v)
		s.takeStance()
	}
	if c, weigh := s.stance.answer(v, d.Tile); !weigh {
		return c
	}
	return s.exposure(v, d.Tile)
}

// exposure weighs laying a group open: the size and jokers that leave most, if that is enough more
// than the hand is worth now. The holding is that of the stance.
func (s *Strong) exposure(v table.View, k tile.Kind) table.Claim {
	s.held = holdingOf(v)
	unseen := v.Unseen()
	z := s.kit.odds.at(&unseen, v.WallLeft())
	s.hopes.list = append(s.hopes.list[:0], s.waits...)
	s.hopes.weighList(&s.held, &z)
	var best table.Claim
	most := s.hopes.total * s.kit.odds.params.ClaimGain
	for c, after := range s.held.exposures(v, k) {
		s.held = after
		s.hopes.weigh(&s.held, &z)
		if s.hopes.total <= most { // and a discard only costs
			continue
		}
		s.hopes.lose(&z)
		if worth := s.hopes.total - s.hopes.loss[s.discard()]; worth > most {
			best, most = c, worth
		}
	}
	return best
}
