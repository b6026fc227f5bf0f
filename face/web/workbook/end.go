package workbook

import (
	"net/http"
	"net/url"

	"secondpass/engine/prepared"
	"secondpass/exercise"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/rules/charleston"
	"secondpass/store"
)

// routeEnd is the end of the passing, and the way on into the play.
func (s *Area) routeEnd(mux page.Routes) {
	mux.HandleFunc("GET /exercises/{id}/routes/{route}/end", s.Handle(s.showEnd))
	mux.HandleFunc("POST /exercises/{id}/routes/{route}/playon", s.does(playOn))
}

func (s *Area) showEnd(w http.ResponseWriter, r *http.Request) error {
	x, route, t, err := address.Route(s.store, r)
	if err != nil {
		return err
	}
	if t.Now.Phase() != charleston.Over {
		return page.Elsewhere(view.StepPath(x.ID, route.ID))
	}
	return s.renderEnd(w, http.StatusOK, x, route, &t, "")
}

// renderEnd shows how a route stands at the end of its passing.
func (s *Area) renderEnd(w http.ResponseWriter, code int, x *store.Saved, route *exercise.Route, t *exercise.Trail, refusal string) error {
	p, err := view.NewEndPage(numberedOf(x), prepared.Of(x.Card).Index(), route, t)
	if err != nil {
		return err
	}
	p.Refusal = refusal
	for i, r := range x.Routes {
		if r == route {
			p.Outlook = s.outlookPart(x, []int{i})
			p.Outlook.Back = view.EndPath(x.ID, route, t)
		}
	}
	s.Render(w, code, "end", page.Page{Title: p.Heading + ", " + x.Exercise.Name, Section: "Exercises", Data: p})
	return nil
}

// playOn begins the play where nobody sat at the other seats.
func playOn(x *store.Saved, route *exercise.Route, _ *exercise.Trail, _ url.Values) error {
	_, err := x.PlayOn(route.Name)
	return err
}
