package workbook

import (
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"secondpass/engine/prepared"
	"secondpass/exercise"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/store"
)

// routeSteps is the decision that is due on a route.
func (s *Area) routeSteps(mux *http.ServeMux) {
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
	p.Refusal, p.Came = refusal, sent.Get("came")
	if (p.Phase == "pass" || p.Phase == "give") && sent != nil {
		p.RefusalAt = "tile"
		if strings.HasPrefix(refusal, wording.Capital(whatCame)) {
			p.RefusalAt = "came"
		}
	}
	p.BlindNow, _ = strconv.Atoi(sent.Get("blind"))
	if p.Phase == "pass" || p.Phase == "give" {
		chosen, _, _ := view.ReadTiles(sent["tile"])
		p.Picks = view.Picks(t.Now.Rack(), chosen, p.Marks)
	}
	s.Render(w, code, "step", page.Page{Title: p.Heading + ", " + x.Exercise.Name, Section: "Exercises", Data: p})
	return nil
}

// showHands is every hand of the card beside the rack, by section.
func (s *Area) showHands(w http.ResponseWriter, r *http.Request) error {
	x, route, t, err := address.Route(s.store, r)
	if err != nil {
		return err
	}
	rack := t.Now.Rack()
	pinned := map[int]bool{}
	if len(route.Aim()) > 0 {
		hands, err := exercise.Hands(x.Card, route.Aim())
		if err != nil {
			return err
		}
		for _, h := range hands {
			pinned[h] = true
		}
	}
	sections := make([]view.SectionHands, len(x.Card.Sections))
	for i, name := range x.Card.Sections {
		sections[i].Name = name
	}
	all := prepared.Of(x.Card).Index().Hands(rack)
	for i := range all {
		sec := &sections[all[i].OnCard().Section]
		sec.Hands = append(sec.Hands, view.NearOf(&all[i], nil, pinned[all[i].Hand], 0))
	}
	slices.SortStableFunc(sections, func(a, b view.SectionHands) int { return view.LeastAway(a) - view.LeastAway(b) })
	_, here := view.HeadsOf(x.ID, x.Exercise, route.ID)
	s.Render(w, http.StatusOK, "hands", page.Page{Title: "All hands, by section", Section: "Exercises", Data: struct {
		ID       int64
		Name     string
		Route    view.RouteHead
		Rack     template.HTML
		Sections []view.SectionHands
	}{x.ID, x.Exercise.Name, here, view.RackStrip("Rack", rack), sections}})
	return nil
}
