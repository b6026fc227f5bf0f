package exercise

import (
	"fmt"
	"slices"

	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// Taken is one of the player's decisions that was taken back, as it can be done again.
type Taken struct {
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
func (t *Taken) inPlay() bool { return t.Decision.Phase == charleston.Over }

// Choice is what was decided.
func (t *Taken) Choice() Choice {
	if t.inPlay() {
		return Choice{Action: t.Play[0]}
	}
	return Choice{Decision: t.Decision}
}

// same says whether two are the same decision with the same that came of it.
func (t *Taken) same(other *Taken) bool {
	return t.Decision == other.Decision && slices.Equal(t.Play, other.Play)
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

// Undo takes back the player's last decision of a route, with what the others did after it, and returns it.
// [Exercise.Redo] does it again.
func (e *Exercise) Undo(route string) (Choice, error) {
	r, err := e.Route(route)
	if err != nil {
		return Choice{}, err
	}
	n := r.Len()
	if n == 0 {
		return Choice{}, fmt.Errorf("route %s is at the deal; there is nothing to take back", r.Name)
	}
	last := r.taken(n - 1)
	ahead := append([]Taken{last}, r.Ahead...)
	*r = r.Upto(n - 1)
	r.At, r.Ahead = min(r.At, n-1), ahead
	return last.Choice(), nil
}

// Redo does again the decision of a route that was taken back last, as it was. Another decision in its place ends what can be
// done again.
func (e *Exercise) Redo(route string) (Choice, error) {
	r, err := e.Route(route)
	if err != nil {
		return Choice{}, err
	}
	if len(r.Ahead) == 0 {
		return Choice{}, fmt.Errorf("nothing of route %s was taken back that could be done again", r.Name)
	}
	next := r.with(&r.Ahead[0])
	if _, err := e.Replay(&next); err != nil {
		return Choice{}, fmt.Errorf("it cannot be done again: %w", err)
	}
	done := r.Ahead[0].Choice()
	next.Ahead = slices.Clone(r.Ahead[1:])
	*r = next
	return done, nil
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
