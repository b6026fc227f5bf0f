package table

import (
	"fmt"
	"slices"

	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// appendTurn lists the actions of the seat in turn: exchanges by tile and by whose joker it is, discards,
// then the declaration of a complete hand.
func (s *State) appendTurn(dst []Action) []Action {
	rack := &s.racks[s.turn]
	dst = s.appendExchanges(dst)
	for k, n := range rack {
		if n > 0 {
			dst = append(dst, Action{Seat: s.turn, Kind: Discard, Tile: tile.Kind(k)})
		}
	}
	if s.complete(s.turn) {
		dst = append(dst, Action{Seat: s.turn, Kind: Declare})
	}
	return dst
}

func (s *State) appendExchanges(dst []Action) []Action {
	rack, first := &s.racks[s.turn], len(dst)
	for from := range charleston.Seat(charleston.Seats) {
		f := &s.open[from]
		for i := range f.groups[:f.n] {
			if e := &f.groups[i]; e.Jokers > 0 && rack[e.Tile] > 0 && e == f.withJoker(e.Tile) {
				dst = append(dst, Action{Seat: s.turn, Kind: Exchange, Tile: e.Tile, From: from})
			}
		}
	}
	slices.SortFunc(dst[first:], Action.Compare)
	return dst
}

// complete says whether a seat's fourteen tiles make a hand.
func (s *State) complete(seat charleston.Seat) bool {
	_, ok := s.game.completed(&s.racks[seat], &s.open[seat])
	return ok
}

func (s *State) checkTurn(a Action) error {
	rack := &s.racks[a.Seat]
	switch {
	case a.Kind >= Decline:
		if s.thrown > 0 && s.waiting() == tile.Joker {
			return fmt.Errorf("%s: a discarded joker is dead and is never claimed", a.Seat.Name())
		}
		return fmt.Errorf("%s: no discard waits for an answer", a.Seat.Name())
	case a.Seat != s.turn:
		return fmt.Errorf("it is %s's turn, not %s's", s.turn.Name(), a.Seat.Name())
	case a.Kind == Declare:
		if !s.complete(a.Seat) {
			return fmt.Errorf("%s: the fourteen tiles make no hand of the card", a.Seat.Name())
		}
		return nil
	case a.Kind != Discard && a.Kind != Exchange:
		return fmt.Errorf("%s: on its turn a seat exchanges, discards or declares", a.Seat.Name())
	case a.Tile >= tile.Kinds || rack[a.Tile] == 0:
		return fmt.Errorf("%s: %s is not in the rack", a.Seat.Name(), a.Tile)
	case a.Kind == Discard:
		return nil
	case a.Tile == tile.Joker:
		return fmt.Errorf("%s: only a natural tile takes the place of a joker", a.Seat.Name())
	case a.From >= charleston.Seats:
		return fmt.Errorf("%s: there is no seat %d", a.Seat.Name(), a.From)
	case s.open[a.From].withJoker(a.Tile) == nil:
		return fmt.Errorf("%s: %s has no joker in an open group of %s", a.Seat.Name(), a.From.Name(), a.Tile)
	}
	return nil
}

func (s *State) applyTurn(a Action) {
	switch a.Kind {
	case Exchange:
		s.exchange(a)
	case Discard:
		s.throw(a.Tile)
	case Declare:
		ending := SelfDrawn
		if s.gain == byClaim {
			ending = OnDiscard
		}
		s.win(a.Seat, ending)
	}
}

// exchange swaps a natural for a joker in an open group. A hand that the claim of a discard has completed
// stays one that was won on that discard: an exchange that it did not need changes nothing about who pays.
func (s *State) exchange(a Action) {
	if s.gain != byClaim || !s.complete(a.Seat) {
		s.gain = byExchange
	}
	s.open[a.From].withJoker(a.Tile).Jokers--
	s.open[a.From].jokers--
	s.shown[a.Tile]++
	s.shown[tile.Joker]--
	s.racks[a.Seat][a.Tile]--
	s.racks[a.Seat][tile.Joker]++
	s.taken[a.Seat]++
}

// throw lays a tile of the seat in turn on the table. Nobody is asked about a joker, and nobody is asked when
// all others are dead.
func (s *State) throw(k tile.Kind) {
	s.racks[s.turn][k]--
	s.shown[k]++
	s.discards[s.thrown] = uint8(k)*charleston.Seats + uint8(s.turn)
	s.thrown++
	if k == tile.Joker {
		s.taken[s.turn] -= min(s.taken[s.turn], 1)
		s.goOn(s.turn)
		return
	}
	s.phase = Claiming
	s.answered = s.dead
	s.answered[s.turn] = true
	s.resolve()
}
