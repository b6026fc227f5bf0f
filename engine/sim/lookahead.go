package sim

import (
	"fmt"
	"math/rand/v2"

	"secondpass/engine/player"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Lookahead plays on from what one seat knows, with what it does not see laid out afresh in every game.
// It is read-only; see [Lookahead.Worker].
type Lookahead struct {
	Game *table.Game
	// Players makes one player for each seat; they decide from the decision at hand on.
	Players [charleston.Seats]func() player.Player
	// Judge weighs racks for Level and Beliefs.
	Judge *player.StrongKit
	// Level says what a rack is worth when the passing is over. Not needed for whole games.
	Level *Level
	// Beliefs, where they are given, say what the others hold once the passing is over; without them all layouts that
	// agree with what the seat knows are equally likely.
	Beliefs *Beliefs
}

// Ahead is one worker's means to play on.
type Ahead struct {
	l      *Lookahead
	tables Tables
	judge  *player.Strong
	last   laid
}

// laid is the layout made last: candidates that are compared meet the same ones, one after another.
type laid struct {
	from    table.State
	seat    charleston.Seat
	seed, g uint64
	state   table.State
}

// Worker makes the means to play on for one goroutine.
func (l *Lookahead) Worker() *Ahead {
	a := &Ahead{l: l, tables: Tables{Game: l.Game}}
	for seat := range a.tables.Players {
		a.tables.Players[seat] = l.Players[seat]()
	}
	if l.Level != nil || l.Beliefs != nil {
		a.judge = l.Judge.New()
	}
	return a
}

// chance is the estimated chance to win of a seat when the passing is over.
func (a *Ahead) chance(v *charleston.View) float64 { return a.l.Level.Chance(a.judge, v) }

// Decide is what the seat's own player would do.
func (a *Ahead) Decide(v *charleston.View) charleston.Action {
	return Decide(a.tables.Players[v.Seat], v)
}

// lay lays out game number g for a seat that passes.
func (a *Ahead) lay(v *charleston.View, seed, g uint64) (charleston.State, []tile.Kind, error) {
	racks, wall, err := a.past(v, Stream(seed, g, "unseen"))
	if err != nil {
		return charleston.State{}, nil, err
	}
	state, err := charleston.FromView(*v, racks, a.l.Game.Set())
	return state, wall, err
}

// passOn carries out an action of the seat in game number g and lets all seats pass to the end.
func (a *Ahead) passOn(v *charleston.View, first charleston.Action, seed, g uint64) (charleston.State, []tile.Kind, error) {
	state, wall, err := a.lay(v, seed, g)
	if err != nil {
		return state, nil, err
	}
	lots := Stream(seed, g, "lots")
	for _, p := range a.tables.Players {
		p.Begin(lots)
	}
	if err := state.Apply(first, lots); err != nil {
		return state, nil, err
	}
	var o Outcome
	return state, wall, a.tables.Pass(&state, lots, &o)
}

// Short plays only the passing and values the rack that the seat then has: the estimated chance to
// win. It is quicker and far steadier than a whole game, and biased as far as the estimate is.
func (a *Ahead) Short(v *charleston.View, first charleston.Action, seed, g uint64) (Score, error) {
	state, _, err := a.passOn(v, first, seed, g)
	if err != nil {
		return 0, err
	}
	end := state.View(v.Seat)
	return scoreOf(a.chance(&end)), nil
}

// Out plays game number g to its end from what a seat knows once the passing is over.
func (a *Ahead) Out(v *charleston.View, seed, g uint64) (table.Result, error) {
	s, err := a.begun(v, Stream(seed, g, "unseen"))
	if err != nil {
		return table.Result{}, err
	}
	lots := Stream(seed, g, "lots")
	for _, p := range a.tables.Players {
		p.Begin(lots)
	}
	var o Outcome
	err = a.tables.Finish(&s, &o)
	return o.Result, err
}

// begun is the beginning of the play after the passing, with what the seat does not see laid out.
func (a *Ahead) begun(v *charleston.View, rng *rand.Rand) (table.State, error) {
	if a.l.Beliefs == nil {
		racks, wall, err := a.past(v, rng)
		if err != nil {
			return table.State{}, err
		}
		return a.l.Game.Start(racks, wall)
	}
	racks, wall, err := Fill(v, a.l.Game.Set(), rng)
	if err != nil {
		return table.State{}, err
	}
	s, err := a.l.Game.Start(racks, wall)
	if err != nil {
		return s, err
	}
	known := given(v)
	return s, a.l.Beliefs.Lay(&s, v.Seat, &known, a.judge, rng)
}

// finish plays racks and wall to the end.
func (a *Ahead) finish(racks [charleston.Seats]tile.Rack, wall []tile.Kind) (table.Result, error) {
	play, err := a.l.Game.Start(racks, wall)
	if err != nil {
		return table.Result{}, err
	}
	var o Outcome
	err = a.tables.Finish(&play, &o)
	return o.Result, err
}

// Whole plays a game to its end, with the estimate of [Ahead.Short] on its way where there is a level for one.
func (a *Ahead) Whole(v *charleston.View, first charleston.Action, seed, g uint64) (Whole, error) {
	state, wall, err := a.passOn(v, first, seed, g)
	if err != nil {
		return Whole{}, err
	}
	var racks [charleston.Seats]tile.Rack
	for seat := range racks {
		racks[seat] = state.Rack(charleston.Seat(seat))
	}
	r, err := a.finish(racks, wall)
	w := WholeOf(r, v.Seat)
	if a.l.Level != nil {
		end := state.View(v.Seat)
		w.Quick = scoreOf(a.chance(&end))
	}
	return w, err
}

// Play carries out an action of the seat in play, after what it does not see is laid out afresh, and plays
// the game to its end. state is not changed.
func (a *Ahead) Play(state *table.State, first table.Action, seed, g uint64) (table.Result, error) {
	s, err := a.after(state, first, seed, g)
	if err != nil {
		return table.Result{}, err
	}
	var o Outcome
	err = a.tables.Finish(&s, &o)
	return o.Result, err
}

// Drawn lets the seat in turn draw, in a state that waits for that, after what it does not see is laid out afresh, and plays the
// game to its end. state is not changed.
func (a *Ahead) Drawn(state *table.State, seed, g uint64) (table.Result, error) {
	s := *state
	if err := a.refill(&s, s.Turn(), Stream(seed, g, "unseen")); err != nil {
		return table.Result{}, err
	}
	s.Draw()
	lots := Stream(seed, g, "lots")
	for _, p := range a.tables.Players {
		p.Begin(lots)
	}
	var o Outcome
	err := a.tables.Finish(&s, &o)
	return o.Result, err
}

// refill lays out what the seat does not see.
func (a *Ahead) refill(s *table.State, seat charleston.Seat, rng *rand.Rand) error {
	if a.l.Beliefs == nil {
		return Refill(s, seat, rng)
	}
	return a.l.Beliefs.Lay(s, seat, &[charleston.Seats]tile.Rack{}, a.judge, rng)
}

// after lays out what the seat does not see and carries out its action.
func (a *Ahead) after(state *table.State, first table.Action, seed, g uint64) (table.State, error) {
	if a.last.state.Phase() == 0 || a.last.seat != first.Seat || a.last.seed != seed || a.last.g != g || a.last.from != *state {
		a.last = laid{from: *state, seat: first.Seat, seed: seed, g: g, state: *state}
		if err := a.refill(&a.last.state, first.Seat, Stream(seed, g, "unseen")); err != nil {
			a.last = laid{}
			return table.State{}, err
		}
	}
	s := a.last.state
	lots := Stream(seed, g, "lots")
	for _, p := range a.tables.Players {
		p.Begin(lots)
	}
	if err := s.Apply(first); err != nil {
		return s, fmt.Errorf("the action to judge: %w", err)
	}
	return s, nil
}

// DecidePlay is what the seat's own player would do in play.
func (a *Ahead) DecidePlay(s *table.State, seat charleston.Seat) table.Action {
	v := s.View(seat)
	if s.Phase() == table.Discarding {
		return a.tables.Players[seat].Turn(v)
	}
	d, _ := v.Claimable()
	return a.tables.Players[seat].Claim(v).By(seat, d.Tile)
}
