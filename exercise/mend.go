package exercise

import (
	"fmt"
	"slices"

	"secondpass/rules/tile"
)

// Mended is a route after something typed wrongly was put right in it.
type Mended struct {
	Route *Route
	// Left are its decisions that do not fit any more, the first of them for the reason Why. They can be done again
	// where a later mend makes them fit.
	Left int
	Why  error
	// Play says that it had a play, which is gone: its tiles were laid out for the rack as it was.
	Play bool
}

// Mend puts d in the place of the player's decision number n, from 0, of a route of an exercise with entered tiles: what was
// passed, what came or what the others answered was typed wrongly. Of d it reads what [Exercise.Do] reads. The decisions after it
// are taken again as far as they are legal. Routes that share the decision are mended with it. After an error all is as
// before.
func (e *Exercise) Mend(route string, n int, d Decision) ([]Mended, error) {
	r, err := e.Route(route)
	if err == nil {
		err = e.mendable()
	}
	if err != nil {
		return nil, err
	}
	if n < 0 || n >= len(r.Decisions) {
		return nil, fmt.Errorf("route %s has %d decisions of the passing; number %d is none of them", r.Name, len(r.Decisions), n+1)
	}
	d.Step, d.Phase = r.Decisions[n].Step, r.Decisions[n].Phase
	shared := slices.Clone(r.Decisions[:n+1])
	return e.mendAll(func(r *Route) ([]Taken, int) {
		if len(r.Decisions) <= n || !slices.Equal(r.Decisions[:n+1], shared) {
			return nil, -1
		}
		again := r.takenFrom(n)
		again[0].Decision = d
		return again, n
	}, 1)
}

// MendDeal puts another deal in the place of one that was typed wrongly, in an exercise with entered tiles; see [Exercise.Mend].
func (e *Exercise) MendDeal(deal tile.Rack) ([]Mended, error) {
	if err := e.mendable(); err != nil {
		return nil, err
	}
	if _, err := blank(e.Name, e.Card, e.House, e.Seat, deal, e.Incoming, e.Seed); err != nil {
		return nil, err
	}
	was := e.Deal
	e.Deal = deal
	mended, err := e.mendAll(func(r *Route) ([]Taken, int) { return r.takenFrom(0), 0 }, 0)
	if err != nil {
		e.Deal = was
	}
	return mended, err
}

func (e *Exercise) mendable() error {
	if e.Incoming != EnteredPasses {
		return fmt.Errorf("incoming tiles are %q in this exercise; only what was typed in can be mended", e.Incoming)
	}
	return nil
}

// takenFrom is a route's decisions of the passing from number n on, and those ahead, with the plans and remarks they have; changes
// of these are not taken again. Advice on them was given for racks that are other ones now.
func (r *Route) takenFrom(n int) []Taken {
	var all []Taken
	for ; n < len(r.Decisions); n++ {
		all = append(all, r.taken(n))
	}
	for _, t := range r.Ahead {
		if t.Change == nil && !t.inPlay() {
			all = append(all, t)
		}
	}
	for i := range all {
		all[i].Play, all[i].Unseen, all[i].Note.Advice = nil, nil, nil
	}
	return all
}

// mendAll takes decisions of routes again: again says which, and how many decisions before them stay, or -1 for a route that
// has nothing to do with it. The first must of them have to be legal.
func (e *Exercise) mendAll(again func(*Route) ([]Taken, int), must int) ([]Mended, error) {
	var mended []Mended
	var routes []Route
	for _, r := range e.Routes {
		decisions, keep := again(r)
		if keep < 0 {
			continue
		}
		m := Mended{Route: r, Play: r.Unseen != nil}
		next := r.Upto(keep)
		next.Play, next.Unseen = nil, nil
		if keep == 0 && must == 0 {
			next.noteAt(0).Advice = nil
		}
		done := len(decisions)
		for i := range decisions {
			longer := next.with(&decisions[i])
			if _, err := e.Replay(&longer); err != nil {
				if done, m.Why = i, err; i < must {
					return nil, err
				}
				break
			}
			next = longer
		}
		next.Ahead = slices.Clone(decisions[done:])
		m.Left, next.At = len(next.Ahead), min(r.At, next.Len())
		mended, routes = append(mended, m), append(routes, next)
	}
	for i := range mended {
		*mended[i].Route = routes[i]
	}
	return mended, nil
}
