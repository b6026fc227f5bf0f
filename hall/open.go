package hall

import (
	"crypto/rand"
	"errors"
	"fmt"

	"secondpass/exercise"
	"secondpass/rules/charleston"
	"secondpass/store"
	"secondpass/teach/class"
	"secondpass/teach/lesson"
)

// Start is where a class begins: after the first At decisions of a route; at the deal where Route is "".
type Start struct {
	Route string
	At    int
}

// Open opens a class on an exercise. A vote walks a route of its own, so that those of the sheet stay: from the deal, or
// from its start.
func (h *Hall) Open(x *store.Saved, mode class.Mode, seconds int, start Start) (*Room, error) {
	name, err := classRoute(x, mode, start)
	if err != nil {
		return nil, err
	}
	c, err := class.New(mode, seconds, name, h.now())
	if err != nil {
		return nil, wrong("No class", err)
	}
	walked := x
	if mode == class.Duplicate {
		walked = nil // everybody walks alone, and the sheet stays as it is
	}
	return h.add(&store.SavedClass{Exercise: x.ID, Class: c}, walked)
}

// OpenLesson opens a class on a lesson, which it keeps as it is now. The class votes on the items together.
func (h *Hall) OpenLesson(l *lesson.Lesson, seconds int) (*Room, error) {
	if len(l.Items) == 0 {
		return nil, &Error{Kind: Wrong, Text: "The lesson is empty; put a drill or an exercise into it first."}
	}
	c, err := class.New(class.Together, seconds, class.OfLesson, h.now())
	if err != nil {
		return nil, wrong("No class", err)
	}
	return h.add(&store.SavedClass{Lesson: l, Class: c}, nil)
}

// add keeps a new class under a code that nobody else has, with the exercise that it walks.
func (h *Hall) add(saved *store.SavedClass, walked *store.Saved) (*Room, error) {
	var err error
	if saved.Key, err = secret(); err != nil {
		return nil, err
	}
	if saved.Link, err = secret(); err != nil {
		return nil, err
	}
	for {
		code, err := class.NewCode(rand.Reader)
		if err != nil {
			return nil, err
		}
		saved.Code = code
		err = h.store.AddClass(saved, walked)
		switch {
		case errors.Is(err, store.ErrNameTaken):
			continue
		case errors.Is(err, store.ErrChanged), errors.Is(err, store.ErrNotFound):
			return nil, err
		case err != nil:
			return nil, notSaved("The class", err)
		}
		return h.seat(saved), nil
	}
}

// freeCode is a code that no class has.
func (h *Hall) freeCode() (string, error) {
	for {
		code, err := class.NewCode(rand.Reader)
		if err != nil {
			return "", err
		}
		if _, err := h.store.ClassByCode(code); errors.Is(err, store.ErrNoClass) {
			return code, nil
		} else if err != nil {
			return "", err
		}
	}
}

// classRoute makes the route that a class walks, and gives its letter.
func classRoute(x *store.Saved, mode class.Mode, start Start) (string, error) {
	if mode == class.Duplicate {
		if x.Incoming == exercise.EnteredPasses {
			return "", &Error{Kind: Wrong, Text: "In a duplicate class nobody can type what comes. Take an exercise with mock passes or simulated players."}
		}
		return x.Routes[0].ID, nil
	}
	from, keep := x.Routes[0], 0
	if start.Route != "" {
		var err error
		if from, err = x.Route(start.Route); err != nil {
			return "", wrong("No class", err)
		}
		if keep = start.At; keep > len(from.Decisions) {
			return "", &Error{Kind: Wrong, Text: fmt.Sprintf("Route %s is in its play already; a class works on the passing.", from.Name)}
		}
	}
	name := "Class"
	for i := 2; ; i++ {
		if _, err := x.Route(name); err != nil {
			break
		}
		name = fmt.Sprintf("Class %d", i)
	}
	fork, err := x.Fork(from.Name, keep, name)
	if err != nil {
		return "", wrong("No class", err)
	}
	t, err := x.Replay(fork)
	if err != nil {
		return "", wrong("No class", err)
	}
	if t.Now.Phase() == charleston.Over {
		return "", &Error{Kind: Wrong, Text: fmt.Sprintf("Route %s has come to the end of the passing. Begin the class at the deal or at another route.", from.Name)}
	}
	return fork.ID, nil
}
