package sim

import (
	"fmt"

	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// step is one step of the passing played again in a layout, before the tiles that changed hands are put into the racks.
type step struct {
	*layout
	a    *Ahead
	view *charleston.View
	at   charleston.Step
	// kept is what the seats did not pass, packet what they passed of their own, arrived what came to them.
	kept, packet, arrived [charleston.Seats]tile.Rack
	// given is the tiles that the seat has given so far and that have not come back, known those that lie with the seat that got them
	// just now.
	given tile.Rack
	known [charleston.Seats]tile.Rack
}

// keepTries is how often a seat is sought that keeps a tile, or a tile that a seat keeps.
const keepTries = 8

// again lets all seats pass at a step that is over: the seat as it did, the others as they would, blind tiles among them. What then
// comes to the seat changes places with what came, and a seat from which a tile came keeps no other of its kind.
func (a *Ahead) again(w *layout, v *charleston.View, at charleston.Step) error {
	s, err := a.stepAgain(w, v, at)
	if err != nil {
		return err
	}
	came, would := v.Came[at].Rack(), s.arrived[v.Seat]
	s.arrived[v.Seat] = came
	extra := would.Minus(came).Tiles()
	for i, k := range came.Minus(would).Tiles() {
		if err := s.trade(extra[i], k); err != nil {
			return err
		}
	}
	s.keepNone(came)
	for seat := range w.racks {
		w.racks[seat] = s.kept[seat].Plus(s.arrived[seat])
	}
	return nil
}

// stepAgain lets all seats pass.
func (a *Ahead) stepAgain(w *layout, v *charleston.View, at charleston.Step) (*step, error) {
	s := &step{layout: w, a: a, view: v, at: at}
	state, err := charleston.At(at, w.racks, v.Rules, a.l.Game.Set())
	if err != nil {
		return nil, err
	}
	for seat := range charleston.Seat(charleston.Seats) {
		action := charleston.Action{Seat: seat, Kind: charleston.Pass, Own: v.Gave[at], Count: v.Blind[at]}
		if seat != v.Seat {
			view := state.View(seat)
			action = Decide(a.tables.Players[seat], &view)
		}
		s.packet[seat] = action.Own.Rack()
		s.kept[seat] = w.racks[seat].Minus(s.packet[seat])
		if err := state.Apply(action, w.rng); err != nil {
			return nil, err
		}
	}
	for seat := range s.arrived {
		s.arrived[seat] = state.Rack(charleston.Seat(seat)).Minus(s.kept[seat])
	}
	for before := charleston.FirstRight; before <= at; before++ {
		s.given = s.given.Plus(v.Gave[before].Rack()).Minus(v.Came[before].Rack())
	}
	if !v.Rules.Blind || !at.BlindAllowed() {
		s.known[at.Direction().To(v.Seat)] = v.Gave[at].Rack()
	}
	return s, nil
}

// elsewhere is the number of tiles of a kind that the others have; mayGo says that one of them may lie in the wall instead: all that the
// seat has given lie with them.
func (s *step) elsewhere(k tile.Kind) (n uint8) {
	for seat := range s.kept {
		if charleston.Seat(seat) != s.seat {
			n += s.kept[seat][k] + s.arrived[seat][k]
		}
	}
	return n
}

func (s *step) mayGo(k tile.Kind) bool { return s.elsewhere(k) > s.given[k] }

// trade has a tile come to the seat that did, in place of one that would have. It comes from the wall if there is one: what the others
// have kept agrees with what they have passed before, and a tile that was to be passed would not.
func (s *step) trade(would, came tile.Kind) error {
	s.passInstead(s.seat, would, came)
	if at, ok := s.inWall(came); ok {
		s.wall[at] = would
		if s.elsewhere(would) < s.given[would] {
			s.give(at)
		}
		return nil
	}
	for seat := range charleston.Seat(charleston.Seats) {
		kept, arrived := &s.kept[seat], &s.arrived[seat]
		switch {
		case seat == s.seat:
		case kept[came] > 0:
			kept[came]--
			kept[would]++
			return nil
		case arrived[came] > s.known[seat][came]:
			arrived[came]--
			arrived[would]++
			s.passInstead(seat, came, would)
			return nil
		}
	}
	return fmt.Errorf("%s came, but no copy of it can have been there", came)
}

// passInstead puts, in what was passed to a seat, another tile in place of one that came to it; the nearest that passed one did.
func (s *step) passInstead(to charleston.Seat, of, instead tile.Kind) {
	from := s.at.Direction().From(to)
	for s.packet[from][of] == 0 { // handed on unseen
		from = s.at.Direction().From(from)
	}
	s.packet[from][of]--
	s.packet[from][instead]++
}

// inWall is a place of a tile in the wall, each equally likely.
func (s *step) inWall(k tile.Kind) (at int, ok bool) {
	n := 0
	for i, in := range s.wall {
		if in == k {
			if n++; s.rng.IntN(n) == 0 {
				at = i
			}
		}
	}
	return at, n > 0
}

// give gives a tile of the wall to one of the others that keeps it, in place of one that it kept: the seat has given it away, so
// that it lies with one of them, and it would have come back had it been passed on. If none is found one gets it all the same.
func (s *step) give(at int) {
	for try := range 2 * keepTries {
		to := charleston.Seat(s.rng.IntN(charleston.Seats))
		kept := naturals(s.kept[to])
		if to == s.seat || kept == (tile.Rack{}) {
			continue
		}
		if out := s.anyOf(kept); s.mayGo(out) && s.exchange(to, out, at, try >= keepTries) {
			return
		}
	}
}

// keepNone sees to it that a seat which has passed a tile to the one that knows has kept no other of its kind that it would have passed as
// well: others come for them from the wall, which it would not have passed.
func (s *step) keepNone(came tile.Rack) {
	from := s.at.Direction().From(s.seat)
	for ; came != (tile.Rack{}) && from != s.seat; from = s.at.Direction().From(from) {
		rest := came.Minus(s.packet[from])
		passed := came.Minus(rest)
		came = rest
		var over tile.Rack // of kinds that came, what it would have passed as well
		for k := range tile.Joker {
			if passed[k] > 0 && s.kept[from][k] > 0 {
				over = s.would(from).Minus(s.packet[from])
				break
			}
		}
		for k := range tile.Joker {
			for try := 0; passed[k] > 0 && over[k] > 0 && try < keepTries && s.mayGo(k); try++ {
				at := s.rng.IntN(len(s.wall))
				if in := s.wall[at]; in != tile.Joker && s.packet[from][in] == 0 && s.exchange(from, k, at, false) {
					over[k]--
				}
			}
		}
	}
}

// would is what a seat would pass of its own of what it passed and kept.
func (s *step) would(seat charleston.Seat) tile.Rack {
	view := charleston.View{Seat: seat, Rules: s.view.Rules, Step: s.at, Phase: charleston.Passing, Rack: s.kept[seat].Plus(s.packet[seat])}
	return Decide(s.a.tables.Players[seat], &view).Own.Rack()
}

// exchange has a kept tile of a seat change places with one of the wall, if the seat would keep that one too, or whether it would or not.
func (s *step) exchange(seat charleston.Seat, out tile.Kind, at int, anyhow bool) bool {
	in := s.wall[at]
	s.kept[seat][out]--
	s.kept[seat][in]++
	if !anyhow && s.would(seat)[in] > s.packet[seat][in] {
		s.kept[seat][out]++
		s.kept[seat][in]--
		return false
	}
	s.wall[at] = out
	return true
}
