package practice

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"secondpass/desk"
	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
	"secondpass/teach/drill"
	"secondpass/work/queue"
)

// routeOwnDrills is what a teacher makes: drills of their own, and words of their own for any drill.
func (s *Area) routeOwnDrills(mux page.Routes) {
	mux.HandleFunc("GET /drills/new", s.Handle(s.showNewDrill))
	mux.HandleFunc("POST /drills/own", s.Handle(s.takeNewDrill))
	mux.HandleFunc("POST /drills/{id}/words", s.Handle(s.takeWords))
}

// newDrillPage is the form for a teacher's own drill.
type newDrillPage struct {
	Card drillCard
	// From is a moment that is known: of an exercise, or of another drill; nil where it is typed in.
	From *view.DrillView
	// Own says that the drill whose moment it is comes to ask about other answers.
	Own   bool
	Typed url.Values
	Steps []stepChoice
	Seats []string
	Error string
}

// Get is what was typed into a field.
func (p newDrillPage) Get(name string) string { return p.Typed.Get(name) }

// voteStep stands among the steps for the vote after the first left.
const voteStep = "vote"

func (s *Area) showNewDrill(w http.ResponseWriter, r *http.Request) error {
	f := r.URL.Query()
	if f.Get("again") != "" { // what was typed for the drill that could not be made
		if last, ok := s.jobs.Now(workKeyOf(workOwn, f.Get("card"))).Data.(*workState); ok {
			f = last.typed
		}
	}
	return s.renderNewDrill(w, http.StatusOK, f, "")
}

func (s *Area) renderNewDrill(w http.ResponseWriter, code int, f url.Values, problem string) error {
	p := newDrillPage{Typed: f, Error: problem, Seats: []string{"E", "S", "W", "N"}}
	for _, key := range drill.Steps()[:charleston.Courtesy] {
		p.Steps = append(p.Steps, stepChoice{key, view.StepName(key)})
		if key == charleston.FirstLeft.Key() {
			p.Steps = append(p.Steps, stepChoice{voteStep, "after the first left: stop or go on"})
		}
	}
	ask, on, known, err := s.asked(f)
	if err != nil {
		return err
	}
	p.Card = on
	if c := on.card; known {
		of := drill.Drill{Kind: drill.Own, Position: ask.Position}
		if p.From, err = view.ViewDrill(prepared.Of(c).Index(), &of, c); err != nil {
			return err
		}
		p.Own = ask.ID != 0
		if f.Get("answers") == "" && f.Get("drill") != "" && problem == "" {
			if p.Typed, err = s.typedOf(f); err != nil {
				return err
			}
		}
	}
	s.Render(w, code, "newdrill", page.Page{Title: "A drill of your own", Section: "Drills", Data: p})
	return nil
}

// typedOf is a form filled in with what a drill asks now.
func (s *Area) typedOf(f url.Values) (url.Values, error) {
	d, _, err := s.loadDrill(f.Get("drill"))
	if err != nil {
		return nil, err
	}
	typed := url.Values{"drill": f["drill"], "question": {d.Words.Question}}
	var answers []string
	for _, c := range d.Choices {
		answers = append(answers, c.String())
	}
	typed.Set("answers", strings.Join(answers, "\n"))
	return typed, nil
}

// asked is what a form asks about and the card that it is of; known is false where the moment stands in the form itself.
func (s *Area) asked(f url.Values) (w desk.OwnDrill, on drillCard, known bool, err error) {
	w, c, known, err := s.known(f)
	if err != nil {
		return w, on, known, err
	}
	id := f.Get("card")
	if known {
		id = player.Fingerprint(c)
	}
	on, err = s.cardOfDrills(id)
	return w, on, known, err
}

// known is the moment of a drill or of an exercise that a form names, and its card; ok is false where it names none.
func (s *Area) known(f url.Values) (w desk.OwnDrill, c *card.Card, ok bool, err error) {
	if f.Get("drill") != "" {
		d, c, err := s.loadDrill(f.Get("drill"))
		if err != nil {
			return w, nil, false, err
		}
		if w.Position = d.Position; d.Kind == drill.Own {
			w.ID, w.Words = d.ID, d.Words
		}
		return w, c, true, nil
	}
	if f.Get("exercise") == "" {
		return w, nil, false, nil
	}
	x, err := s.store.Load(f.Get("exercise"))
	if err != nil {
		return w, nil, false, err
	}
	route, err := x.Exercise.Route(f.Get("route"))
	if err != nil {
		return w, nil, false, page.NotFound("%s.", wording.Capital(err.Error()))
	}
	at, err := strconv.Atoi(f.Get("at"))
	if err != nil {
		return w, nil, false, page.Refused("The step is missing: %q is no number.", f.Get("at"))
	}
	if w.Position, err = desk.Moment(x.Exercise, route, at); err != nil {
		return w, nil, false, page.Refused("No drill can ask about that: %s.", err)
	}
	return w, x.Exercise.Card, true, nil
}

// typedMoment is a moment that was typed in: a rack and its step, or a line of a record.
func typedMoment(c *card.Card, f url.Values) (drill.Position, error) {
	if strings.TrimSpace(f.Get("game")) != "" {
		return recordMoment(c, f)
	}
	return rackMoment(c, f)
}

// rackMoment is a rack that was typed in, and its step.
func rackMoment(c *card.Card, f url.Values) (drill.Position, error) {
	if strings.TrimSpace(f.Get("rack")) == "" {
		return drill.Position{}, fmt.Errorf("nothing is asked about; type a rack, or paste the record of a game")
	}
	rack, err := tile.Parse(f.Get("rack"), c.Set)
	if err != nil {
		return drill.Position{}, fmt.Errorf("rack: %w", err)
	}
	if f.Get("step") == voteStep {
		return drill.TypedPosition(rack, charleston.FirstLeft, true)
	}
	step, err := charleston.ParseStep(f.Get("step"))
	if err != nil {
		return drill.Position{}, err
	}
	return drill.TypedPosition(rack, step, false)
}

// recordMoment is a moment of a record that was pasted.
func recordMoment(c *card.Card, f url.Values) (drill.Position, error) {
	line := 0
	if text := strings.TrimSpace(f.Get("line")); text != "" {
		var err error
		if line, err = strconv.Atoi(text); err != nil || line < 1 {
			return drill.Position{}, fmt.Errorf("line %q: the number of a line, counted from 1, is right", text)
		}
	}
	var seat *charleston.Seat
	if text := f.Get("seat"); text != "" {
		who, err := charleston.ParseSeat(text)
		if err != nil {
			return drill.Position{}, err
		}
		seat = &who
	}
	return drill.PositionAtLine(c, strings.ReplaceAll(f.Get("game"), "\r\n", "\n"), line, seat)
}

// takeNewDrill begins to make a drill; what cannot be one is shown again as it was typed.
func (s *Area) takeNewDrill(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	f := r.PostForm
	if f.Get("act") == "stop" {
		s.jobs.Halt(workKeyOf(workOwn, f.Get("card")))
		return page.SeeOther(w, r, drillsPath(f.Get("card"))+"#work-"+workOwn)
	}
	ask, on, known, err := s.asked(f)
	if err != nil {
		return err
	}
	c := on.card
	if !known {
		ask.Position, err = typedMoment(c, f)
	}
	if err == nil {
		for _, line := range strings.Split(f.Get("answers"), "\n") {
			if line = strings.TrimSpace(line); line != "" {
				ask.Choices = append(ask.Choices, line)
			}
		}
		ask.Words = drill.NewWords(f.Get("question"), ask.Words.Reasons)
		err = drill.CheckOwn(c, ask.Position, ask.Choices, ask.Words)
	}
	if err != nil {
		return s.renderNewDrill(w, http.StatusUnprocessableEntity, f, wording.Capital(err.Error())+".")
	}
	ask.Seed = uint64(rand.Uint32())
	typed := f
	typed.Set("card", on.ID)
	if err := s.jobs.Start(workKeyOf(workOwn, on.ID), func(int, any) queue.Work { return s.makeOwn(c, ask, typed) }); err != nil {
		return err
	}
	return page.SeeOther(w, r, drillsPath(on.ID)+"#work-"+workOwn)
}

// makeOwn plays the answers on and keeps the drill.
func (s *Area) makeOwn(c *card.Card, ask desk.OwnDrill, typed url.Values) queue.Work {
	return func(ctx context.Context, publish func(any)) error {
		state := workState{what: workOwn, seed: ask.Seed, typed: typed}
		publish(&state)
		made, err := s.desk.MakeDrill(ctx, c, ask)
		done := state
		cannot := drill.CannotAsk{}
		switch {
		case errors.As(err, &cannot):
			done.problem = wording.Capital(err.Error()) + "."
		case err != nil:
			return err
		default:
			done.done = 1
			done.lines = []workLine{{ID: made.ID, Text: wording.DrillQuestion(made)}}
		}
		publish(&done)
		return nil
	}
}

// takeWords keeps a teacher's words for a drill.
func (s *Area) takeWords(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	d, c, err := s.loadDrill(r.PathValue("id"))
	if err != nil {
		return err
	}
	reasons := make([]string, len(d.Choices))
	for i := range reasons {
		reasons[i] = r.PostForm.Get("reason-" + strconv.Itoa(i+1))
	}
	if err := d.Say(drill.NewWords(r.PostForm.Get("question"), reasons)); err != nil {
		return s.renderDrill(w, http.StatusUnprocessableEntity, d, c, wording.Capital(err.Error())+".", drill.NewWords(r.PostForm.Get("question"), reasons))
	}
	if err := s.store.SaveDrill(d, c); err != nil {
		return err
	}
	return page.SeeOther(w, r, view.DrillPath(d.ID))
}

// hiddenField is a field of a form that is not typed into.
type hiddenField struct{ Name, Value string }

// Hidden are the fields by which a form names a moment that is known.
func (p newDrillPage) Hidden() (list []hiddenField) {
	for _, name := range []string{"drill", "exercise", "route", "at"} {
		if p.Typed.Has(name) {
			list = append(list, hiddenField{name, p.Typed.Get(name)})
		}
	}
	return list
}
