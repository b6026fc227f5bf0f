package sim

import (
	"fmt"
	"math/rand/v2"

	"secondpass/engine/player"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// Tables plays whole games: the passes, then the play. It owns the players' working memory, so that
// each goroutine needs its own.
type Tables struct {
	Game    *table.Game
	Players [charleston.Seats]player.Player

	deal, lots stream
	view       charleston.View
}

// Outcome is how one game went.
type Outcome struct {
	table.Result
	// Turns is the number of discards.
	Turns int
	// Decisions is the number of tiles passed or discarded and of discards answered.
	Decisions int
}

// Play deals game number n of a run and plays it to the end. The tiles depend on the seed and n
// alone, whoever sits at the table.
func (t *Tables) Play(seed, n uint64) (Outcome, error) {
	racks, wall := table.Deal(t.Game.Set(), t.deal.begin(seed, n, "deal"))
	lots := t.lots.begin(seed, n, "lots")
	for _, p := range t.Players {
		p.Begin(lots)
	}
	if r, ok := t.Game.DealtWin(racks[charleston.East]); ok {
		return Outcome{Result: r}, nil
	}
	passing, err := charleston.Start(racks, t.Game.House().Passing, t.Game.Set())
	if err != nil {
		return Outcome{}, err
	}
	o := Outcome{}
	if err := t.Pass(&passing, lots, &o); err != nil {
		return o, err
	}
	for seat := range racks {
		racks[seat] = passing.Rack(charleston.Seat(seat))
	}
	state, err := t.Game.Start(racks, wall)
	if err != nil {
		return o, err
	}
	err = t.Finish(&state, &o)
	return o, err
}

// passed deals and lets the players pass; ok is false where East is dealt a win. state is the beginning of the play.
func (t *Tables) passed(deal, lots *rand.Rand) (passing charleston.State, state table.State, ok bool, err error) {
	racks, wall := table.Deal(t.Game.Set(), deal)
	for _, p := range t.Players {
		p.Begin(lots)
	}
	if _, won := t.Game.DealtWin(racks[charleston.East]); won {
		return passing, state, false, nil
	}
	if passing, err = charleston.Start(racks, t.Game.House().Passing, t.Game.Set()); err != nil {
		return passing, state, false, err
	}
	var o Outcome
	if err = t.Pass(&passing, lots, &o); err != nil {
		return passing, state, false, err
	}
	for seat := range racks {
		racks[seat] = passing.Rack(charleston.Seat(seat))
	}
	state, err = t.Game.Start(racks, wall)
	return passing, state, err == nil, err
}

// Pass lets the players take the passing to its end.
func (t *Tables) Pass(s *charleston.State, lots *rand.Rand, o *Outcome) error {
	for s.Phase() != charleston.Over {
		for seat := range charleston.Seat(charleston.Seats) {
			if !s.Waits(seat) {
				continue
			}
			t.view = s.View(seat) // players are told by reference, which would make a new one escape
			if err := s.Apply(Decide(t.Players[seat], &t.view), lots); err != nil {
				return fmt.Errorf("the player of %s: %w", seat.Name(), err)
			}
			o.Decisions++
		}
	}
	return nil
}

// Decide asks a player for its action in the passing.
func Decide(p player.Passer, v *charleston.View) charleston.Action {
	a := charleston.Action{Seat: v.Seat}
	switch v.Phase {
	case charleston.Passing:
		a.Kind = charleston.Pass
		a.Own, a.Count = p.Pass(v)
	case charleston.Voting:
		a.Kind, a.Stop = charleston.Vote, p.Stop(v)
	case charleston.Naming:
		a.Kind, a.Count = charleston.Name, p.Offer(v)
	case charleston.Giving:
		a.Kind, a.Own = charleston.Give, p.Give(v)
	}
	return a
}

// Finish lets the players play a state to the end.
func (t *Tables) Finish(s *table.State, o *Outcome) error {
	for s.Phase() != table.Over {
		if err := t.step(s, o); err != nil {
			return err
		}
	}
	o.Result = s.Result()
	return nil
}

// step lets the seat in turn act, or all others answer its discard.
func (t *Tables) step(s *table.State, o *Outcome) error {
	seat := s.Turn()
	if s.Phase() == table.Discarding {
		a := t.Players[seat].Turn(s.View(seat))
		if err := s.Apply(a); err != nil {
			return fmt.Errorf("the player of %s: %w", seat.Name(), err)
		}
		o.Decisions++
		if a.Kind == table.Discard {
			o.Turns++
		}
		return nil
	}
	var claims [charleston.Seats]table.Claim
	for other := range charleston.Seat(charleston.Seats) {
		if s.Waits(other) {
			claims[other] = t.Players[other].Claim(s.View(other))
			o.Decisions++
		}
	}
	if err := s.Settle(claims); err != nil {
		return fmt.Errorf("the players that answer %s: %w", seat.Name(), err)
	}
	return nil
}
