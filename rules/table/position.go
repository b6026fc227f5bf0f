package table

import (
	"errors"
	"fmt"

	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// Position is a table in mid-game, as somebody lays it out. How it came about is not part of it: open
// groups do not say which discard they claimed, and no seat is known to hold a joker.
type Position struct {
	// Phase is Discarding or Claiming. Turn is the seat that is to act with 14 tiles, or the one whose
	// discard, the last of Discards, is to be answered.
	Phase Phase
	Turn  charleston.Seat
	// Racks are the concealed tiles. With its open groups the seat to discard has 14 tiles, each other 13; a
	// dead one may have 13 or 14.
	Racks [charleston.Seats]tile.Rack
	// Open are the groups laid open, in the order in which they were; their Discard is not looked at.
	Open [charleston.Seats][]Exposure
	// Discards are those that lie on the table, in order; their Claimed is not looked at.
	Discards []Discarded
	// Wall is the tiles still to be drawn, next first.
	Wall []tile.Kind
}

// At is the state of a position. All its tiles together must make up the set. Seats whose open groups fit no hand
// are dead. If the seat to discard declares, that counts as self-drawn.
func (g *Game) At(p Position) (State, error) {
	if g.card.Set.Size() > maxTiles {
		return State{}, fmt.Errorf("a set of %d tiles: at most %d can be played with", g.card.Set.Size(), maxTiles)
	}
	if p.Phase != Discarding && p.Phase != Claiming || p.Turn >= charleston.Seats {
		return State{}, fmt.Errorf("a position waits for a seat to discard, or for answers to its discard")
	}
	s := State{game: g, phase: p.Phase, turn: p.Turn, racks: p.Racks, wall: string(p.Wall)}
	counts, err := p.count()
	if err != nil {
		return State{}, err
	}
	if err := g.accounts(&counts); err != nil {
		return State{}, err
	}
	for seat := range charleston.Seat(charleston.Seats) {
		if err := s.lay(seat, p.Open[seat]); err != nil {
			return State{}, err
		}
	}
	if s.dead[s.turn] {
		return State{}, fmt.Errorf("%s is to act, but its hand is dead", s.turn.Name())
	}
	for _, d := range p.Discards {
		s.discards[s.thrown] = uint8(d.Tile)*charleston.Seats + uint8(d.Seat)
		s.thrown++
		s.shown[d.Tile]++
	}
	if p.Phase == Claiming {
		return s, s.await()
	}
	return s, nil
}

// count counts all tiles of a position, and refuses seats, tiles and groups that do not exist.
func (p *Position) count() (counts [tile.Kinds]int, err error) {
	for _, d := range p.Discards {
		if d.Tile >= tile.Kinds || d.Seat >= charleston.Seats {
			return counts, errors.New("a discard of a tile or by a seat that does not exist")
		}
		counts[d.Tile]++
	}
	for _, k := range p.Wall {
		if k >= tile.Kinds {
			return counts, errors.New("a tile in the wall that does not exist")
		}
		counts[k]++
	}
	for seat := range charleston.Seat(charleston.Seats) {
		for k, n := range p.Racks[seat] {
			counts[k] += int(n)
		}
		for _, e := range p.Open[seat] {
			if e.Tile >= tile.Joker || e.Size < MinGroup || e.Size > MaxGroup || e.Jokers >= e.Size {
				return counts, fmt.Errorf("%s has an open group that nobody can have claimed: %d of %s with %d jokers",
					seat.Name(), e.Size, e.Tile, e.Jokers)
			}
			counts[e.Tile] += int(e.Naturals())
			counts[tile.Joker] += int(e.Jokers)
		}
	}
	return counts, nil
}

// lay lays a seat's groups open and checks how many tiles it has.
func (s *State) lay(seat charleston.Seat, groups []Exposure) error {
	f := &s.open[seat]
	size := s.racks[seat].Size()
	for _, e := range groups {
		size += int(e.Size)
	}
	want := card.HandTiles - 1
	if s.phase == Discarding && seat == s.turn {
		want++
	}
	mayDiffer := size == card.HandTiles-1 || size == card.HandTiles // if the hand is dead
	if size != want && !mayDiffer {
		return wrongSize(seat, size, want)
	}
	for _, e := range groups {
		if s.dead[seat] {
			return fmt.Errorf("%s has laid a group open with a hand that was dead", seat.Name())
		}
		e.Discard = NoDiscard
		f.add(e, s.game.extend(f, e.Tile, e.Size, e.Jokers))
		s.dead[seat] = f.shape == noShape
		s.shown[e.Tile] += e.Naturals()
		s.shown[tile.Joker] += e.Jokers
	}
	if size != want && !s.dead[seat] {
		return wrongSize(seat, size, want)
	}
	return nil
}

func wrongSize(seat charleston.Seat, size, want int) error {
	return fmt.Errorf("%s has %d tiles in all; %d are right", seat.Name(), size, want)
}

// await makes the last discard wait for answers.
func (s *State) await() error {
	if s.thrown == 0 {
		return errors.New("no discard is there to be answered")
	}
	seat, k := s.discard(int(s.thrown) - 1)
	if seat != s.turn || k == tile.Joker {
		return fmt.Errorf("%s's last discard is to be answered, but the last on the table is %s of %s", s.turn.Name(), k, seat.Name())
	}
	s.answered = s.dead
	s.answered[seat] = true
	if s.answered == [charleston.Seats]bool{true, true, true, true} {
		return errors.New("a discard is to be answered, but all other hands are dead")
	}
	return nil
}

// Redeal replaces what a seat cannot see: the concealed tiles of the others, given by seat with the
// seat's own entry not looked at, and the wall still to be drawn, next first. Each must have as many
// tiles as before and all together the same tiles, and a seat that took jokers in exchange before all
// eyes must hold them. The seat's [View] is the same afterwards. Answers to the discard that others
// have given are forgotten, as the seat does not know of them. What their discards and answers say about
// their tiles is left to the caller. The wall is copied. After an error the state is unchanged.
func (s *State) Redeal(seat charleston.Seat, racks *[charleston.Seats]tile.Rack, wall []tile.Kind) error {
	if len(wall) != len(s.wall)-int(s.drawn) {
		return fmt.Errorf("%d tiles in the wall; %d are left in it", len(wall), len(s.wall)-int(s.drawn))
	}
	view := s.View(seat)
	var hidden [tile.Kinds]int
	for _, k := range wall {
		if k >= tile.Kinds {
			return errors.New("a tile in the wall that does not exist")
		}
		hidden[k]++
	}
	for other := range charleston.Seat(charleston.Seats) {
		if other == seat {
			continue
		}
		if err := s.checkHidden(other, &racks[other]); err != nil {
			return err
		}
		for k, n := range racks[other] {
			hidden[k] += int(n)
		}
	}
	for k, n := range view.Unseen() {
		if hidden[k] != int(n) {
			return fmt.Errorf("%d of %s are hidden from %s, not %d", n, tile.Kind(k), seat.Name(), hidden[k])
		}
	}
	for other := range charleston.Seat(charleston.Seats) {
		if other != seat {
			s.racks[other] = racks[other]
		}
	}
	s.wall, s.drawn = string(wall), 0
	s.forgetAnswers(seat)
	return nil
}

// Laid is a state that agrees with a view, in which all that its seat does not see is laid out as [State.Redeal] has it.
func (v View) Laid(racks *[charleston.Seats]tile.Rack, wall []tile.Kind) (State, error) {
	s := *v.s
	if err := s.Redeal(v.seat, racks, wall); err != nil {
		return State{}, err // never the state as it is, which holds what the seat does not see
	}
	return s, nil
}

// checkHidden says why a seat cannot hold a rack, as far as all can see, or nil.
func (s *State) checkHidden(seat charleston.Seat, rack *tile.Rack) error {
	if want := s.racks[seat].Size(); rack.Size() != want {
		return fmt.Errorf("%s has %d concealed tiles; %d are right", seat.Name(), rack.Size(), want)
	}
	if want := s.taken[seat]; rack[tile.Joker] < want {
		return fmt.Errorf("%s has %d jokers, but all have seen it take %d", seat.Name(), rack[tile.Joker], want)
	}
	return nil
}

// forgetAnswers keeps only a seat's own answer to the discard.
func (s *State) forgetAnswers(seat charleston.Seat) {
	if s.phase != Claiming {
		return
	}
	for other := range charleston.Seat(charleston.Seats) {
		if other != seat {
			s.claims[other] = Claim{}
			s.answered[other] = s.dead[other] || other == s.turn
		}
	}
}
