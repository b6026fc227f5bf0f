package experiments

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"secondpass/engine/player"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// composePage is the form in which an experiment is put together by choosing, or pasted.
type composePage struct {
	composed
	Cards, Players []string
	Choices        []measureChoice
	Names          []string // sections and hands of the card
	WayNumbers     []int
	Pasting        bool
	Paste          pasted
}

// measureChoice is a kind of measure in words.
type measureChoice struct{ Words, Label string }

// measureLabels say what the kinds of measures are, by how they begin in an experiment file.
var measureLabels = map[string]string{
	"dealt": "tiles dealt", "passed": "tiles passed", "came": "tiles that came", "held": "tiles held after the passes",
	"spares best": "spare tiles for the nearest hand", "spares plan": "spare tiles for the plan of three hands",
	"clean best": "clean Charleston, for the nearest hand", "clean plan": "clean Charleston, for the plan",
	"away": "tiles away after the passes", "away dealt": "tiles away at the deal", "options": "hands still open",
	"missing singles": "single tiles missing", "gaps": "gaps", "multiples": "multiples held",
	"used by receiver": "tiles of the first pass that the receiver uses", "win": "win", "win with": "win with a section or hand",
	"points": "net points a game", "turns": "discards until the win", "jokers exchanged": "jokers taken out of open groups",
}

func measureChoices() []measureChoice {
	var all []measureChoice
	for _, c := range experiment.Choices() {
		label := measureLabels[c.Words]
		if label == "" {
			label = c.Words
		}
		all = append(all, measureChoice{c.Words, label})
	}
	return all
}

const (
	usualWays = 2
	mostWays  = 6
)

// composed is what was chosen: the fields, the experiment file that they make, and what is wrong with which field.
type composed struct {
	f     url.Values
	Text  string
	lines []string // the field of each line of the text
	// Errors are by field. Problems are the same in the order of the text.
	Errors     map[string]string
	Problems   []fieldProblem
	Count      string // how many ways and deals, where nothing is wrong
	experiment *experiment.Experiment
	card       *card.Card
}

type fieldProblem struct{ Field, Text string }

// V is the value of a field, On whether it is ticked, Is whether it has a value.
func (c composed) V(field string) string        { return c.f.Get(field) }
func (c composed) On(field string) bool         { return c.f.Get(field) != "" }
func (c composed) Is(field, value string) bool  { return c.f.Get(field) == value }
func (c composed) W(n int, field string) string { return c.f.Get(wayField(n, field)) }
func (c composed) Err(field string) string      { return c.Errors[field] }
func (c composed) WayOpen(n int) bool {
	for _, rule := range wayRules {
		if c.W(n, rule.field) != "" {
			return true
		}
	}
	for _, field := range []string{"keep", "give", "blind", "stop", "courtesy", "aim", "passes", "more"} {
		if c.W(n, field) != "" {
			return true
		}
	}
	return false
}

func wayField(n int, field string) string { return fmt.Sprintf("way%d_%s", n, field) }

// wayRule is a rule that is on or off.
type wayRule struct{ field, word, Label string }

var wayRules = []wayRule{
	{"keep_flowers", "keep-flowers", "never pass a flower"},
	{"keep_multiples", "keep-multiples", "never pass from a pair or more"},
	{"one_of_each", "one-of-each", "pass tiles of three suits"},
	{"no_pairs", "no-pairs", "pass no pairs"},
	{"together", "together", "pass pairs and neighbours together"},
	{"joker_bait", "joker-bait", "hold a spare pair back as bait for a joker"},
}

// Rules are the rules that are on or off, for the template.
func (composePage) Rules() []wayRule { return wayRules }

// Field is the name of the rule in a form.
func (r wayRule) Field() string { return r.field }

// ways is how many ways there are.
func (c *composed) ways() int {
	n, err := strconv.Atoi(c.f.Get("ways"))
	if err != nil {
		n = usualWays
	}
	return min(max(n, 1), mostWays)
}

// compose makes the text of an experiment file from the fields and notes which line comes from which.
func compose(f url.Values) *composed {
	c := &composed{f: f, Errors: map[string]string{}}
	c.line("name", "experiment", quoted(c.get("name")))
	if asks := c.get("asks"); asks != "" {
		c.line("asks", "asks", quoted(asks))
	}
	if tiles, asked := c.tiles(); asked {
		c.line("set", "tiles", tiles)
	}
	if off := switchedOff(c.HouseRules()); len(off) > 0 {
		c.line("house", "house", strings.Join(off, " ; "))
	}
	c.population()
	if seat := c.get("seat"); seat != "" && seat != experiment.Everywhere {
		c.line("seat", "seat", seat)
	}
	if others := c.get("others"); others != "" && others != "strong" {
		c.line("others", "others", others)
	}
	share := c.measure()
	for _, field := range []string{"split", "among"} {
		if text := c.get(field); text != "" {
			c.line(field, field, text)
		}
	}
	percent := ""
	if share {
		percent = " %"
	}
	c.line("effect", "claim", or(c.get("claim"), "more")+" by "+strings.TrimSuffix(strings.TrimSuffix(c.get("effect"), "%"), " ")+percent)
	c.line("deals", "deals", strings.ReplaceAll(c.get("deals"), ",", ""))
	if c.On("until") {
		c.line("until", "until", "verdict")
	}
	if pairing := c.get("pairing"); pairing != "" && pairing != "wall" {
		c.line("pairing", "pairing", pairing)
	}
	for n := 1; n <= c.ways(); n++ {
		c.way(n)
	}
	return c
}

// HouseRules are the fields of the house rules of all ways, WayHouse those of one way: the set is the same for all.
func (c composed) HouseRules() []view.HouseField { return view.HouseFields(c.f, "", house.All) }
func (c composed) WayHouse(n int) []view.HouseField {
	return view.HouseFields(c.f, wayField(n, ""), house.OfPassing|house.OfPlay)
}

// switchedOff are the house rules that are ticked to be off, as an experiment file has them.
func switchedOff(fields []view.HouseField) []string {
	var off []string
	for _, rule := range fields {
		if rule.IsSwitch() && rule.Text != "" {
			off = append(off, rule.Key+" off")
		}
	}
	return off
}

// tiles is the set as an experiment file has it, and whether anything was typed.
func (c *composed) tiles() (text string, asked bool) {
	var parts []string
	for _, rule := range view.HouseFields(c.f, "", house.OfTiles) {
		asked = asked || rule.Text != ""
		parts = append(parts, or(rule.Text, strconv.Itoa(rule.Usual()))+" "+rule.Key)
	}
	return strings.Join(parts, ", "), asked
}

func or(text, usual string) string {
	if text == "" {
		return usual
	}
	return text
}

// get is a field as one line.
func (c *composed) get(field string) string { return strings.Join(strings.Fields(c.f.Get(field)), " ") }

func (c *composed) line(field, word, rest string) {
	c.lines = append(c.lines, field)
	c.Text += strings.TrimRight(fmt.Sprintf("%-10s %s", word, rest), " ") + "\n"
}

// quoted puts a text into quotes; those inside become single ones, since an experiment file has no way to write them.
func quoted(text string) string { return `"` + strings.ReplaceAll(text, `"`, "'") + `"` }

func (c *composed) population() {
	var parts []string
	for _, p := range []struct{ field, words string }{{"jokers", "jokers "}, {"has", "has "}, {"best_away", "best away "}, {"pairs", "pairs "}} {
		if text := c.get(p.field); text != "" {
			parts = append(parts, p.words+text)
		}
	}
	if c.On("two_plans") {
		parts = append(parts, "two plans")
	}
	if len(parts) > 0 {
		c.line("population", "population", strings.Join(parts, " ; "))
	}
}

// measure writes the measure and says whether it is a share.
func (c *composed) measure() (share bool) {
	words := or(c.get("measure"), "win")
	text := words
	for _, kind := range experiment.Choices() {
		if kind.Words != words {
			continue
		}
		share = kind.Share
		switch {
		case kind.Tiles:
			text += " " + c.get("tiles")
		case kind.Name:
			text += " " + c.get("with")
		case kind.Who && c.get("who") != "":
			text += " of " + c.get("who")
		}
	}
	c.line("measure", "measure", text)
	return share
}

// way writes a way: its player with rules, and house rules after semicolons.
func (c *composed) way(n int) {
	get := func(field string) string { return c.get(wayField(n, field)) }
	words := []string{or(get("player"), "strong")}
	for _, rule := range wayRules {
		if get(rule.field) != "" {
			words = append(words, rule.word)
		}
	}
	for _, r := range []struct{ field, word string }{{"keep", "keep="}, {"give", "give="}, {"blind", ""}, {"stop", ""}, {"courtesy", "courtesy="}, {"passes", "passes="}, {"aim", "aim="}, {"more", ""}} {
		if text := get(r.field); text != "" {
			words = append(words, r.word+strings.TrimPrefix(text, "+"))
		}
	}
	parts := []string{quoted(get("name")) + " " + strings.Join(words, "+")}
	parts = append(parts, switchedOff(c.WayHouse(n))...)
	if fill := get("fill"); fill != "" {
		parts = append(parts, "fill "+fill)
	}
	if m := get("measure"); m != "" {
		parts = append(parts, "measure "+m)
	}
	c.line(fmt.Sprintf("way%d", n), "way", strings.Join(parts, " ; "))
}

// check reads the text for the card chosen and puts what is wrong at the fields.
func (s *Area) checkComposed(c *composed) {
	var err error
	c.experiment, c.card, err = s.readExperiment("experiment", c.Text, c.f.Get("card"))
	if _, bad := page.SeedOf(c.f.Get("seed")); bad != nil {
		c.wrong("seed", view.Sentence(bad))
	}
	var problems card.Problems
	switch {
	case errors.As(err, &problems):
		for _, p := range problems {
			field := "name"
			if 0 < p.Line && p.Line <= len(c.lines) {
				field = c.lines[p.Line-1]
			}
			text := fmt.Sprintf("Found %s; right would be %s.", p.Found, strings.TrimSuffix(p.Right, "."))
			switch missing := c.missing(); {
			case field == "measure" && missing != "":
				text = missing
			case field == "name" && c.get("name") == "":
				text = "Give the experiment a short name, as in Keep flowers."
			}
			c.wrong(field, text)
		}
	case err != nil:
		c.wrong("card", view.Sentence(err))
	}
	if len(c.Problems) == 0 {
		c.Count = countExperiment(c.experiment)
	}
}

// missing says what the measure chosen wants beside it and was not given, or "".
func (c *composed) missing() string {
	for _, kind := range experiment.Choices() {
		switch {
		case kind.Words != c.get("measure"):
		case kind.Tiles && c.get("tiles") == "":
			return "Of which tiles? As in F, RG0 or pairs."
		case kind.Name && c.get("with") == "":
			return "With which section or hand of the card?"
		}
	}
	return ""
}

func (c *composed) wrong(field, text string) {
	c.Problems = append(c.Problems, fieldProblem{field, text})
	if c.Errors[field] != "" {
		text = c.Errors[field] + " " + text
	}
	c.Errors[field] = text
}

// firstForm is the form as it is first shown.
func firstForm() url.Values {
	return url.Values{"measure": {"win"}, "claim": {"more"}, "effect": {"0.5"}, "deals": {"20000"}, "seed": {"1"}, "ways": {"2"},
		"way1_name": {"usual"}, "way1_player": {"strong"}, "way2_player": {"strong"}, "others": {"strong"}}
}

func (s *Area) newExperiment(w http.ResponseWriter, r *http.Request) error {
	text := ""
	switch {
	case r.FormValue("ready") != "":
		ready, err := findReady(r.FormValue("ready"))
		if err != nil {
			return err
		}
		text = ready.Text
	case r.FormValue("from") != "":
		result, err := s.shelf.read(r.FormValue("from"))
		if err != nil {
			return err
		}
		text = result.Experiment
	}
	if text != "" || r.FormValue("as") == "text" {
		f := url.Values{"text": {text}, "seed": {"1"}, "card": {r.FormValue("card")}}
		return s.showPasted(w, http.StatusOK, f, s.read(f))
	}
	return s.showComposed(w, http.StatusOK, compose(firstForm()))
}

func (s *Area) showComposed(w http.ResponseWriter, code int, c *composed) error {
	p := composePage{composed: *c, Players: player.Names(), Choices: measureChoices()}
	for n := range c.ways() {
		p.WayNumbers = append(p.WayNumbers, n+1)
	}
	var err error
	if p.Cards, err = s.cardNames(); err != nil {
		return err
	}
	on, err := address.Card(s.desk, c.f.Get("card"), tile.Usual)
	if err != nil {
		on = card.Practice()
	}
	p.Names = append(p.Names, on.Sections...)
	for i := range on.Hands {
		p.Names = append(p.Names, on.Hands[i].Name)
	}
	s.Render(w, code, "compose", page.Page{Title: "A question of your own", Section: "Experiments", Data: p})
	return nil
}

func (s *Area) startComposed(w http.ResponseWriter, r *http.Request) error {
	f := r.PostForm
	c := compose(f)
	switch f.Get("act") {
	case "add":
		f.Set("ways", strconv.Itoa(min(c.ways()+1, mostWays)))
		return s.showComposed(w, http.StatusOK, compose(f))
	case "fewer":
		f.Set("ways", strconv.Itoa(max(c.ways()-1, 1)))
		return s.showComposed(w, http.StatusOK, compose(f))
	case "text":
		f := url.Values{"text": {c.Text}, "seed": {f.Get("seed")}, "card": {f.Get("card")}}
		return s.showPasted(w, http.StatusOK, f, s.read(f))
	}
	s.checkComposed(c)
	if len(c.Problems) > 0 {
		return s.showComposed(w, http.StatusUnprocessableEntity, c)
	}
	return s.begin(w, r, c.experiment, c.card, 0, func(text string) error {
		c.wrong("name", text)
		return s.showComposed(w, http.StatusUnprocessableEntity, c)
	})
}

// previewExperiment is the experiment file of what is chosen, with what is wrong, as it is chosen.
func (s *Area) previewExperiment(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	c := compose(r.PostForm)
	s.checkComposed(c)
	return s.part(w, "compose", "experiment-text", c)
}

// part answers with a part of a page.
func (s *Area) part(w http.ResponseWriter, name, part string, data any) error {
	html, err := s.Text(name, part, data)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, err = w.Write(html)
	return err
}

// pasted is an experiment as text, with its errors by line.
type pasted struct {
	Text, Card, Seed string
	Problems         []view.LineProblem
	Error            string
	Count            string
	experiment       *experiment.Experiment
	card             *card.Card
	series           *experiment.Series // in place of both, where it is one
}

// read reads a pasted experiment.
func (s *Area) read(f url.Values) pasted {
	p := pasted{Text: strings.ReplaceAll(f.Get("text"), "\r\n", "\n"), Card: f.Get("card"), Seed: f.Get("seed")}
	if strings.TrimSpace(p.Text) == "" {
		return p
	}
	var err error
	if experiment.IsSeries([]byte(p.Text)) {
		p.series, err = s.readSeries(p.Text, p.Card)
	} else {
		p.experiment, p.card, err = s.readExperiment("experiment", p.Text, p.Card)
	}
	var problems card.Problems
	switch {
	case errors.As(err, &problems):
		p.Problems = view.ProblemLines(problems)
	case err != nil:
		p.Error = view.Sentence(err)
	case p.series != nil:
		first := p.series.Cells[0].Experiment
		p.Count = fmt.Sprintf("No errors. A series of %d experiments, each with %s, %d deals at most.", len(p.series.Cells), wayCount(first), first.Deals)
	default:
		p.Count = countExperiment(p.experiment)
	}
	return p
}

func countExperiment(q *experiment.Experiment) string {
	return fmt.Sprintf("No errors. %s, %s deals at most.", wayCount(q), strconv.Itoa(q.Deals))
}

func wayCount(q *experiment.Experiment) string {
	if q.Split != nil {
		return "One way, its deals sorted"
	}
	return fmt.Sprintf("%d ways", len(q.Ways))
}

func (s *Area) showPasted(w http.ResponseWriter, code int, f url.Values, p pasted) error {
	view := composePage{composed: composed{f: f}, Pasting: true, Paste: p}
	var err error
	if view.Cards, err = s.cardNames(); err != nil {
		return err
	}
	s.Render(w, code, "compose", page.Page{Title: "A question of your own", Section: "Experiments", Data: view})
	return nil
}

func (s *Area) startPasted(w http.ResponseWriter, r *http.Request) error {
	f := r.PostForm
	p := s.read(f)
	if p.experiment == nil && p.series == nil || p.Error != "" || len(p.Problems) > 0 {
		if p.Error == "" && len(p.Problems) == 0 {
			p.Error = "There is no text yet. Paste an experiment file first."
		}
		return s.showPasted(w, http.StatusUnprocessableEntity, f, p)
	}
	refuse := func(text string) error {
		p.Error = text
		return s.showPasted(w, http.StatusUnprocessableEntity, f, p)
	}
	if p.series != nil {
		return s.beginSeries(w, r, p.series, 0, refuse)
	}
	return s.begin(w, r, p.experiment, p.card, 0, refuse)
}

// checkExperiment is what is wrong with a text as it is typed.
func (s *Area) checkExperiment(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	return s.part(w, "compose", "experiment-check", s.read(r.PostForm))
}
