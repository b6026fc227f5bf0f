package player

import (
	"math/rand/v2"

	"secondpass/card"
	"secondpass/charleston"
	"secondpass/table"
	"secondpass/tile"
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
}

// StrongKit is what all strong players of a card and aim share: the book of hands and the tables of
// chances. It is read-only.
type StrongKit struct {
	book *book
	odds *Odds
	set  tile.Set
}

// NewStrongKit prepares a card, or the hands of an aim (indices of its Hands), for strong players.
func NewStrongKit(c *card.Card, aim []int, p Params) *StrongKit {
	return &StrongKit{book: newBook(c, aim), odds: NewOdds(p), set: c.Set}
}

// New is a player of its own: one for each seat and goroutine.
func (k *StrongKit) New() *Strong {
	return &Strong{kit: k, hopes: newHopes(k.book, k.odds)}
}

// Begin forgets the game before.
func (s *Strong) Begin(*rand.Rand) { s.stance = stance{} }

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

// cheapest takes n naturals out of a rack one after another, each the one whose loss costs the
// least, and returns them with the part of the value that each cost.
func (s *Strong) cheapest(rack tile.Rack, n int) (tiles [charleston.PassTiles]tile.Kind, costs [charleston.PassTiles]float64) {
	z := s.before(&rack)
	for i := range n {
		total := s.value(&rack, &z)
		k := s.leastLoss(&rack)
		tiles[i] = k
		if total > 0 {
			costs[i] = s.hopes.loss[k] / total
		}
		rack[k]--
	}
	return tiles, costs
}

// leastLoss is the natural held whose loss costs the holding weighed last least; of equals the one
// that fewest lines of the whole card want.
func (s *Strong) leastLoss(rack *tile.Rack) tile.Kind {
	best, bestLoss := tile.Kind(0), -1.0
	for k := range tile.Joker {
		if rack[k] == 0 {
			continue
		}
		if loss := s.hopes.loss[k]; bestLoss < 0 || loss < bestLoss {
			best, bestLoss = k, loss
		}
	}
	return best
}

// Pass gives away what costs least; tiles that cost more than its patience are held back and
// others passed blind where that is allowed.
func (s *Strong) Pass(v *charleston.View) (charleston.Parcel, int) {
	tiles, costs := s.cheapest(v.Rack, charleston.PassTiles)
	n := charleston.PassTiles
	if v.Rules.Blind && v.Step.BlindAllowed() {
		for n > 0 && costs[n-1] > s.kit.odds.params.Hold {
			n--
		}
	}
	own, _ := charleston.ParcelOf(tiles[:n]...) // never more than three
	return own, charleston.PassTiles - n
}

// Stop stops the second Charleston when three more tiles cost too much.
func (s *Strong) Stop(v *charleston.View) bool {
	_, costs := s.cheapest(v.Rack, charleston.PassTiles)
	return costs[charleston.PassTiles-1] > s.kit.odds.params.Hold
}

// Offer offers the tiles that cost little.
func (s *Strong) Offer(v *charleston.View) int {
	_, costs := s.cheapest(v.Rack, charleston.PassTiles)
	n := charleston.PassTiles
	for n > 0 && costs[n-1] > s.kit.odds.params.Hold {
		n--
	}
	return n
}

// Give hands over what costs least.
func (s *Strong) Give(v *charleston.View) charleston.Parcel {
	tiles, _ := s.cheapest(v.Rack, v.Exchange)
	own, _ := charleston.ParcelOf(tiles[:v.Exchange]...)
	return own
}

// Turn declares a complete hand, exchanges for a joker where that gains, and else discards what
// costs least.
func (s *Strong) Turn(v table.View) table.Action {
	seat := v.Seat()
	s.held = holdingOf(v)
	unseen := v.Unseen()
	z := s.kit.odds.at(&unseen, v.WallLeft())
	s.hopes.weigh(&s.held, &z)
	if declare := (table.Action{Seat: seat, Kind: table.Declare}); s.mayBeComplete() && v.Check(declare) == nil {
		return declare
	}
	if a, ok := s.exchange(v, &z); ok {
		return a
	}
	k := s.discard()
	s.held.rack[k]--
	s.takeStance(&z)
	return table.Action{Seat: seat, Kind: table.Discard, Tile: k}
}

// mayBeComplete says whether some line within reach lacks nothing. A complete line is worth its
// weight, the most a line can be.
func (s *Strong) mayBeComplete() bool { return s.hopes.complete }

// discard is the tile whose loss costs least, jokers included: a hand without jokers has no use
// for them.
func (s *Strong) discard() tile.Kind {
	k := s.leastLoss(&s.held.rack)
	if s.held.rack[tile.Joker] > 0 && (s.held.rack[k] == 0 || s.hopes.loss[tile.Joker] < s.hopes.loss[k]) {
		return tile.Joker
	}
	return k
}

// exchange finds the joker exchange that gains most.
func (s *Strong) exchange(v table.View, z *chances) (table.Action, bool) {
	var best table.Action
	before, gained := s.hopes.total, s.hopes.total
	held := s.held
	loss := s.hopes.loss
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
	s.held, s.hopes.total, s.hopes.loss = held, before, loss
	return table.Action{}, false
}

// takeStance notes what the holding waits for, from the lines within reach.
func (s *Strong) takeStance(z *chances) {
	s.hopes.weigh(&s.held, z)
	st := stance{rack: s.held.rack}
	for _, at := range s.hopes.list {
		l := &s.kit.book.lines[at]
		st.wins |= s.held.winning(l)
		if !l.concealed {
			st.claims |= s.held.claimable(l)
		}
	}
	s.stance = st
}

// Claim takes a tile that wins, and one that completes a group where the hand is worth enough
// more with the group open than closed.
func (s *Strong) Claim(v table.View) table.Claim {
	d, ok := v.Claimable()
	if !ok {
		return table.Claim{}
	}
	if s.stance.rack != v.Rack() { // not one's own memory of this seat
		s.held = holdingOf(v)
		unseen := v.Unseen()
		z := s.kit.odds.at(&unseen, v.WallLeft())
		s.takeStance(&z)
	}
	bit := uint64(1) << d.Tile
	if s.stance.wins&bit != 0 {
		c := table.Claim{Mahjong: true}
		if v.Check(c.By(v.Seat(), d.Tile)) == nil {
			return c
		}
	}
	if s.stance.claims&bit == 0 {
		return table.Claim{}
	}
	return s.exposure(v, d.Tile)
}

// exposure weighs laying a group open: the size and jokers that leave most, if that is enough more
// than the hand is worth now.
func (s *Strong) exposure(v table.View, k tile.Kind) table.Claim {
	s.held = holdingOf(v)
	unseen := v.Unseen()
	z := s.kit.odds.at(&unseen, v.WallLeft())
	s.hopes.weigh(&s.held, &z)
	var best table.Claim
	most := s.hopes.total * s.kit.odds.params.ClaimGain
	for c, after := range s.held.exposures(v, k) {
		s.held = after
		s.hopes.weigh(&s.held, &z)
		if worth := s.hopes.total - s.hopes.loss[s.discard()]; worth > most {
			best, most = c, worth
		}
	}
	return best
}
