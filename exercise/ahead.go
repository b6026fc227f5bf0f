package exercise

import (
	"fmt"
	"slices"

	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// Taken is one of the player's decisions, or a change of a plan or a remark, that was taken back, as it can be done again.
type Taken struct {
	// Change is a change; nil for a decision.
	Change *Change
	// Decision is one of the passing, of the phase none where the decision is of the play. Play is the decision of the
	// play, if it is one, and what all seats did after it up to the player's next.
	Decision Decision
	Play     []table.Action
	// Unseen is what was laid out for the play that begins with it, see [Route].
	Unseen *Hidden
	// Note is that of the moment after it.
	Note Note
}

// inPlay says whether the decision was of the play.
func (t *Taken) inPlay() bool { return t.Change == nil && t.Decision.Phase == charleston.Over }

// Choice is what was decided, where it is no change.
func (t *Taken) Choice() Choice {
	if t.inPlay() {
		return Choice{Action: t.Play[0]}
	}
	return Choice{Decision: t.Decision}
}

// same says whether two are the same decision with the same that came of it.
func (t *Taken) same(other *Taken) bool {
	return t.Change == nil && other.Change == nil && t.Decision == other.Decision && slices.Equal(t.Play, other.Play)
}

// taken is the player's decision number n, from 0, as it can be done again.
func (r *Route) taken(n int) Taken {
	t := Taken{Note: r.Note(n + 1)}
	from, passed := 0, len(r.Decisions)
	switch {
	case n < passed:
		t.Decision = r.Decisions[n]
		if n < passed-1 {
			return t
		}
		t.Unseen = r.Unseen
	default:
		t.Decision.Phase = charleston.Over
		from = r.playUpto(n - passed)
	}
	t.Play = slices.Clone(r.Play[from:r.playUpto(n+1-passed)])
	return t
}

// with is the route with one more decision. It shares no slice with r.
func (r *Route) with(t *Taken) Route {
	next := r.Upto(r.Len())
	if !t.inPlay() {
		next.Decisions = append(next.Decisions, t.Decision)
		next.Unseen = t.Unseen
	}
	next.Play = append(next.Play, t.Play...)
	next.setNote(next.Len(), t.Note)
	return next
}

// Last is what [Exercise.Undo] would take back: the change made last where it came after the last decision, else that decision.
// It is nil at the deal.
func (r *Route) Last() *Taken {
	n := r.Len()
	if last := len(r.Changes) - 1; last >= 0 && r.Changes[last].Of == n {
		now := r.standing(r.Changes[last])
		return &Taken{Change: &now}
	}
	if n == 0 {
		return nil
	}
	t := r.taken(n - 1)
	return &t
}

// Undo takes back what was done last on a route and returns it: a change of its plan or of a remark, or the player's last decision with
// what the others did after it. [Exercise.Redo] does it again.
func (e *Exercise) Undo(route string) (*Taken, error) {
	r, err := e.Route(route)
	if err != nil {
		return nil, err
	}
	last := r.Last()
	if last == nil {
		return nil, fmt.Errorf("route %s is at the deal; there is nothing to take back", r.Name)
	}
	ahead := append([]Taken{*last}, r.Ahead...)
	if n := r.Len(); last.Change == nil {
		*r = r.Upto(n - 1)
		r.At = min(r.At, n-1)
	} else {
		end := len(r.Changes) - 1
		r.set(r.Changes[end])
		r.Changes = slices.Clone(r.Changes[:end])
	}
	r.Ahead = ahead
	return last, nil
}

// Redo does again what was taken back of a route last, as it was, and returns it. Another decision in its place ends what can be
// done again.
func (e *Exercise) Redo(route string) (*Taken, error) {
	r, err := e.Route(route)
	if err != nil {
		return nil, err
	}
	if len(r.Ahead) == 0 {
		return nil, fmt.Errorf("nothing of route %s was taken back that could be done again", r.Name)
	}
	done, rest := r.Ahead[0], slices.Clone(r.Ahead[1:])
	if c := done.Change; c != nil {
		again := *c
		again.Of = r.Len()
		if err := again.check(e, r.Len()); err != nil {
			return nil, fmt.Errorf("it cannot be done again: %w", err)
		}
		r.put(again)
	} else {
		next := r.with(&done)
		if _, err := e.Replay(&next); err != nil {
			return nil, fmt.Errorf("it cannot be done again: %w", err)
		}
		*r = next
	}
	r.Ahead = rest
	return &done, nil
}

// went tells a route that its last decision has just been taken: what was taken back before can be done again after it only
// if it was the same.
func (r *Route) went() {
	if len(r.Ahead) == 0 {
		return
	}
	if last := r.taken(r.Len() - 1); last.same(&r.Ahead[0]) {
		r.setNote(r.Len(), r.Ahead[0].Note)
		r.Ahead = slices.Clone(r.Ahead[1:])
		return
	}
	r.Ahead = nil
}
