package hall

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"sync"

	"secondpass/exercise"
	"secondpass/rules/charleston"
	"secondpass/store"
	"secondpass/teach/class"
)

// deal is what all students of a duplicate class walk from.
type deal struct {
	// mu is held while a rack is measured or a route replayed: exercises share working memory.
	mu    sync.Mutex
	x     *store.Saved
	worth func(charleston.View) (int, float64)
	begin exercise.Trail
}

// Walk is how far a student of a duplicate class has come. It never changes.
type Walk struct {
	Trail  exercise.Trail
	Result class.Result
	// Gap says from which decision on, counted from 1, what is on the disk cannot be used; 0 for none. The walk goes on
	// there, and the next decision takes its place.
	Gap int

	e exercise.Exercise
}

// Walk is how far a student of a duplicate class has come, or nil while the class has a problem.
func (s *State) Walk(student int) *Walk { return s.walks[student] }

// Results is how far everybody has come, in the order of joining; empty while the class has a problem.
func (s *State) Results() []class.Result {
	var all []class.Result
	for _, st := range s.Students {
		if w := s.walks[st.ID]; w != nil {
			all = append(all, w.Result)
		}
	}
	return all
}

// prepare makes the walks of a duplicate class when they are not there yet. Where the exercise cannot be used the state
// says so, and the next who comes tries again.
func (rm *Room) prepare() {
	if s := rm.Now(); s.Mode != class.Duplicate || s.walks != nil {
		return
	}
	rm.mu.Lock()
	defer rm.mu.Unlock()
	next := rm.draft()
	if next.walks != nil {
		return
	}
	d, err := rm.newDeal()
	if err != nil {
		if text := "The exercise of this class cannot be opened: " + err.Error() + "."; text != next.Problem {
			next.Problem = text
			rm.publish(next, everybody)
		}
		return
	}
	rm.deal, next.Problem, next.walks = d, "", map[int]*Walk{}
	next.Walks = maps.Clone(next.Walks)
	for _, st := range next.Students {
		own, whole := d.load(st.ID, next.Walks[st.ID])
		if !whole || rm.gaps[st.ID] > 0 {
			own.Gap = own.Result.Decided + 1
			next.Walks[st.ID] = slices.Clip(next.Walks[st.ID][:own.Result.Decided])
		}
		next.walks[st.ID] = own
	}
	rm.publish(next, everybody)
}

func (rm *Room) newDeal() (*deal, error) {
	x, err := rm.exercise()
	if err != nil {
		return nil, err
	}
	worth, err := rm.hall.rater.Worth(x.Exercise)
	if err != nil {
		return nil, err
	}
	d := &deal{x: x, worth: worth}
	d.begin, err = x.Replay(x.Fresh().Routes[0])
	return d, err
}

// start is the walk of a student who has decided nothing.
func (d *deal) start(student int) *Walk {
	w := &Walk{e: *d.x.Fresh(), Trail: d.begin, Result: class.Result{Student: student}}
	return w
}

// load is the walk of a student with the decisions of the disk; whole is false where not all could be taken.
func (d *deal) load(student int, decided []class.Choice) (w *Walk, whole bool) {
	w = d.start(student)
	for _, c := range decided {
		q, err := w.question()
		if err != nil {
			return w, false
		}
		next, err := d.do(w, &q, c)
		if err != nil {
			return w, false
		}
		w = next
	}
	return w, true
}

// question is what the walk waits for.
func (w *Walk) question() (class.Question, error) { return class.Ask(&w.Trail.Now, nil) }

// do is the walk after one more decision.
func (d *deal) do(w *Walk, q *class.Question, c class.Choice) (*Walk, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	route := *w.e.Routes[0]
	route.Decisions = slices.Clip(route.Decisions)
	next := &Walk{e: w.e}
	next.e.Routes = []*exercise.Route{&route}
	if _, err := next.e.Do(exercise.FirstRoute, q.Decision(c)); err != nil {
		return nil, err
	}
	var err error
	if next.Trail, err = next.e.Replay(&route); err != nil {
		return nil, err
	}
	next.Result = class.Result{Student: w.Result.Student, Decided: len(next.Trail.Snapshots), Over: next.Trail.Now.Phase() == charleston.Over}
	if next.Result.Over {
		next.Result.Spares, next.Result.Chance = d.worth(next.Trail.Now.View())
	}
	return next, nil
}

// Decide takes the decision number n, from 0, of a student who walks alone, and returns once it is on the disk. One that
// was taken before is no error and changes nothing.
func (rm *Room) Decide(student, n int, c class.Choice) error {
	defer rm.turn(student)()
	now := rm.Now()
	own := now.Walk(student)
	if own == nil {
		if now.Problem != "" {
			return &Error{Kind: Wrong, Text: now.Problem}
		}
		return wrong("", fmt.Errorf("the class decides together; nobody walks alone"))
	}
	q, err := own.question()
	if err != nil && n >= own.Result.Decided {
		return wrong("", err)
	}
	due, err := now.Due(student, n, &q, c)
	if err != nil {
		return wrong("", err)
	}
	if !due {
		return nil
	}
	next, err := rm.deal.do(own, &q, c)
	if err != nil {
		return wrong("", err)
	}
	at := rm.hall.now()
	err = rm.hall.votes.Append(context.Background(), store.KeptVote{Class: rm.ID, Round: n + 1, Student: student,
		Vote: class.Vote{Seq: 1, Choice: c.Bare(), Made: at, Received: at}, Mends: own.Gap > 0})
	rm.mu.Lock()
	defer rm.mu.Unlock()
	draft := rm.draft()
	if _, gone := draft.Student(student); gone != nil {
		return ErrNoPlace // was taken out meanwhile
	}
	draft.Walks, draft.walks = maps.Clone(draft.Walks), maps.Clone(draft.walks)
	draft.Walks[student] = append(slices.Clip(draft.Walks[student]), c.Bare())
	draft.walks[student] = next
	// The room's mean changes, which those see who are done.
	return rm.keep(draft, audience(next.Result.Over), "A decision", func() error { return err })
}

// turn waits until no other decision of a student is on its way, so that two tabs do not take the same one; done ends
// the turn.
func (rm *Room) turn(student int) (done func()) {
	rm.mu.Lock()
	own, ok := rm.turns[student]
	if !ok {
		own = make(chan struct{}, 1)
		rm.turns[student] = own
	}
	rm.mu.Unlock()
	own <- struct{}{}
	return func() { <-own }
}

// KeepRoutes puts the students' routes on the sheet of the exercise, each under its nickname. Those that are there
// already stay as they are.
func (rm *Room) KeepRoutes() error {
	now := rm.Now()
	if now.Mode != class.Duplicate {
		return &Error{Kind: Wrong, Text: "Only in a duplicate class do students have routes of their own."}
	}
	x, err := rm.exercise()
	if err != nil {
		return err
	}
	for _, st := range now.Students {
		if len(now.Walks[st.ID]) == 0 {
			continue
		}
		if _, err := x.Route(routeName(st.Name)); err == nil {
			continue
		}
		if err := putRoute(x, st, now.Walks[st.ID]); err != nil {
			return wrong("The route of "+st.Name+" is not on the sheet", err)
		}
	}
	return rm.hall.store.Save(x)
}

// putRoute puts a student's decisions on a route from the deal.
func putRoute(x *store.Saved, st class.Student, decided []class.Choice) error {
	route, err := x.Fork(x.Routes[0].Name, 0, routeName(st.Name))
	if err != nil {
		return err
	}
	if err := x.SetAim(route.Name, nil); err != nil {
		return err
	}
	for _, c := range decided {
		t, err := x.Replay(route)
		if err != nil {
			return err
		}
		q, err := class.Ask(&t.Now, nil)
		if err != nil {
			return err
		}
		if _, err := x.Do(route.Name, q.Decision(c)); err != nil {
			return err
		}
	}
	return nil
}

// routeName is a nickname as the name of a route, which may not be a number.
func routeName(nick string) string {
	if exercise.CheckName(nick) != nil {
		return "student " + nick
	}
	return nick
}
