package workbook

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"secondpass/engine/prepared"
	"secondpass/exercise"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
	"secondpass/store"
)

// routeMoments is the steps of a route as they were, and what is noted and mended there.
func (s *Area) routeMoments(mux page.Routes) {
	mux.HandleFunc("GET /exercises/{id}/routes/{route}/steps/{at}", s.Handle(s.showMoment))
	mux.HandleFunc("POST /exercises/{id}/routes/{route}/remark", s.Handle(s.remark))
	mux.HandleFunc("POST /exercises/{id}/routes/{route}/mend", s.Handle(s.mend))
}

func (s *Area) showMoment(w http.ResponseWriter, r *http.Request) error {
	x, route, t, err := address.Route(s.store, r)
	if err != nil {
		return err
	}
	at, err := strconv.Atoi(r.PathValue("at"))
	switch {
	case err != nil || at < 0 || at > route.Len():
		return page.NotFound("Route %s has no step number %q.", route.Name, r.PathValue("at"))
	case at == route.Len() && at > len(t.Snapshots), at >= len(t.Snapshots) && t.Now.Phase() != charleston.Over:
		return page.Elsewhere(view.StepPath(x.ID, route.ID)) // where it stands, or a hand that was declared as it was dealt
	case at == route.Len():
		return page.Elsewhere(view.EndPath(x.ID, route, &t))
	case at >= len(t.Snapshots):
		return s.play.ShowPast(w, http.StatusOK, x, route, at)
	}
	return s.renderMoment(w, http.StatusOK, x, route, &t, at, "", nil)
}

// renderMoment shows a step as it was. refusal says why a form on it was refused, and sent is that form; said is what was done.
func (s *Area) renderMoment(w http.ResponseWriter, code int, x *store.Saved, route *exercise.Route, t *exercise.Trail, at int, refusal string, sent url.Values, said ...string) error {
	p, err := view.NewMomentPage(numberedOf(x), prepared.Of(x.Card).Index(), route, t, at)
	if err != nil {
		return err
	}
	p.Refusal, p.Mended = refusal, said
	for i := range p.Mend {
		if f := &p.Mend[i]; sent.Has(f.Name) {
			f.Value = sent.Get(f.Name)
		}
	}
	lessons, err := s.store.Lessons()
	if err != nil {
		return err
	}
	for _, l := range lessons {
		p.Lesson.Lessons = append(p.Lesson.Lessons, view.LessonName{ID: l.ID, Title: l.Title})
	}
	s.Render(w, code, "moment", page.Page{Title: p.Title() + ", " + x.Exercise.Name, Section: "Exercises", Data: p})
	return nil
}

// momentAt is the step that a form names.
func momentAt(f url.Values, route *exercise.Route) (int, error) {
	at, err := strconv.Atoi(f.Get("at"))
	if err != nil || at < 0 || at > route.Len() {
		return 0, page.NotFound("Route %s has no step number %q.", route.Name, f.Get("at"))
	}
	return at, nil
}

// remark keeps the teacher's remark at a step.
func (s *Area) remark(w http.ResponseWriter, r *http.Request) error {
	x, route, _, err := address.RouteForm(s.store, r)
	if err != nil {
		return err
	}
	at, err := momentAt(r.PostForm, route)
	if err != nil {
		return err
	}
	if err := x.SetRemark(route.Name, at, r.PostForm.Get("remark")); err != nil {
		return page.Refused("The remark is not kept: %s.", err)
	}
	if err := s.store.Save(x); err != nil {
		return err
	}
	if at < route.Len() {
		return page.SeeOther(w, r, view.MomentPath(x.ID, route.ID, at)+"#remark")
	}
	return page.Back(w, r, view.StepPath(x.ID, route.ID)+"#remark")
}

// mend puts right what was typed wrongly at a step.
func (s *Area) mend(w http.ResponseWriter, r *http.Request) error {
	x, route, t, err := address.RouteForm(s.store, r)
	if err != nil {
		return err
	}
	at, err := momentAt(r.PostForm, route)
	if err != nil {
		return err
	}
	if at >= len(t.Snapshots) {
		return page.NotFound("Route %s has no step number %q of the passing.", route.Name, r.PostForm.Get("at"))
	}
	mended, err := mendOf(x.Exercise, route, at, r.PostForm)
	if err != nil {
		return s.renderMoment(w, http.StatusUnprocessableEntity, x, route, &t, at, "Nothing is mended: "+err.Error()+".", r.PostForm)
	}
	if err := s.store.Save(x); err != nil {
		return err
	}
	if t, err = x.Replay(route); err != nil {
		return err
	}
	var said []string
	for i := range mended {
		said = append(said, wording.Mended(&mended[i], "Redo"))
	}
	if at >= len(t.Snapshots) {
		return page.SeeOther(w, r, view.StepPath(x.ID, route.ID)) // the deal was mended, and nothing fits any more
	}
	return s.renderMoment(w, http.StatusOK, x, route, &t, at, "", nil, said...)
}

// mendOf mends what a form says of a step, the deal first where that changed.
func mendOf(e *exercise.Exercise, route *exercise.Route, at int, f url.Values) (mended []exercise.Mended, err error) {
	d, err := mendedDecision(e, route.Decisions[at], f)
	if err != nil {
		return nil, err
	}
	if f.Has("deal") {
		deal, err := tile.Parse(f.Get("deal"), e.Set)
		if err != nil {
			return nil, err
		}
		if deal != e.Deal {
			if mended, err = e.MendDeal(deal); err != nil || len(route.Decisions) <= at || d == route.Decisions[at] {
				return mended, err
			}
		}
	}
	return e.Mend(route.Name, at, d)
}

// mendedDecision is a decision with what a form says of it.
func mendedDecision(e *exercise.Exercise, d exercise.Decision, f url.Values) (exercise.Decision, error) {
	var err error
	number := func(name string, into *int) {
		if n, bad := strconv.Atoi(strings.TrimSpace(f.Get(name))); bad == nil {
			*into = n
		} else if f.Has(name) && err == nil {
			err = fmt.Errorf("%q is no number; 0 to 3 is right", f.Get(name))
		}
	}
	if f.Has("own") {
		if d.Own, err = exercise.ParseParcel(f.Get("own"), e.Set); err != nil {
			return d, err
		}
	}
	if f.Has("came") {
		if d.Came, err = exercise.ParseParcel(f.Get("came"), e.Set); err != nil {
			return d, err
		}
	}
	number("blind", &d.Count)
	number("count", &d.Count)
	number("exchanged", &d.Exchanged)
	switch vote := strings.ToLower(strings.TrimSpace(f.Get("vote"))); {
	case !f.Has("vote"):
	case vote == "go", vote == "stop", vote == "another stops":
		d.Stop, d.OthersStop = vote == "stop", vote == "another stops"
	case err == nil:
		err = fmt.Errorf("%q is no answer; go, stop or another stops is right", f.Get("vote"))
	}
	return d, err
}
