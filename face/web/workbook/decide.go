package workbook

import (
	"errors"
	"net/http"
	"net/url"
	"strconv"

	"secondpass/exercise"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/store"
)

// deed is something done to a route by a form at its present moment.
type deed func(x *store.Saved, route *exercise.Route, t *exercise.Trail, f url.Values) error

// does makes a handler of a deed: it refuses a form made for another moment, saves what was done, and shows what is due
// next. After a refusal the moment is shown again, with the reason and what was chosen.
func (s *Area) does(do deed) http.HandlerFunc {
	return s.Handle(func(w http.ResponseWriter, r *http.Request) error {
		if err := page.Form(r); err != nil {
			return err
		}
		for try := 0; ; try++ {
			x, route, t, err := address.Route(s.store, r)
			if err != nil {
				return err
			}
			if err := sameStep(r.PostForm, route); err != nil {
				return s.renderStepOrPlay(w, s.Status(err), x, route, &t, nil, err.Error())
			}
			if err := do(x, route, &t, r.PostForm); err != nil {
				return s.renderStepOrPlay(w, http.StatusUnprocessableEntity, x, route, &t, r.PostForm, wording.Capital(err.Error())+".")
			}
			err = s.store.Save(x)
			if errors.Is(err, store.ErrChanged) && try < 2 {
				continue // advice was noted meanwhile, for instance; a decision taken elsewhere is seen now
			}
			if err != nil {
				return err
			}
			return page.SeeOther(w, r, s.nextPath(x, route, t.Now.Phase()))
		}
	})
}

// nextPath is where a route stands now. A decision that ended the passing leads to its end, before the play.
func (s *Area) nextPath(x *store.Saved, route *exercise.Route, before charleston.Phase) string {
	if before != charleston.Over && len(route.Decisions) == route.Len() {
		if t, err := x.Replay(route); err == nil {
			return view.EndPath(x.ID, route, &t)
		}
	}
	return view.StepPath(x.ID, route.ID)
}

// decide takes the decision of a form.
func decide(x *store.Saved, route *exercise.Route, t *exercise.Trail, f url.Values) error {
	d, err := view.ReadDecision(f, t, x.Exercise)
	if err == nil {
		_, err = x.Do(route.Name, d)
	}
	return err
}

// undo takes back what was done last.
func undo(x *store.Saved, route *exercise.Route, _ *exercise.Trail, _ url.Values) error {
	_, err := x.Undo(route.Name)
	return err
}

// redo does again what was taken back.
func redo(x *store.Saved, route *exercise.Route, _ *exercise.Trail, _ url.Values) error {
	_, err := x.Redo(route.Name)
	return err
}

// renderStepOrPlay shows where a route stands: in the play, at the end of its passing, or at the decision that is due.
func (s *Area) renderStepOrPlay(w http.ResponseWriter, code int, x *store.Saved, route *exercise.Route, t *exercise.Trail, sent url.Values, said string) error {
	if t.Game != nil {
		return s.play.Show(w, code, x, route, *t, said)
	}
	if t.Now.Phase() == charleston.Over {
		return s.renderEnd(w, code, x, route, t, said)
	}
	return s.renderStep(w, code, x, route, t, sent, said)
}

// sameStep refuses a form that was made for another moment of the route: a second tap on the button, or a page left
// open elsewhere.
func sameStep(f url.Values, route *exercise.Route) error {
	if f.Get("at") == strconv.Itoa(route.Len()) && (!f.Has("changes") || f.Get("changes") == strconv.Itoa(len(route.Changes))) {
		return nil
	}
	return page.Errorf(http.StatusConflict, "That was decided already; this is where the route stands now.")
}

// pin puts a hand into the plan of a route or takes it out, or aims at a section.
func (s *Area) pin(w http.ResponseWriter, r *http.Request) error {
	x, route, t, err := address.RouteForm(s.store, r)
	if err != nil {
		return err
	}
	aim, err := view.ReadAim(r.PostForm, x.Card, route.Aim())
	if err == nil {
		err = x.SetAim(route.Name, aim)
	}
	if err != nil {
		return s.renderStepOrPlay(w, http.StatusUnprocessableEntity, x, route, &t, nil, wording.Capital(err.Error())+".")
	}
	if err := s.store.Save(x); err != nil {
		return err
	}
	return page.Back(w, r, view.StepPath(x.ID, route.ID))
}
