package exercise

import (
	"fmt"

	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// Decision is what the player did when something was due, and what it brought. It is comparable.
type Decision struct {
	Step  charleston.Step
	Phase charleston.Phase
	// Own are the tiles passed, at a pass or the courtesy; Came what came for them.
	Own, Came charleston.Parcel
	// Count is the number of blind tiles of a pass, or the number offered at the courtesy.
	Count int
	// Stop is the player's vote after the first left, OthersStop that of the rest of the table.
	Stop, OthersStop bool
	// Exchanged is the number of tiles exchanged at the courtesy: the smaller of the two.
	Exchanged int
	// Others is, in a table exercise, what the other seats did. It holds tiles that the player has not seen.
	Others [charleston.Seats]Move
}

// Action is the decision as an action of a seat; what came and what others did is left out.
func (d *Decision) Action(seat charleston.Seat) charleston.Action {
	a := charleston.Action{Seat: seat}
	switch d.Phase {
	case charleston.Passing:
		a.Kind, a.Own, a.Count = charleston.Pass, d.Own, d.Count
	case charleston.Voting:
		a.Kind, a.Stop = charleston.Vote, d.Stop
	case charleston.Naming:
		a.Kind, a.Count = charleston.Name, d.Count
	case charleston.Giving:
		a.Kind, a.Own = charleston.Give, d.Own
	}
	return a
}

// Snapshot is one step of a route: what was held and noted before, what was decided, what is held after.
type Snapshot struct {
	Note Note
	// View is what the seat knew before the decision.
	View     charleston.View
	Before   tile.Rack
	Decision Decision
	After    tile.Rack
}

// Trail is a route replayed: its snapshots so far and the seat as it stands now.
type Trail struct {
	Snapshots []Snapshot
	Now       charleston.Solo
	// Game is the play of a table exercise, nil before it has begun.
	Game *Game
}

// Replay walks a route from the deal. Every decision is checked against the rules and against
// what the exercise lets come; the error says at which one it fails. Nobody is asked: the others of a
// table exercise do what they did.
func (e *Exercise) Replay(r *Route) (Trail, error) {
	t, _, err := e.replay(r)
	if err == nil && t.Game != nil && !t.Game.Over() && !t.Game.waits() {
		err = fmt.Errorf("route %s: the play ends where %s is to act; what the others do up to the next own decision is missing",
			r.Name, t.Game.next().Name())
	}
	return t, err
}

func (e *Exercise) replay(r *Route) (Trail, *replay, error) {
	src := &replay{}
	var incoming charleston.Source = &e.Mock
	switch e.Incoming {
	case EnteredPasses:
		incoming = src.entered(e.Set)
	case TablePasses:
		var err error
		if src.table, err = newNeighbours(e); err != nil {
			return Trail{}, src, err
		}
		incoming = src.table
	}
	t := Trail{Now: charleston.NewSolo(e.Seat, e.Deal, e.House.Passing, incoming)}
	for i, d := range r.Decisions {
		s := Snapshot{Note: r.Note(i), View: t.Now.View(), Before: t.Now.Rack(), Decision: d}
		done, err := src.act(&t.Now, d)
		if err == nil && done != d {
			err = differs(done, d)
		}
		if err != nil {
			return t, src, fmt.Errorf("route %s, decision %d: %w", r.Name, i+1, err)
		}
		s.After = t.Now.Rack()
		t.Snapshots = append(t.Snapshots, s)
	}
	if src.table != nil {
		src.table.ask = true
	}
	var err error
	if t.Game, err = e.startGame(&t, src.table, r); err != nil || t.Game == nil {
		return t, src, err
	}
	return t, src, t.Game.replayPlay(r)
}

// differs says in what a decision as it stands in a route is not what the exercise makes of it.
func differs(done, d Decision) error {
	switch {
	case done.Came != d.Came:
		return fmt.Errorf("what it says came is not what this exercise lets come (%s)", done.Came)
	case done.OthersStop != d.OthersStop || done.Exchanged != d.Exchanged:
		return fmt.Errorf("what it says the others answered is not what this exercise lets them answer")
	}
	return fmt.Errorf("it holds more than the %s lets a seat decide", d.Step)
}

// Do adds a decision of the passing to a route. Of d it reads what the player decides; at an exercise with
// entered passes also Came, OthersStop and Exchanged. It returns the decision as it stands in the
// route, with what came. When that ends the passing of a table exercise, the others begin the play. After an error
// the route is as before.
func (e *Exercise) Do(route string, d Decision) (Decision, error) {
	w, err := e.Walker(route)
	if err != nil {
		return d, err
	}
	return w.Do(d)
}

// Walker walks a route on, decision after decision, without going back to the deal for each.
type Walker struct {
	e     *Exercise
	route *Route
	trail Trail
	src   *replay
}

// Walker is at the end of a route, which it alone changes.
func (e *Exercise) Walker(route string) (*Walker, error) {
	r, err := e.Route(route)
	if err != nil {
		return nil, err
	}
	t, src, err := e.replay(r)
	return &Walker{e, r, t, src}, err
}

// View is what the seat knows now.
func (w *Walker) View() charleston.View { return w.trail.Now.View() }

// Do adds a decision to the route, as [Exercise.Do] does. After an error the walker has gone as far as it can.
func (w *Walker) Do(d Decision) (Decision, error) {
	if w.trail.Game != nil {
		return d, fmt.Errorf("the Charleston is over")
	}
	now := &w.trail.Now
	d.Step, d.Phase = now.Step(), now.Phase()
	done, err := w.src.act(now, d)
	if err != nil {
		return d, err
	}
	if w.e.Incoming == TablePasses && now.Phase() == charleston.Over {
		if w.trail.Game, err = w.e.startGame(&w.trail, w.src.table, w.route); err != nil {
			return d, err
		}
		if w.route.Play, err = w.e.goOn(w.trail.Game); err != nil {
			return d, err
		}
	}
	w.route.Decisions = append(w.route.Decisions, done)
	w.route.went()
	return done, nil
}

// replay carries decisions out one after another.
type replay struct {
	// table is the others of a table exercise, nil in another.
	table *neighbours
	// due is the decision at hand, which at an exercise with entered passes says what came.
	due Decision
}

// entered is a source that gives what the decision at hand says.
func (p *replay) entered(set tile.Set) *charleston.Entered {
	return &charleston.Entered{
		Set:   set,
		Next:  func(charleston.Step, int) (charleston.Parcel, error) { return p.due.Came, nil },
		Stop:  func() (bool, error) { return p.due.OthersStop, nil },
		Offer: func() (int, error) { return p.due.Exchanged, nil },
	}
}

// act carries one decision out and returns it with what it brought.
func (p *replay) act(s *charleston.Solo, d Decision) (Decision, error) {
	if d.Step != s.Step() || d.Phase != s.Phase() {
		return d, fmt.Errorf("a decision for the %s where the %s is due", d.Step, s.Step())
	}
	p.due = d
	if p.table != nil {
		p.table.told, p.table.did = d.Others, [charleston.Seats]Move{}
	}
	done := Decision{Step: d.Step, Phase: d.Phase}
	var err error
	switch d.Phase {
	case charleston.Passing:
		done.Own, done.Count = d.Own, d.Count
		done.Came, err = s.Pass(d.Own, d.Count)
	case charleston.Voting:
		var stopped bool
		stopped, err = s.Vote(d.Stop)
		done.Stop, done.OthersStop = d.Stop, stopped && !d.Stop
	case charleston.Naming:
		done.Count = d.Count
		done.Exchanged, err = s.Name(d.Count)
	case charleston.Giving:
		done.Own = d.Own
		done.Came, err = s.Give(d.Own)
	default:
		err = fmt.Errorf("the Charleston is over")
	}
	if p.table != nil {
		done.Others = p.table.did
	}
	return done, err
}
