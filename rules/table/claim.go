package table

import (
	"fmt"

	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// waiting is the tile discarded last.
func (s *State) waiting() tile.Kind {
	_, k := s.discard(int(s.thrown) - 1)
	return k
}

// appendClaims lists a seat's answers to the discard: to let it go, to lay it open in a group by
// size and jokers, to win with it.
func (s *State) appendClaims(dst []Action, seat charleston.Seat) []Action {
	k, rack, f := s.waiting(), &s.racks[seat], &s.open[seat]
	have, jokers := rack[k], rack[tile.Joker]
	dst = append(dst, Action{Seat: seat, Kind: Decline})
	for size := uint8(MinGroup); size <= MaxGroup && size-1 <= have+jokers; size++ {
		for j := size - 1 - min(have, size-1); j <= min(jokers, size-1); j++ {
			if s.game.extend(f, k, size, j) != noShape {
				dst = append(dst, Action{Seat: seat, Kind: Expose, Tile: k, Size: size, Jokers: j})
			}
		}
	}
	if s.completes(seat, k) {
		dst = append(dst, Action{Seat: seat, Kind: Mahjong, Tile: k})
	}
	return dst
}

// completes says whether a discard is the tile that a seat's hand waits for.
func (s *State) completes(seat charleston.Seat, k tile.Kind) bool {
	rack := s.racks[seat]
	rack[k]++
	_, ok := s.game.completed(&rack, &s.open[seat])
	return ok
}

func (s *State) checkClaim(a Action) error {
	k, name := s.waiting(), a.Seat.Name()
	switch {
	case a.Kind < Decline || a.Kind > Mahjong:
		return fmt.Errorf("%s: the discard of %s waits for an answer, to claim it or to decline", name, k)
	case a.Seat == s.turn:
		return fmt.Errorf("%s: nobody answers the own discard", name)
	case s.dead[a.Seat]:
		return fmt.Errorf("%s: the hand is dead", name)
	case s.answered[a.Seat]:
		return fmt.Errorf("%s has answered already", name)
	case a.Kind == Decline:
		return nil
	case a.Tile != k:
		return fmt.Errorf("%s: the last discard is %s, not %s", name, k, a.Tile)
	case a.Kind == Mahjong:
		if !s.completes(a.Seat, k) {
			return fmt.Errorf("%s: with %s the tiles make no hand of the card", name, k)
		}
		return nil
	}
	return s.checkExposure(a)
}

// checkExposure says why a claimer cannot lay a group open, or nil.
func (s *State) checkExposure(a Action) error {
	name, rack := a.Seat.Name(), &s.racks[a.Seat]
	switch {
	case a.Size < MinGroup || a.Size > MaxGroup:
		return fmt.Errorf("%s: a group of %d is never claimed, only one of %d to %d", name, a.Size, MinGroup, MaxGroup)
	case a.Jokers >= a.Size:
		return fmt.Errorf("%s: beside the claimed tile a group of %d has no room for %d jokers", name, a.Size, a.Jokers)
	case a.Jokers > rack[tile.Joker]:
		return fmt.Errorf("%s: the group needs %d of J from the rack, which has %d", name, a.Jokers, rack[tile.Joker])
	case a.Size-1-a.Jokers > rack[a.Tile]:
		return fmt.Errorf("%s: the group needs %d of %s from the rack, which has %d", name, a.Size-1-a.Jokers, a.Tile, rack[a.Tile])
	}
	return nil
}

// Settle gives, in one go, the answers of all seats that have not answered the discard, indexed by
// seat; zero Claims let it go. It is the quick way for a simulation and leaves the state as the
// same answers through [State.Apply] do. Seats that are not asked must have the zero Claim. After an error the
// state is unchanged.
func (s *State) Settle(claims [charleston.Seats]Claim) error {
	if s.phase != Claiming {
		return fmt.Errorf("no discard waits for an answer")
	}
	for seat, c := range claims {
		if (c == Claim{}) {
			continue
		}
		if err := s.checkClaim(c.By(charleston.Seat(seat), s.waiting())); err != nil {
			return err
		}
	}
	for seat, c := range claims {
		if !s.answered[seat] {
			s.answer(charleston.Seat(seat), c)
		}
	}
	s.resolve()
	return nil
}

func (s *State) answer(seat charleston.Seat, c Claim) {
	s.claims[seat], s.answered[seat] = c, true
}

// resolve gives the discard, once all have answered, to the claim that goes before the others:
// mahjong before an exposure, between equals the seat that would play sooner.
func (s *State) resolve() {
	if s.answered != [charleston.Seats]bool{true, true, true, true} {
		return
	}
	claims := s.claims
	s.claims, s.answered = [charleston.Seats]Claim{}, [charleston.Seats]bool{}
	if seat, claimed := s.soonest(func(seat charleston.Seat) bool { return claims[seat].Mahjong }); claimed {
		k := s.waiting()
		s.racks[seat][k]++
		s.shown[k]--
		s.win(seat, OnDiscard)
		return
	}
	if seat, claimed := s.soonest(func(seat charleston.Seat) bool { return claims[seat].Size > 0 }); claimed {
		s.expose(seat, claims[seat])
		return
	}
	s.goOn(s.turn)
}

// soonest is the first seat after the discarder, in the order of play, that claims.
func (s *State) soonest(claims func(charleston.Seat) bool) (seat charleston.Seat, claimed bool) {
	for i := charleston.Seat(1); i < charleston.Seats; i++ {
		if seat = (s.turn + i) % charleston.Seats; claims(seat) {
			return seat, true
		}
	}
	return 0, false
}

// expose lays a group with the last discard open and gives the claimer the turn. Where no hand remains with it
// the claimer is dead, does not discard, and play goes on to its right.
func (s *State) expose(seat charleston.Seat, c Claim) {
	k, rack, f := s.waiting(), &s.racks[seat], &s.open[seat]
	naturals := c.Size - 1 - c.Jokers
	rack[k] -= naturals
	rack[tile.Joker] -= c.Jokers
	s.shown[k] += naturals
	s.shown[tile.Joker] += c.Jokers
	s.taken[seat] -= min(s.taken[seat], c.Jokers)
	f.add(Exposure{Tile: k, Size: c.Size, Jokers: c.Jokers, Discard: s.thrown - 1}, s.game.extend(f, k, c.Size, c.Jokers))
	if f.shape == noShape {
		s.dead[seat] = true
		s.goOn(seat)
		return
	}
	s.phase, s.turn, s.gain = Discarding, seat, byClaim
}
