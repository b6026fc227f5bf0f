package workbook

import (
	"cmp"
	"errors"
	"fmt"
	"html/template"
	"math/rand/v2"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"secondpass/deal"
	"secondpass/desk"
	"secondpass/engine/player"
	"secondpass/exercise"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
	"secondpass/store"
)

// routeExercises is the first page and what is done with exercises as a whole.
func (s *Area) routeExercises(mux page.Routes) {
	mux.HandleFunc("GET /exercises", s.Handle(s.listExercises))
	mux.HandleFunc("POST /exercises", s.Handle(s.newExercise))
	mux.HandleFunc("POST /exercises/import", s.Handle(s.importExercise))
	mux.HandleFunc("POST /exercises/sample", s.Handle(s.sampleExercise))
	mux.HandleFunc("GET /exercises/{id}/file", s.Handle(s.exportExercise))
	mux.HandleFunc("POST /exercises/{id}/rename", s.Handle(s.renameExercise))
	mux.HandleFunc("POST /exercises/{id}/duplicate", s.Handle(s.duplicateExercise))
	mux.HandleFunc("POST /exercises/{id}/delete", s.Handle(s.deleteExercise))
	mux.HandleFunc("POST /exercises/{id}/restore", s.Handle(s.restoreExercise))
	mux.HandleFunc("GET /rack", s.Handle(s.rackPreview))
}

// startForm is what the first page asks; its zero value is an untouched form.
type startForm struct {
	Rack, Name, Seat, Incoming, Players, Card string
	Jokers, Has, BestAway, Seed               string
	TwoPlans                                  bool
	// House is the form's fields of the house rules.
	House url.Values
	// Open says that the details are filled in, so that they are shown.
	Open bool
	// Error is why it was refused, At the name of the field that caused it, or "" for none of them.
	Error, At string
}

// atField is an error that a field of the form caused.
type atField struct {
	field string
	error
}

func (e atField) Unwrap() error { return e.error }

// in says which field an error comes from.
func in(field string, err error) error {
	if err == nil {
		return nil
	}
	return atField{field, err}
}

// Refused is what a field carries when it caused the refusal: it takes the focus and is told to be wrong.
func (f startForm) Refused(field string) template.HTMLAttr {
	if f.Error == "" || f.At != field {
		return ""
	}
	return `autofocus aria-invalid="true" aria-describedby="refused"`
}

// Wrong is the refusal as it stands at its field.
func (f startForm) Wrong(field string) string {
	if f.At != field {
		return ""
	}
	return f.Error
}

func readStart(f url.Values) startForm {
	text := func(name string) string { return strings.TrimSpace(f.Get(name)) }
	return startForm{Rack: text("rack"), Name: text("name"), Seat: text("seat"), Incoming: text("incoming"), Players: text("players"),
		Card: text("card"), Jokers: text("jokers"), Has: text("has"), BestAway: text("best_away"), Seed: text("seed"), TwoPlans: f.Get("two_plans") != "", House: f}
}

// Preview is the rack as it is typed so far.
func (p startPage) Preview() view.TypedRack { return view.PreviewRack(p.Form.Rack, tile.Usual) }

// HouseRules are the fields of the house rules.
func (f startForm) HouseRules() []view.HouseField { return view.HouseFields(f.House, "", house.All) }

// startPage is the first page.
type startPage struct {
	Form    startForm
	Entries []store.Entry
	Part    page.Part
	Find    find
	Deleted []store.Entry
	Cards   []string
	Players []string
	Keys    [][]view.Pick // the tiles to click, a row for each suit
}

func (s *Area) listExercises(w http.ResponseWriter, r *http.Request) error {
	f := startForm{Incoming: string(exercise.MockPasses)}
	f.remember(r)
	return s.showStart(w, r, http.StatusOK, f)
}

func (s *Area) showStart(w http.ResponseWriter, r *http.Request, code int, f startForm) error {
	q := readFind(r)
	wish, err := q.wish()
	if err != nil {
		q.Error, code = wording.Capital(err.Error())+".", http.StatusUnprocessableEntity
	}
	entries, err := s.found(&q, wish)
	if err != nil {
		return err
	}
	deleted, err := s.store.List(true)
	if err != nil {
		return err
	}
	cards, err := s.cards.List()
	if err != nil {
		return err
	}
	cards = append([]string{card.Practice().Name}, cards...)
	if f.Card != "" && !slices.Contains(cards, f.Card) {
		f.Card = "" // it was deleted since
	}
	found, part := page.PartOf(r, entries, "q", "has", "on", "aim")
	p := page.Page{Title: "Exercises", Section: "Exercises"}
	p.Said, p.Undo = s.saidOf(r)
	p.Data = startPage{Form: f, Entries: found, Part: part.ByTime(), Find: q, Deleted: deleted[:min(len(deleted), 10)], Cards: cards,
		Players: player.Names(), Keys: view.Keypad()}
	s.Render(w, code, "start", p)
	return nil
}

// saidOf is what the last POST left to be said, and where to take it back.
func (s *Area) saidOf(r *http.Request) (said, undo string) {
	if id := r.FormValue("deleted"); id != "" {
		if _, err := strconv.Atoi(id); err == nil {
			return "The exercise is deleted.", "/exercises/" + id + "/restore"
		}
	}
	return "", ""
}

// newExercise makes an exercise of the form and goes to its first step. An empty form deals at random.
func (s *Area) newExercise(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	f := readStart(r.PostForm)
	e, err := (*exercise.Exercise)(nil), f.act(r.PostForm.Get("act"))
	if err == nil {
		e, err = s.make(&f)
	}
	if err != nil {
		f.Error = wording.Capital(err.Error()) + "."
		if at, ok := errors.AsType[atField](err); ok {
			f.At = at.field
		}
		f.Open = f.asks() || f.At != "rack"
		return s.showStart(w, r, http.StatusUnprocessableEntity, f)
	}
	x, err := s.store.AddFree(e)
	if err != nil {
		return err
	}
	f.keep(w)
	return page.SeeOther(w, r, view.StepPath(x.ID, x.Routes[0].ID))
}

// act is what the button pressed means for the rack: a deal forgets what was typed, and nothing typed is no rack. Enter in a field
// begins with whatever the form asks for.
func (f *startForm) act(button string) error {
	switch {
	case button == "deal":
		f.Rack = ""
	case f.Rack == "" && (button == "rack" || button == "enter" && !f.asks()):
		return in("rack", errors.New("no tile is typed; 13 are right, or 14 for the dealer"))
	}
	return nil
}

// failing is the field by which a deal fails: the rack that was typed, or the first condition that was asked for.
func (f *startForm) failing() string {
	for _, field := range []struct{ name, text string }{{"rack", f.Rack}, {"jokers", f.Jokers}, {"has", f.Has}, {"best_away", f.BestAway}} {
		if field.text != "" {
			return field.name
		}
	}
	return ""
}

// asks says that something about the deal is filled in.
func (f *startForm) asks() bool {
	return f.Jokers+f.Has+f.BestAway+f.Seed+f.Name != "" || f.TwoPlans
}

func (s *Area) make(f *startForm) (*exercise.Exercise, error) {
	var d desk.Deal
	var err error
	if d.House, err = view.ReadHouse(f.House); err != nil {
		return nil, err
	}
	set, err := d.House.Set()
	if err != nil {
		return nil, err
	}
	if d.Card, err = address.Card(s.desk, f.Card, set); err != nil {
		return nil, err
	}
	if d.Seed, err = f.seed(); err != nil {
		return nil, err
	}
	if d.Seat, err = f.seat(); err != nil {
		return nil, err
	}
	if d.Condition, err = f.condition(set); err != nil {
		return nil, err
	}
	if f.Rack != "" {
		if err := f.typed(&d, set); err != nil {
			return nil, err
		}
	}
	dealt, err := d.Draw()
	if err != nil {
		return nil, in(f.failing(), err)
	}
	name, err := f.name()
	if err != nil {
		return nil, err
	}
	return dealt.Begin(name, exercise.Incoming(cmp.Or(f.Incoming, string(exercise.MockPasses))), f.Players)
}

// typed takes the rack as it is; whoever holds 14 tiles is the dealer.
func (f *startForm) typed(d *desk.Deal, set tile.Set) error {
	rack, err := tile.Parse(f.Rack, set)
	if err != nil {
		return in("rack", err)
	}
	d.Typed = &rack
	switch n := rack.Size(); {
	case n == charleston.East.DealtTiles():
		d.Seat = charleston.East
	case n != charleston.South.DealtTiles():
		return in("rack", fmt.Errorf("the rack has %s; 13 are right, or 14 for the dealer", wording.Plural(n, "tile")))
	case d.Seat == charleston.East:
		d.Seat = charleston.South
	}
	return nil
}

// name is the name asked for, or one that says how the exercise came about.
func (f *startForm) name() (string, error) {
	switch {
	case f.Name != "":
		return f.Name, in("name", exercise.CheckName(f.Name))
	case f.Rack != "":
		return "Typed rack", nil
	}
	return "Deal " + f.Seed, nil
}

func (f *startForm) seat() (charleston.Seat, error) {
	if f.Seat == "" {
		return charleston.South, nil
	}
	return charleston.ParseSeat(f.Seat)
}

// seed is the one typed in, or one drawn now, which is then written into the form.
func (f *startForm) seed() (uint64, error) {
	if f.Seed == "" {
		n := rand.Uint64N(1_000_000)
		f.Seed = strconv.FormatUint(n, 10)
		return n, nil
	}
	n, err := strconv.ParseUint(f.Seed, 10, 64)
	if err != nil {
		return 0, in("seed", fmt.Errorf("seed %q: a whole number from 0 on is right", f.Seed))
	}
	return n, nil
}

func (f *startForm) condition(set tile.Set) (deal.Condition, error) {
	c := deal.Condition{TwoPlans: f.TwoPlans}
	var err error
	if c.Jokers, err = deal.ParseRange(f.Jokers); err != nil {
		return c, in("jokers", fmt.Errorf("jokers: %w", err))
	}
	if c.BestAway, err = deal.ParseRange(f.BestAway); err != nil {
		return c, in("best_away", fmt.Errorf("nearest hand away: %w", err))
	}
	if c.Has, err = tile.Parse(f.Has, set); err != nil {
		return c, in("has", fmt.Errorf("tiles to hold: %w", err))
	}
	return c, nil
}

// rackPreview is the rack as it is typed: its tiles, how many there are, and the error under its character.
func (s *Area) rackPreview(w http.ResponseWriter, r *http.Request) error {
	set := tile.Usual
	if rules, err := view.ReadHouse(r.URL.Query()); err == nil {
		set, _ = rules.Set()
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	part, typed := "rack-preview", r.FormValue("rack")
	if r.URL.Query().Has("came") {
		part, typed = "came-preview", r.FormValue("came")
	}
	html, err := s.Text("start", part, view.PreviewRack(typed, set))
	if err != nil {
		return err
	}
	_, err = w.Write(html)
	return err
}
