package workbook

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"secondpass/exercise"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/store"
)

// routeSheet is the routes of an exercise side by side, and what is done with whole routes.
func (s *Area) routeSheet(mux page.Routes) {
	mux.HandleFunc("GET /exercises/{id}", s.Handle(s.showSheet))
	mux.HandleFunc("POST /exercises/{id}/routes/{route}/fork", s.Handle(s.fork))
	mux.HandleFunc("POST /exercises/{id}/routes/{route}/rename", s.Handle(s.renameRoute))
	mux.HandleFunc("POST /exercises/{id}/routes/{route}/remove", s.Handle(s.removeRoute))
	mux.HandleFunc("POST /exercises/{id}/routes/{route}/restore", s.Handle(s.restoreRoute))
}

// shownMost is how many routes stand side by side.
const shownMost = 6

func (s *Area) showSheet(w http.ResponseWriter, r *http.Request) error {
	x, err := address.Exercise(s.store, r)
	if err != nil {
		return err
	}
	shown, err := shownRoutes(x.Exercise, r.FormValue("routes"))
	if err != nil {
		return err
	}
	p, err := s.sheetPage(x, shown)
	if err != nil {
		return err
	}
	all := page.Page{Title: x.Exercise.Name, Section: "Exercises", Wide: true, Data: p}
	if gone := r.FormValue("removed"); slices.ContainsFunc(x.Removed, func(r *exercise.Route) bool { return r.ID == gone }) {
		all.Said, all.Undo = "Route "+gone+" is removed.", view.StepPath(x.ID, gone)+"/restore"
	}
	s.Render(w, http.StatusOK, "sheet", all)
	return nil
}

// shownRoutes is the places of the routes asked for by their letters, as in "A,C"; without a wish the first and the last.
// Earlier addresses have the places themselves, from 0.
func shownRoutes(e *exercise.Exercise, wish string) ([]int, error) {
	if wish == "" {
		if len(e.Routes) == 1 {
			return []int{0}, nil
		}
		return []int{0, len(e.Routes) - 1}, nil
	}
	var shown []int
	for _, text := range strings.Split(wish, ",") {
		i := slices.IndexFunc(e.Routes, func(r *exercise.Route) bool { return r.ID == text })
		if n, err := strconv.Atoi(text); err == nil && n < len(e.Routes) {
			i = n
		}
		if i < 0 {
			return nil, page.NotFound("There is no route %q in this exercise; it has %s.", text, wording.Plural(len(e.Routes), "route"))
		}
		if !slices.Contains(shown, i) {
			shown = append(shown, i)
		}
	}
	if len(shown) > shownMost {
		return nil, page.Refused("Six routes at most stand side by side; %d were asked for.", len(shown))
	}
	return shown, nil
}

func (s *Area) sheetPage(x *store.Saved, shown []int) (*view.SheetPage, error) {
	p, err := view.NewSheetPage(numberedOf(x), shown)
	if err != nil {
		return nil, err
	}
	if p.CanPlay {
		p.Outlook = s.outlookPart(x, shown)
	}
	lessons, err := s.store.Lessons()
	for _, l := range lessons {
		p.Lessons = append(p.Lessons, view.LessonName{ID: l.ID, Title: l.Title})
	}
	return p, err
}

// fork starts a new route at a step and goes there.
func (s *Area) fork(w http.ResponseWriter, r *http.Request) error {
	x, route, _, err := address.RouteForm(s.store, r)
	if err != nil {
		return err
	}
	at, err := strconv.Atoi(r.PostForm.Get("at"))
	if err != nil {
		return page.Refused("The place of the fork is missing: %q is no number of a decision.", r.PostForm.Get("at"))
	}
	fork, err := x.Fork(route.Name, at, strings.TrimSpace(r.PostForm.Get("name")))
	if err != nil {
		return page.Refused("No fork: %s.", err)
	}
	if err := s.store.Save(x); err != nil {
		return err
	}
	return page.SeeOther(w, r, view.StepPath(x.ID, fork.ID))
}

func (s *Area) renameRoute(w http.ResponseWriter, r *http.Request) error {
	x, route, _, err := address.RouteForm(s.store, r)
	if err != nil {
		return err
	}
	name := strings.TrimSpace(r.PostForm.Get("name"))
	if name == "" { // an empty name would stand for the next free letter, which is not asked for here
		return page.Refused("The route keeps its name: type another one first.")
	}
	if err := x.RenameRoute(route.Name, name); err != nil {
		return page.Refused("The route keeps its name: %s.", err)
	}
	if err := s.store.Save(x); err != nil {
		return err
	}
	return page.Back(w, r, view.SheetPath(x.ID))
}

func (s *Area) removeRoute(w http.ResponseWriter, r *http.Request) error {
	x, route, _, err := address.Route(s.store, r)
	if err != nil {
		return err
	}
	if err := x.RemoveRoute(route.Name); err != nil {
		return page.Refused("The route stays: %s.", err)
	}
	if err := s.store.Save(x); err != nil {
		return err
	}
	return page.SeeOther(w, r, view.SheetPath(x.ID)+"?removed="+url.QueryEscape(route.ID))
}

// restoreRoute brings a removed route back.
func (s *Area) restoreRoute(w http.ResponseWriter, r *http.Request) error {
	x, err := address.Exercise(s.store, r)
	if err != nil {
		return err
	}
	if _, err := x.RestoreRoute(r.PathValue("route")); err != nil {
		return page.Refused("Nothing is brought back: %s.", err)
	}
	if err := s.store.Save(x); err != nil {
		return err
	}
	return page.SeeOther(w, r, view.SheetPath(x.ID))
}
