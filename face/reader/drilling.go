package reader

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"math"
	"net/url"
	"slices"
	"strconv"
	"time"

	"secondpass/advice"
	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/teach/drill"
)

// Drilling is a drill as one reader answers it, once.
type Drilling struct {
	number    int
	drill     *drill.Drill
	card      *card.Card
	tuning    player.Tuning
	shelf     shelf
	templates *template.Template
	answer    *answered // nil before there is one
	// asked is an answer that was carried here and has not been judged yet.
	asked string
	// shown is when the drill was shown first.
	shown time.Time
}

// answered is an answer and what came of it, as a browser keeps it.
type answered struct {
	Answer string                               `json:"answer"`
	Right  bool                                 `json:"right"`
	Cost   stat.Interval[unit.ChanceDifference] `json:"cost"`
	// At is when it was given, Seconds after how many; 0 where that is not known.
	At      time.Time `json:"at"`
	Seconds float64   `json:"seconds,omitempty"`
}

func newDrilling(c *Content, templates *template.Template, number int, d *drill.Drill, of *card.Card) *Drilling {
	return &Drilling{number: number, drill: d, card: of, tuning: c.tuning(of), shelf: c.Shelf, templates: templates}
}

// goOn takes up an answer that was kept, where it is one of this drill's.
func (d *Drilling) goOn(before []byte) {
	var a answered
	if len(before) == 0 || json.Unmarshal(before, &a) != nil {
		return
	}
	if _, err := d.drill.Free(d.game(), a.Answer); err == nil || d.offered(a.Answer) >= 0 {
		d.answer = &a
	}
}

func (d *Drilling) kept() ([]byte, error) {
	if d.answer == nil {
		return nil, nil
	}
	return json.Marshal(d.answer)
}

// offered is the place of an answer among the choices, -1 where it is none of them.
func (d *Drilling) offered(answer string) int {
	return slices.IndexFunc(d.drill.Choices, func(c drill.Choice) bool { return c.String() == answer })
}

// stand says how the answer was, for a list.
func (d *Drilling) stand() string {
	switch {
	case d.answer == nil:
		return ""
	case d.answer.Right:
		return "right"
	}
	return "costs " + view.CostSentence(d.answer.Cost)
}

// game is the card in play, as drills have it.
func (d *Drilling) game() *table.Game { return prepared.Of(d.card).Game(house.Usual) }

func (d *Drilling) path() string { return fmt.Sprintf("/exercises/%d", d.number) }

// drillPage is a drill with what came of the answer, once there is one.
type drillPage struct {
	Path    string
	Drill   *view.DrillView
	Refusal string
	// Judging is the three tiles that are judged now, in words.
	Judging string
	Told    *drillTold
}

// drillTold is what came of an answer.
type drillTold struct {
	Verdict string
	Key     *view.KeyView
	Free    *view.Free
}

func (d *Drilling) page(refusal string) (Answer, error) {
	p := drillPage{Path: d.path(), Refusal: refusal}
	var err error
	if p.Drill, err = view.ViewDrill(prepared.Of(d.card).Index(), d.drill, d.card); err != nil {
		return Answer{}, err
	}
	if d.answer != nil {
		if p.Told, err = d.told(); err != nil {
			return Answer{}, err
		}
	}
	html, err := fill(d.templates, "drill-page", p)
	return Answer{Path: d.path(), Title: p.Drill.Question, HTML: html, OK: refusal == ""}, err
}

// told is what came of the answer.
func (d *Drilling) told() (*drillTold, error) {
	t := &drillTold{Verdict: "A right answer"}
	if !d.answer.Right {
		t.Verdict = "That costs " + view.CostSentence(d.answer.Cost)
	}
	yours := d.offered(d.answer.Answer)
	var err error
	if yours < 0 {
		try := drill.Try{Answer: d.answer.Answer, Right: d.answer.Right, Cost: d.answer.Cost}
		if t.Free, err = view.FreeAnswer(d.drill, d.card, &try); err != nil {
			return nil, err
		}
	}
	t.Key, err = view.ViewKey(d.drill, d.card, yours)
	return t, err
}

// ask shows the drill, or takes an answer to it: one of those offered at once, any other pass by games.
func (d *Drilling) ask(post bool, query, form url.Values) (Answer, error) {
	if d.asked != "" && d.answer == nil && !post {
		choice, err := d.drill.Free(d.game(), d.asked)
		if err == nil {
			d.asked = ""
			return d.judging(choice)
		}
	}
	if d.shown.IsZero() {
		d.shown = time.Now()
	}
	if !post || d.answer != nil {
		return d.page("")
	}
	if form.Get("act") == "stop" {
		a, err := d.page("")
		a.Halt = true
		return a, err
	}
	if form.Get("choice") != "free" {
		choice, err := strconv.Atoi(form.Get("choice"))
		if err != nil || choice < 1 || choice > len(d.drill.Choices) {
			return d.page(fmt.Sprintf("Choose one of the %d answers.", len(d.drill.Choices)))
		}
		d.take(choice - 1)
		return changed(d.page(""))
	}
	choice, refusal := d.free(form["own"])
	if refusal != "" {
		return d.page(refusal)
	}
	if i := d.offered(choice.String()); i >= 0 { // it has its answer already
		d.take(i)
		return changed(d.page(""))
	}
	return d.judging(choice)
}

// take takes one of the answers offered.
func (d *Drilling) take(choice int) {
	key := &d.drill.Key.Answers[choice]
	d.answer = d.given(d.drill.Choices[choice].String(), key.Right, key.Cost)
}

// given is an answer that is given now.
func (d *Drilling) given(answer string, right bool, cost stat.Interval[unit.ChanceDifference]) *answered {
	a := &answered{Answer: answer, Right: right, Cost: cost, At: time.Now().UTC().Truncate(time.Second)}
	if !d.shown.IsZero() {
		a.Seconds = math.Round(time.Since(d.shown).Seconds()*10) / 10
	}
	return a
}

// free reads three tiles that were chosen out of the whole rack; the refusal says why they are no answer.
func (d *Drilling) free(own []string) (c drill.Choice, refusal string) {
	rack, _, err := view.ReadTiles(own)
	if err != nil {
		return c, wording.Capital(err.Error()) + "."
	}
	if n := rack.Size(); n != charleston.PassTiles {
		return c, fmt.Sprintf("You chose %s; three go.", wording.Plural(n, "tile"))
	}
	if c, err = d.drill.Free(d.game(), rack.String()); err != nil {
		return c, "These three cannot be passed here."
	}
	return c, ""
}

// judging shows that an answer is judged, and asks for that.
func (d *Drilling) judging(c drill.Choice) (Answer, error) {
	v, err := view.ViewDrill(prepared.Of(d.card).Index(), d.drill, d.card)
	if err != nil {
		return Answer{}, err
	}
	html, err := fill(d.templates, "drill-page", drillPage{Path: d.path(), Drill: v, Judging: c.String()})
	now := d.given("", false, stat.Interval[unit.ChanceDifference]{})
	query := url.Values{"own": {c.String()}, "at": {now.At.Format(time.RFC3339)}, "seconds": {fmt.Sprint(now.Seconds)}}
	return Answer{Path: d.path() + "?" + query.Encode(), Title: v.Question, HTML: html, OK: true, Judge: drill.MostFree, Alone: true}, err
}

// judge judges the answer that an address names, on the games of the key.
func (d *Drilling) judge(ctx context.Context, query url.Values, tell func(j Judged, changed bool)) error {
	choice, err := d.drill.Free(d.game(), query.Get("own"))
	if err != nil {
		return errors.New("these three cannot be passed here")
	}
	players := d.drill.Key.Players
	counsel, err := advice.NewCounsel(d.card, house.Usual, d.tuning, players, 0) // the maker is told the seed of the key
	if err != nil {
		return err
	}
	counsel.Shelf = d.shelf
	m, err := drill.NewMaker(counsel, players)
	if err != nil {
		return err
	}
	a, err := m.Judge(ctx, d.drill, choice)
	if err != nil {
		return err
	}
	d.answer = d.given(choice.String(), a.Right, a.Cost)
	if at, err := time.Parse(time.RFC3339, query.Get("at")); err == nil {
		d.answer.At = at
		d.answer.Seconds, _ = strconv.ParseFloat(query.Get("seconds"), 64)
	}
	told, err := d.told()
	if err != nil {
		return err
	}
	html, err := fill(d.templates, "drill-told", told)
	tell(Judged{HTML: html, Over: true}, true)
	return err
}
