package workbook

import (
	"net/http"
	"net/url"

	"secondpass/engine/prepared"
	"secondpass/exercise"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/store"
)

// routeSteps is the decision that is due on a route.
func (s *Area) routeSteps(mux page.Routes) {
	mux.HandleFunc("GET /exercises/{id}/routes/{route}", s.Handle(s.showStep))
	mux.HandleFunc("GET /exercises/{id}/routes/{route}/hands", s.Handle(s.showHands))
	mux.HandleFunc("POST /exercises/{id}/routes/{route}/decide", s.does(decide))
	mux.HandleFunc("POST /exercises/{id}/routes/{route}/undo", s.does(undo))
	mux.HandleFunc("POST /exercises/{id}/routes/{route}/redo", s.does(redo))
	mux.HandleFunc("POST /exercises/{id}/routes/{route}/pin", s.Handle(s.pin))
	mux.HandleFunc("POST /exercises/{id}/routes/{route}/play", s.does(s.play.Act))
}

func (s *Area) showStep(w http.ResponseWriter, r *http.Request) error {
	x, route, t, err := address.Route(s.store, r)
	if err != nil {
		return err
	}
	return s.renderStepOrPlay(w, http.StatusOK, x, route, &t, nil, "")
}

// renderStep shows the decision that is due. sent is a form that was refused, with the reason.
func (s *Area) renderStep(w http.ResponseWriter, code int, x *store.Saved, route *exercise.Route, t *exercise.Trail, sent url.Values, refusal string) error {
	p, err := view.NewStepPage(numberedOf(x), prepared.Of(x.Card).Index(), route, t)
	if err != nil {
		return err
	}
	p.Sent(t.Now.Rack(), sent, refusal)
	s.Render(w, code, "step", page.Page{Title: p.Heading + ", " + x.Exercise.Name, Section: "Exercises", Data: p})
	return nil
}

// showHands is every hand of the card beside the rack, by section.
func (s *Area) showHands(w http.ResponseWriter, r *http.Request) error {
	x, route, t, err := address.Route(s.store, r)
	if err != nil {
		return err
	}
	p, err := view.NewHandsPage(numberedOf(x), prepared.Of(x.Card).Index(), route, t.Now.Rack())
	if err != nil {
		return err
	}
	s.Render(w, http.StatusOK, "hands", page.Page{Title: "All hands, by section", Section: "Exercises", Data: p})
	return nil
}
