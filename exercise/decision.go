package exercise

import (
	"fmt"

	"secondpass/charleston"
	"secondpass/tile"
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
}

// Snapshot is one step of a route: what was held before, what was decided, what is held after.
type Snapshot struct {
	Before   tile.Rack
	Decision Decision
	After    tile.Rack
}

// Trail is a route replayed: its snapshots so far and the seat as it stands now.
type Trail struct {
	Snapshots []Snapshot
	Now       charleston.Solo
}

// Replay walks a route from the deal. Every decision is checked against the rules and against
// what the exercise lets come; the error says at which one it fails.
func (e *Exercise) Replay(r *Route) (Trail, error) {
	t, _, err := e.replay(r)
	return t, err
}

func (e *Exercise) replay(r *Route) (Trail, *replay, error) {
	src := &replay{mock: e.Mock, entered: e.Incoming == EnteredPasses, set: e.Set}
	t := Trail{Now: charleston.NewSolo(e.Seat, e.Deal, e.House.Rules, src)}
	for i, d := range r.Decisions {
		s := Snapshot{Before: t.Now.Rack(), Decision: d}
		done, err := src.act(&t.Now, d)
		if err != nil {
			return t, src, fmt.Errorf("route %s, decision %d: %w", r.Name, i+1, err)
		}
		if done != d {
			return t, src, fmt.Errorf("route %s, decision %d: what it says came is not what this exercise lets come (%s)", r.Name, i+1, done.Came)
		}
		s.After = t.Now.Rack()
		t.Snapshots = append(t.Snapshots, s)
	}
	return t, src, nil
}

// Do adds a decision to a route. Of d it reads what the player decides; at an exercise with
// entered passes also Came, OthersStop and Exchanged. It returns the decision as it stands in the
// route, with what came. After an error the route is as before.
func (e *Exercise) Do(route string, d Decision) (Decision, error) {
	r, err := e.Route(route)
	if err != nil {
		return d, err
	}
	t, src, err := e.replay(r)
	if err != nil {
		return d, err
	}
	d.Step, d.Phase = t.Now.Step(), t.Now.Phase()
	done, err := src.act(&t.Now, d)
	if err != nil {
		return d, err
	}
	r.Decisions = append(r.Decisions, done)
	return done, nil
}

// Undo takes back the last decision of a route and returns it.
func (e *Exercise) Undo(route string) (Decision, error) {
	r, err := e.Route(route)
	if err != nil {
		return Decision{}, err
	}
	if len(r.Decisions) == 0 {
		return Decision{}, fmt.Errorf("route %s is at the deal; there is nothing to take back", r.Name)
	}
	last := r.Decisions[len(r.Decisions)-1]
	r.Decisions = r.Decisions[:len(r.Decisions)-1]
	r.At = min(r.At, len(r.Decisions))
	return last, nil
}

// replay is the source of a route's incoming tiles: the mock passes, or what the decision at
// hand says came.
type replay struct {
	mock    charleston.Mock
	entered bool
	set     tile.Set
	due     Decision
}

// act carries one decision out and returns it with what it brought.
func (p *replay) act(s *charleston.Solo, d Decision) (Decision, error) {
	if d.Step != s.Step() || d.Phase != s.Phase() {
		return d, fmt.Errorf("a decision for the %s where the %s is due", d.Step, s.Step())
	}
	p.due = d
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
	return done, err
}

func (p *replay) Incoming(step charleston.Step, own charleston.Parcel, blind int, kept tile.Rack) (charleston.Parcel, error) {
	if !p.entered {
		return p.mock.Incoming(step, own, blind, kept)
	}
	e := charleston.Entered{Set: p.set, Next: func(charleston.Step, int) (charleston.Parcel, error) { return p.due.Came, nil }}
	return e.Incoming(step, own, blind, kept)
}

func (p *replay) Stopped(bool) (bool, error) { return p.entered && p.due.OthersStop, nil }

func (p *replay) Offered(n int) (int, error) {
	if !p.entered {
		return n, nil
	}
	return p.due.Exchanged, nil
}
