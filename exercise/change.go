package exercise

import (
	"fmt"
	"slices"
)

// Change is a plan or a remark of one moment of a route that gave way to another, or that takes its place again.
type Change struct {
	// Of is the number of the player's decisions when it was made: it comes after them and before the next.
	Of int
	// At is the moment it is about, after the player's first At decisions. A plan is changed only where the route stands.
	At int
	// OfRemark says that it is the remark; else it is the plan.
	OfRemark bool
	Aim      []string
	Remark   string
}

// maxChanges is how many changes of a route can be taken back.
const maxChanges = 200

// standing is what stands where a change is about.
func (r *Route) standing(c Change) Change {
	n := r.Note(c.At)
	if c.OfRemark {
		c.Remark = n.Remark
	} else {
		c.Aim = n.Aim
	}
	return c
}

// put sets what a change says, and notes what stood there before.
func (r *Route) put(c Change) {
	r.Changes = append(r.Changes, r.standing(c))
	if len(r.Changes) > maxChanges {
		r.Changes = slices.Delete(r.Changes, 0, len(r.Changes)-maxChanges)
	}
	r.set(c)
}

// set sets what a change says.
func (r *Route) set(c Change) {
	n := r.noteAt(c.At)
	if c.OfRemark {
		n.Remark = c.Remark
	} else {
		n.Aim = slices.Clone(c.Aim)
	}
}

// change makes a new change. Changes that were taken back just before cannot be made again then; decisions still can, those
// that were taken under the plan that gives way now under the new one.
func (r *Route) change(c Change) {
	was := r.standing(c)
	if was.Remark == c.Remark && slices.Equal(was.Aim, c.Aim) {
		return
	}
	for len(r.Ahead) > 0 && r.Ahead[0].Change != nil {
		if gone := r.Ahead[0].Change; !gone.OfRemark {
			was.Aim = gone.Aim
		}
		r.Ahead = slices.Clone(r.Ahead[1:])
	}
	for i := 0; !c.OfRemark && i < len(r.Ahead); i++ {
		t := &r.Ahead[i]
		if t.Change != nil && t.Change.OfRemark {
			continue
		}
		if t.Change != nil || !slices.Equal(t.Note.Aim, was.Aim) {
			break
		}
		t.Note.Aim = slices.Clone(c.Aim)
	}
	r.put(c)
}

// changedUpto is the changes that were made before the player's decision number keep, from 0, was taken.
func (r *Route) changedUpto(keep int) []Change {
	var all []Change
	for _, c := range r.Changes {
		if c.Of > keep {
			break
		}
		c.Aim = slices.Clone(c.Aim)
		all = append(all, c)
	}
	return all
}

// check says why a change cannot be made on a route of a length, or nil.
func (c *Change) check(e *Exercise, length int) error {
	if c.At < 0 || c.Of < c.At || c.Of > length || !c.OfRemark && c.At != c.Of {
		return fmt.Errorf("a change at %d of %d; numbers up to %d, the same ones for a plan, are right", c.At, c.Of, length)
	}
	if _, err := Hands(e.Card, c.Aim); err != nil {
		return fmt.Errorf("aim: %w", err)
	}
	return checkRemark(c.Remark)
}
