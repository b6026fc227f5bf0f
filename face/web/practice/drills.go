package practice

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/unit"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/teach/drill"
)

// routeDrills is the drills of a card, as a teacher keeps them.
func (s *Area) routeDrills(mux page.Routes) {
	mux.HandleFunc("GET /drills", s.Handle(s.listDrills))
	mux.HandleFunc("GET /drills/{id}", s.Handle(s.showDrill))
	mux.HandleFunc("POST /drills/delete", s.Handle(s.deleteDrills))
	mux.HandleFunc("POST /drills/restore", s.Handle(s.restoreDrills))
	mux.HandleFunc("GET /drills/file", s.Handle(s.exportDrills))
	mux.HandleFunc("POST /drills/import", s.Handle(s.importDrills))
	mux.HandleFunc("GET /drills/live", s.Handle(s.liveDrillWork))
	mux.HandleFunc("POST /drills/find", s.Handle(s.findDrills))
	mux.HandleFunc("POST /drills/key", s.Handle(s.keyDrills))
	mux.HandleFunc("POST /drills/renew", s.Handle(s.renewDrills))
}

// drillCard is a card that drills can be for.
type drillCard struct {
	Name string
	// ID is the fingerprint of its hands, by which a page names it.
	ID     string
	Drills int
	Here   bool
	card   *card.Card // nil for one whose drills alone are left
}

// told says whether a drill's reasons tell its right answers from its wrong ones; without the card nobody knows.
func (c *drillCard) told(d *drill.Drill) bool {
	if c.card == nil {
		return true
	}
	told, err := d.Told(c.card)
	return err == nil && told
}

// drillCards are the practice card, the user's own without errors, and those of which only drills are left: the text of a
// card may have changed since.
func (s *Area) drillCards(drills []*drill.Drill) ([]drillCard, error) {
	names, err := s.cards.List()
	if err != nil {
		return nil, err
	}
	count := map[string]int{}
	for _, d := range drills {
		count[d.Key.Fingerprint]++
	}
	var list []drillCard
	known := map[string]bool{}
	for _, name := range append([]string{card.Practice().Name}, names...) {
		c, err := address.Card(s.desk, name, tile.Usual)
		if err != nil || len(c.Hands) == 0 {
			continue // its own page says what is wrong with it
		}
		if id := player.Fingerprint(c); !known[id] {
			known[id] = true
			list = append(list, drillCard{Name: name, ID: id, Drills: count[id], card: c})
		}
	}
	for _, d := range drills {
		if id := d.Key.Fingerprint; !known[id] {
			known[id] = true
			was := wasCard(d.Key.Card, id)
			was.Drills = count[id]
			list = append(list, was)
		}
	}
	return list, nil
}

// cardOfDrills is the card that a request names by its fingerprint: the practice card where it names none.
func (s *Area) cardOfDrills(id string) (drillCard, error) {
	list, err := s.drillCards(nil)
	if err != nil {
		return drillCard{}, err
	}
	if c, err := s.store.DrillCard(id); err == nil && !slices.ContainsFunc(list, func(d drillCard) bool { return d.ID == id }) {
		list = append(list, wasCard(c.Name, id))
	}
	return s.chosenCard(list, id)
}

// wasCard is a card of which drills are left.
func wasCard(name, id string) drillCard { return drillCard{Name: name + ", as it was", ID: id} }

// chosenCard is one of a list, marked as the one that is looked at.
func (s *Area) chosenCard(list []drillCard, id string) (drillCard, error) {
	if id == "" && len(list) > 0 {
		id = list[0].ID
	}
	for i := range list {
		if list[i].ID != id {
			continue
		}
		list[i].Here = true
		if list[i].card == nil {
			c, err := s.store.DrillCard(id)
			if err != nil {
				return drillCard{}, err
			}
			list[i].card = c
		}
		return list[i], nil
	}
	return drillCard{}, page.NotFound("No card here has the drills asked for. Choose one of the list.")
}

func drillsPath(card string) string { return "/drills?card=" + url.QueryEscape(card) }

// suchDrillsPath is the list of those drills of a card that a filter holds; of several kinds it lists all.
func suchDrillsPath(card string, on drill.Filter) string {
	path := drillsPath(card)
	if len(on.Kinds) == 1 {
		path += "&kind=" + url.QueryEscape(string(on.Kinds[0]))
	}
	if narrowed := (filterForm{On: on}).Query(); narrowed != "" {
		path += "&" + string(narrowed)
	}
	return path
}

// drillsPage is the drills of a card.
type drillsPage struct {
	Cards []drillCard
	Card  drillCard
	Kinds []kindCount
	Kind  string
	filterForm
	// Lessons are those that ticked drills may go into.
	Lessons []store.LessonEntry
	Sorted  string
	Lines   []drillLine
	Part    page.Part
	Works   []workPart
	Others  []drillCard // cards to renew the drills for
}

// filterForm is the filters of a form beside the kinds, and which are on.
type filterForm struct {
	Themes       []drill.Theme
	Steps        []stepChoice
	Difficulties []drill.Difficulty
	On           drill.Filter
}

// stepChoice is a step to choose.
type stepChoice struct{ Key, Name string }

func newFilterForm(c *card.Card, on drill.Filter) filterForm {
	f := filterForm{Difficulties: drill.Difficulties, On: on}
	if c != nil {
		f.Themes = drill.ThemesOf(c)
	}
	for _, key := range drill.Steps() {
		f.Steps = append(f.Steps, stepChoice{key, view.StepName(key)})
	}
	return f
}

// Narrowed says whether a filter beside the kinds is on.
func (f filterForm) Narrowed() bool {
	return f.On.Theme != "" || f.On.Step != "" || f.On.Difficulty != ""
}

// Query is the filters beside the kinds as a part of an address.
func (f filterForm) Query() template.URL {
	v := url.Values{}
	for name, text := range map[string]string{"theme": string(f.On.Theme), "step": f.On.Step, "difficulty": string(f.On.Difficulty)} {
		if text != "" {
			v.Set(name, text)
		}
	}
	return template.URL(v.Encode())
}

// filterOf is which drills of a card a form asks for; c may be nil, where no theme can be asked for.
func filterOf(c *card.Card, f url.Values) (w drill.Filter, err error) {
	for _, text := range f["kind"] {
		if text == "" {
			continue
		}
		k, err := drill.ParseKind(text)
		if err != nil {
			return w, page.Refused("%s.", wording.Capital(err.Error()))
		}
		w.Kinds = append(w.Kinds, k)
	}
	if c != nil {
		w.Theme, err = drill.ParseTheme(c, f.Get("theme"))
	}
	if err == nil {
		w.Step, err = drill.ParseStep(f.Get("step"))
	}
	if err == nil {
		w.Difficulty, err = drill.ParseDifficulty(f.Get("difficulty"))
	}
	if err != nil {
		return w, page.Refused("%s.", wording.Capital(err.Error()))
	}
	return w, nil
}

// kindCount is a kind of drill and how many of it there are.
type kindCount struct {
	Key, Name string
	Count     int
	Here      bool
	Found     bool // by a search
}

// drillLine is a drill in the list.
type drillLine struct {
	ID                    int64
	Step, Kind            string
	Rating, Edge, Choices string
	Right                 int
	rating                float64
	drill                 *drill.Drill
	Rack                  template.HTML
	edge                  unit.ChanceDifference
	Path                  string
	Nearest               bool
	Untold                bool // its reasons do not tell its key, so that nobody is asked
}

func newDrillLine(d *drill.Drill) drillLine {
	return drillLine{ID: d.ID, Step: view.StepName(d.Position.StepKey()), Kind: wording.DrillKind(d.Kind), Rating: fmt.Sprintf("%.0f in 10", 10*drill.NewRating.Against(d.Rating)),
		Edge: fmt.Sprintf("%.1f", 100*d.Key.Edge().Value), Choices: fmt.Sprintf("%d of %d", len(d.Key.Right()), len(d.Choices)),
		rating: d.Rating.Value, edge: d.Key.Edge().Value, Path: view.DrillPath(d.ID), Nearest: d.NearestErrs}
}

func (s *Area) listDrills(w http.ResponseWriter, r *http.Request) error {
	all, err := s.store.Drills(store.DrillFilter{})
	if err != nil {
		return err
	}
	p := drillsPage{Kind: r.FormValue("kind"), Sorted: r.FormValue("sort")}
	if p.Cards, err = s.drillCards(all); err != nil {
		return err
	}
	if p.Card, err = s.chosenCard(p.Cards, r.FormValue("card")); err != nil {
		return err
	}
	on, err := filterOf(p.Card.card, r.URL.Query())
	if err != nil {
		return page.NotFound("%s", err)
	}
	p.filterForm = newFilterForm(p.Card.card, on)
	p.fill(all)
	p.Lines, p.Part = page.PartOf(r, p.Lines, "card", "kind", "sort", "theme", "step", "difficulty")
	if p.Lessons, err = s.store.Lessons(); err != nil {
		return err
	}
	for i := range p.Lines { // of those on the page alone: it takes a look at every way of the card
		line := &p.Lines[i]
		line.Untold = !p.Card.told(line.drill)
		if p.Card.card != nil {
			rack, err := line.drill.Position.Rack(p.Card.card)
			if err != nil {
				return err
			}
			line.Rack = view.RackStrip("Rack", rack)
		}
	}
	for _, what := range works {
		p.Works = append(p.Works, s.workPart(what, &p.Card))
	}
	out := page.Page{Title: "Drills", Section: "Drills", Data: p}
	out.Said = saidOfDrills(r)
	if gone := r.URL.Query()["gone"]; out.Said != "" && len(gone) > 0 {
		out.Undo = "/drills/restore?" + url.Values{"gone": gone}.Encode()
	}
	s.Render(w, http.StatusOK, "drills", out)
	return nil
}

// saidOfDrills says what was just done.
func saidOfDrills(r *http.Request) string {
	n, err := strconv.Atoi(r.FormValue("n"))
	here, _ := strconv.Atoi(r.FormValue("here"))
	if err != nil || n < 0 {
		return ""
	}
	switch r.FormValue("done") {
	case "deleted":
		return wording.Plural(n, "drill") + " deleted. What students did with them is kept."
	case "imported":
		text := wording.Plural(n, "drill") + " imported"
		if here > 0 {
			text += fmt.Sprintf("; %d were here already", here)
		}
		return text + "."
	}
	return ""
}

// fill counts and lists the drills of the card.
func (p *drillsPage) fill(all []*drill.Drill) {
	count := map[drill.Kind]int{}
	for _, d := range all {
		if d.Key.Fingerprint != p.Card.ID {
			continue
		}
		count[d.Kind]++
		if p.On.Holds(p.Card.card, d) {
			line := newDrillLine(d)
			line.drill = d
			p.Lines = append(p.Lines, line)
		}
	}
	for _, k := range append(slices.Clone(drill.Kinds), drill.Own) {
		p.Kinds = append(p.Kinds, kindCount{string(k), wording.DrillKind(k), count[k], p.Kind == string(k), k != drill.Own})
	}
	if p.Sorted == "rating" {
		slices.SortStableFunc(p.Lines, func(a, b drillLine) int { return cmp.Compare(a.rating, b.rating) })
	}
	for _, c := range p.Cards {
		if c.ID != p.Card.ID && c.card != nil {
			p.Others = append(p.Others, c)
		}
	}
}

// loadDrill is a drill with its card.
func (s *Area) loadDrill(text string) (*drill.Drill, *card.Card, error) {
	id, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		return nil, nil, page.NotFound("There is no drill %s.", text)
	}
	d, err := s.store.Drill(id)
	if errors.Is(err, store.ErrNoDrill) {
		return nil, nil, page.NotFound("There is no drill %d; it may have been deleted.", id)
	}
	if err != nil {
		return nil, nil, err
	}
	c, err := s.store.DrillCard(d.Key.Fingerprint)
	return d, c, err
}

// drillPage is one drill with its key, for teachers.
type drillPage struct {
	Drill   *view.DrillView
	Key     *view.KeyView
	Card    string
	Rating  string
	Origin  string
	Lessons []store.LessonEntry
	Lacks   string // why it is offered to nobody, if so
	Words   *drill.Words
	Own     bool
	Refusal string
}

func (s *Area) showDrill(w http.ResponseWriter, r *http.Request) error {
	d, c, err := s.loadDrill(r.PathValue("id"))
	if err != nil {
		return err
	}
	return s.renderDrill(w, http.StatusOK, d, c, "", d.Words)
}

// renderDrill shows a drill with a teacher's words for it, which may have been refused.
func (s *Area) renderDrill(w http.ResponseWriter, code int, d *drill.Drill, c *card.Card, refusal string, words drill.Words) (err error) {
	p := drillPage{Card: d.Key.Fingerprint, Rating: wording.Difficulty(d.Rating), Origin: fmt.Sprintf("found in deal %d of the search with seed %d", d.Origin.Deal, d.Origin.Seed), Refusal: refusal, Words: &words, Own: d.Kind == drill.Own}
	if d.Kind == drill.Own {
		p.Origin = fmt.Sprintf("made by hand, its games by seed %d", d.Origin.Seed)
	}
	if p.Drill, err = view.ViewDrill(prepared.Of(c).Index(), d, c); err != nil {
		return err
	}
	if p.Key, err = view.ViewKey(d, c, -1); err != nil {
		return err
	}
	if p.Lessons, err = s.store.Lessons(); err != nil {
		return err
	}
	if p.Lacks, err = wording.DrillLacks(d, c); err != nil {
		return err
	}
	s.Render(w, code, "drill", page.Page{Title: fmt.Sprintf("Drill %d: %s", d.ID, p.Key.Kind), Section: "Drills", Data: p})
	return nil
}

func (s *Area) deleteDrills(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	var drills []*drill.Drill
	for _, text := range r.PostForm["drill"] {
		d, _, err := s.loadDrill(text)
		if err != nil {
			return err
		}
		drills = append(drills, d)
	}
	if len(drills) == 0 {
		return page.Refused("No drill was chosen.")
	}
	ids := make([]int64, len(drills))
	for i, d := range drills {
		ids[i] = d.ID
	}
	if err := s.store.DeleteDrill(ids...); err != nil {
		return err
	}
	return page.SeeOther(w, r, drillsPath(drills[0].Key.Fingerprint)+"&done=deleted&n="+strconv.Itoa(len(drills))+"&"+url.Values{"gone": r.PostForm["drill"]}.Encode())
}

// restoreDrills brings back the drills that the address names.
func (s *Area) restoreDrills(w http.ResponseWriter, r *http.Request) error {
	var ids []int64
	for _, text := range r.URL.Query()["gone"] {
		id, err := strconv.ParseInt(text, 10, 64)
		if err != nil {
			return page.NotFound("There is no deleted drill %s.", text)
		}
		ids = append(ids, id)
	}
	if len(ids) == 0 {
		return page.Refused("No deleted drill was named.")
	}
	if err := s.store.RestoreDrill(ids...); errors.Is(err, store.ErrNoDrill) {
		return page.NotFound("There is no deleted drill of that number: %s.", err)
	} else if err != nil {
		return err
	}
	d, err := s.store.Drill(ids[0])
	if err != nil {
		return err
	}
	return page.SeeOther(w, r, drillsPath(d.Key.Fingerprint))
}

func (s *Area) exportDrills(w http.ResponseWriter, r *http.Request) error {
	c, err := s.cardOfDrills(r.FormValue("card"))
	if err != nil {
		return err
	}
	drills, err := s.store.Drills(store.DrillFilter{Fingerprint: c.ID})
	if err != nil {
		return err
	}
	if len(drills) == 0 {
		return page.NotFound("There are no drills for the card %s to export.", c.Name)
	}
	var b bytes.Buffer
	if err := drill.Write(&b, c.card, drills); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.Header().Set("Content-Disposition", page.Attachment(c.card.Name+" drills", ".json"))
	_, err = w.Write(b.Bytes())
	return err
}

// sameDrill tells drills apart by what they ask.
type sameDrill struct {
	kind     drill.Kind
	position drill.Position
}

func (s *Area) importDrills(w http.ResponseWriter, r *http.Request) error {
	f, head, err := r.FormFile("file")
	var big *http.MaxBytesError
	switch {
	case errors.As(err, &big):
		return page.Errorf(http.StatusRequestEntityTooLarge, "The file is too large: %d bytes are the most. Import it at the command line.", big.Limit)
	case err != nil:
		return page.Refused("No file came. Choose a drill file first.")
	}
	defer f.Close()
	c, drills, err := drill.ReadFile(f)
	if err != nil {
		return page.Refused("The file %s cannot be used: %s.", head.Filename, err)
	}
	id := player.Fingerprint(c)
	for i, d := range drills {
		if !d.Key.ForCard(id) {
			return page.Refused("The file %s cannot be used: the key of drill %d is for another card than the file's.", head.Filename, i+1)
		}
	}
	n, err := s.store.AddDrills(drills, c)
	if err != nil {
		return err
	}
	return page.SeeOther(w, r, drillsPath(id)+fmt.Sprintf("&done=imported&n=%d&here=%d", n, len(drills)-n))
}
