package exercise

import (
	"fmt"
	"slices"

	"secondpass/rules/table"
)

// maxRoutes bounds the routes of an exercise.
const maxRoutes = 1000

// Len is the number of the player's decisions: those of the passing, then those of the play.
func (r *Route) Len() int {
	n := len(r.Decisions)
	for _, a := range r.Play {
		if a.Seat == r.Seat {
			n++
		}
	}
	return n
}

// Upto is the route as it was after the player's first keep decisions, 0 to Len, with what the others
// did until the next one and what was noted up to there. It shares no slice with r.
func (r *Route) Upto(keep int) Route {
	cut := *r
	cut.Ahead, cut.Notes, cut.Changes = nil, nil, r.changedUpto(keep)
	for _, n := range r.Notes[:min(keep+1, len(r.Notes))] {
		cut.Notes = append(cut.Notes, n.clone())
	}
	cut.Decisions = slices.Clone(r.Decisions[:min(keep, len(r.Decisions))])
	cut.Play, cut.Unseen = nil, nil
	if keep >= len(r.Decisions) {
		cut.Unseen = r.Unseen
		cut.Play = slices.Clone(r.Play[:r.playUpto(keep-len(r.Decisions))])
	}
	return cut
}

// playUpto is how far the play goes with the first keep decisions in it.
func (r *Route) playUpto(keep int) int {
	for i, a := range r.Play {
		if a.Seat != r.Seat {
			continue
		}
		if keep == 0 {
			return i
		}
		keep--
	}
	return len(r.Play)
}

// Choice is one decision of a player: of the passing, or of the play where Action has a kind.
type Choice struct {
	Decision Decision
	Action   table.Action
}

// InPlay says whether the choice was made after the passing.
func (c Choice) InPlay() bool { return c.Action.Kind != 0 }

// Choice is the player's decision number n, from 0 up to but without Len.
func (r *Route) Choice(n int) Choice {
	if n < len(r.Decisions) {
		return Choice{Decision: r.Decisions[n]}
	}
	return Choice{Action: r.Play[r.playUpto(n-len(r.Decisions))]}
}

// Fork starts a new route from the player's first keep decisions of another. An empty name takes the next
// letter.
func (e *Exercise) Fork(from string, keep int, name string) (*Route, error) {
	r, err := e.Route(from)
	if err != nil {
		return nil, err
	}
	if n := r.Len(); keep < 0 || keep > n {
		return nil, fmt.Errorf("route %s has %d decisions; a fork keeps 0 to %d of them", r.Name, n, n)
	}
	if len(e.Routes) == maxRoutes {
		return nil, fmt.Errorf("the exercise has %d routes, which is the most", maxRoutes)
	}
	if name, err = e.freeName(name); err != nil {
		return nil, err
	}
	fork := r.Upto(keep)
	fork.Name, fork.From, fork.At = name, r.ID, keep
	e.giveLetter(&fork)
	e.Routes = append(e.Routes, &fork)
	return &fork, nil
}

// PartsAt is the place of the first decision in which two routes differ, counted from 0. When one
// is the beginning of the other it is the length of the shorter.
func PartsAt(a, b *Route) int {
	n := min(len(a.Decisions), len(b.Decisions))
	for i := range n {
		if a.Decisions[i] != b.Decisions[i] {
			return i
		}
	}
	if len(a.Decisions) != len(b.Decisions) {
		return n
	}
	for i := range min(len(a.Play), len(b.Play)) {
		if a.Play[i] != b.Play[i] {
			break
		}
		if a.Play[i].Seat == a.Seat {
			n++
		}
	}
	return n
}

// Adopt takes a route of the same deal, of another copy of the exercise, in as a new one with a name of its own and the next
// letter; it is replayed, and what does not fit is an error.
func (e *Exercise) Adopt(other *Route, name string) (*Route, error) {
	if len(e.Routes) == maxRoutes {
		return nil, fmt.Errorf("the exercise has %d routes, which is the most", maxRoutes)
	}
	name, err := e.freeName(name)
	if err != nil {
		return nil, err
	}
	own := other.Upto(other.Len())
	own.Name, own.From, own.At, own.Seat = name, "", 0, e.Seat
	if _, err := e.Replay(&own); err != nil {
		return nil, err
	}
	e.giveLetter(&own)
	e.Routes = append(e.Routes, &own)
	return &own, nil
}
