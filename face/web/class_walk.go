package web

import (
	"context"
	"fmt"
	"strconv"
	"sync"

	"secondpass/exercise"
	"secondpass/face/web/page"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/teach/class"
)

// walks is the routes of the students of a duplicate class, each on the same deal.
type walks struct {
	mu sync.Mutex
	x  *store.Saved
	// judge reads racks under no aim; worth is the estimated chance to win with one.
	judge *exercise.Judge
	worth func(tile.Rack) float64
	by    map[int]*walker
}

// walker is one student's route.
type walker struct {
	e      exercise.Exercise
	trail  exercise.Trail
	result class.Result
}

// walksOf is the routes of a duplicate class, made when they are first needed.
func (s *Server) walksOf(rm *room) (*walks, error) {
	rm.mu.Lock()
	defer rm.mu.Unlock()
	if rm.walks != nil {
		return rm.walks, nil
	}
	x, err := s.store.Load(strconv.Itoa(int(rm.Exercise)))
	if err != nil {
		return nil, err
	}
	judge, err := exercise.NewJudge(x.Card, nil)
	if err != nil {
		return nil, err
	}
	counsel, err := s.Cards.Counsel(x.Exercise)
	if err != nil {
		return nil, err
	}
	rm.walks = &walks{x: x, judge: judge, worth: counsel.Own.New().Chance, by: map[int]*walker{}}
	return rm.walks, nil
}

// of is a student's route with the decisions so far; w.mu is held.
func (w *walks) of(student int, decided []class.Choice) (*walker, error) {
	own, ok := w.by[student]
	if !ok {
		own = &walker{e: *w.x.Exercise}
		own.e.Routes = []*exercise.Route{{Name: exercise.FirstRoute, Seat: w.x.Seat}}
		if err := w.read(own, student); err != nil {
			return nil, err
		}
		w.by[student] = own
	}
	for own.result.Decided < len(decided) {
		if err := w.do(own, student, decided[own.result.Decided]); err != nil {
			return nil, err
		}
	}
	return own, nil
}

// do takes one decision; after an error the route is as before.
func (w *walks) do(own *walker, student int, c class.Choice) error {
	q, err := class.Ask(&own.trail.Now, nil)
	if err != nil {
		return err
	}
	if _, err := own.e.Do(exercise.FirstRoute, q.Decision(c)); err != nil {
		return err
	}
	return w.read(own, student)
}

// read brings the trail and the result up to the route.
func (w *walks) read(own *walker, student int) error {
	t, err := own.e.Replay(own.e.Routes[0])
	if err != nil {
		return err
	}
	own.trail = t
	own.result = class.Result{Student: student, Decided: len(t.Snapshots), Over: t.Now.Phase() == charleston.Over}
	if own.result.Over {
		a := w.judge.Account(t.Now.Rack())
		own.result.Spares, own.result.Chance = a.SparePlan.Size(), w.worth(t.Now.Rack())
	}
	return nil
}

// results is how far everybody has come. The room must not be locked.
func (w *walks) results(rm *room) ([]class.Result, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	rm.mu.Lock()
	defer rm.mu.Unlock()
	var all []class.Result
	for _, st := range rm.Students {
		own, err := w.of(st.ID, rm.Walks[st.ID])
		if err != nil {
			return nil, fmt.Errorf("the route of %s: %w", st.Name, err)
		}
		all = append(all, own.result)
	}
	return all, nil
}

// decideAlone takes the decision number n of a student who walks alone. It returns once that is on the disk; one that
// was taken before is no error and changes nothing.
func (s *Server) decideAlone(rm *room, student, n int, c class.Choice) error {
	w, err := s.walksOf(rm)
	if err != nil {
		return err
	}
	taken, err := w.decide(rm, student, n, c)
	if err != nil {
		return page.Refused("%s.", wording.Capital(err.Error()))
	}
	now := s.hall.now()
	// A decision that was here before goes to the disk again: it may not have got there.
	return s.hall.votes.Append(context.Background(), store.KeptVote{Class: rm.ID, Round: n + 1, Student: student,
		Vote: class.Vote{Seq: 1, Choice: taken, Made: now, Received: now}})
}

// decide is decideAlone in memory; it returns what was decided, now or before.
func (w *walks) decide(rm *room, student, n int, c class.Choice) (class.Choice, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	rm.mu.Lock()
	defer rm.mu.Unlock()
	own, err := w.of(student, rm.Walks[student])
	if err != nil {
		return c, err
	}
	if n >= 0 && n < own.result.Decided {
		return rm.Walks[student][n], nil
	}
	q, err := class.Ask(&own.trail.Now, nil)
	if err != nil {
		return c, err
	}
	if _, err := rm.Decide(student, n, &q, c); err != nil {
		return c, err
	}
	if err := w.do(own, student, c); err != nil {
		rm.Walks[student] = rm.Walks[student][:n]
		return c, err
	}
	if own.result.Over {
		rm.tell() // the room's mean has changed, which those see who are done
	} else {
		rm.desk.ring()
	}
	return c.Bare(), nil
}

// keepRoutes puts the students' routes on the sheet of the exercise, each under its nickname. Those that are there
// already stay as they are.
func (s *Server) keepRoutes(rm *room) error {
	x, err := s.store.Load(strconv.Itoa(int(rm.Exercise)))
	if err != nil {
		return err
	}
	rm.mu.Lock()
	defer rm.mu.Unlock()
	for _, st := range rm.Students {
		if len(rm.Walks[st.ID]) == 0 {
			continue
		}
		if _, err := x.Route(routeName(st.Name)); err == nil {
			continue
		}
		route, err := x.Fork(x.Routes[0].Name, 0, routeName(st.Name))
		if err != nil {
			return page.Refused("The route of %s is not on the sheet: %s.", st.Name, err)
		}
		route.Aim = nil
		for _, c := range rm.Walks[st.ID] {
			t, err := x.Replay(route)
			if err != nil {
				return err
			}
			q, err := class.Ask(&t.Now, nil)
			if err == nil {
				_, err = x.Do(route.Name, q.Decision(c))
			}
			if err != nil {
				return page.Refused("The route of %s is not on the sheet: %s.", st.Name, err)
			}
		}
	}
	return s.store.Save(x)
}

// routeName is a nickname as the name of a route, which may not be a number.
func routeName(nick string) string {
	if exercise.CheckName(nick) != nil {
		return "student " + nick
	}
	return nick
}
