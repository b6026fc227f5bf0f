package view

import (
	"fmt"
	"html/template"
	"strconv"
	"strings"

	"secondpass/advice"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/work/queue"
)

// ReviewFound is what a review tells as it goes on.
type ReviewFound struct {
	// Done of the decisions are judged with games a decision.
	Done, Of, Games int
	// Ledger is the last review that came to its end, with LedgerGames a decision, or before there is one what a
	// stopped review had judged, which is part of the route; nil where there is neither.
	Ledger      *advice.Review
	LedgerGames int
	Part        bool
}

// reviewPage is the ledger of a route.
type reviewPage struct {
	ID      int64
	Name    string
	Route   RouteHead
	Heading string
	Live    reviewPart
}

// reviewPart is the part that changes while one watches.
type reviewPart struct {
	Path, StepPath string
	queue.Shown
	Empty, Started  bool
	Done, Of, Games int
	// what the ledger in view was made with
	Ledger, Part bool
	LedgerGames  int
	Seed         uint64
	// House names unusual house rules.
	House  string
	Played bool // the ledger goes on into the play
	Mock   bool
	Axis   template.HTML
	Rows   []reviewRow
	// ShownCosts are those whose interval leaves 0 out, OtherCosts the rest, "" for none.
	ShownCosts, OtherCosts, Swings, Sum string
	// Others and Draws are what the others did and the tiles drawn brought in the play; "" where no tile was drawn.
	Others, Draws string
	Costliest     *costliest
}

// reviewRow is one row of the waterfall.
type reviewRow struct {
	Class        string // tot, nil, or none
	Step, Before string
	Advice       string
	What         string
	Tiles        template.HTML
	After        string
	Best         string
	BestTiles    template.HTML
	// Why is what sets the decision apart from the best one, where a cost is shown.
	Why           template.HTML
	Chart         template.HTML
	Label         string // in front of the figure
	Figure, Range string
	Kind          string // cost or swing
	Parts         string // of a swing
	// Unshown is a cost whose interval holds 0.
	Unshown, Costliest, Last bool
	ForkAt                   int
}

// costliest is the decision with the greatest cost that is shown to be one.
type costliest struct {
	Step, Figure, Advice string
	At                   int
}

func NewReviewPage(x Exercise, route *exercise.Route) reviewPage {
	p := reviewPage{ID: x.ID, Name: x.Exercise.Name}
	_, p.Route = HeadsOf(x.ID, x.Exercise, route.ID)
	p.Heading = "Review of route " + p.Route.Badge
	return p
}

func NewReviewPart(x Exercise, route *exercise.Route, t *exercise.Trail, games int, now queue.Shown) (reviewPart, error) {
	p := reviewPart{StepPath: StepPath(x.ID, route.ID), Shown: now, Started: now.State != "", Empty: len(route.Decisions) == 0,
		Of: route.Len(), Games: games, Seed: x.Seed, House: wording.HouseRules(x.House), Mock: x.Incoming == exercise.MockPasses}
	p.Path = p.StepPath + "/review"
	found, ok := now.Data.(*ReviewFound)
	if !ok {
		return p, nil
	}
	p.Done, p.Of, p.Games = found.Done, found.Of, found.Games
	if found.Ledger == nil {
		return p, nil
	}
	p.Ledger, p.Part, p.LedgerGames, p.Played = true, found.Part, found.LedgerGames, len(found.Ledger.Play) > 0
	f := fall{x: x, route: route, trail: t, rev: found.Ledger, steps: p.StepPath}
	if t.Game != nil {
		events, err := t.Game.Events(len(route.Decisions))
		if err != nil {
			return p, err
		}
		f.game, f.events = t.Game, events
	}
	return p, f.fill(&p)
}

// fall lays a ledger out as a waterfall lying down.
type fall struct {
	x      Exercise
	route  *exercise.Route
	trail  *exercise.Trail
	rev    *advice.Review
	game   *exercise.Game
	events []exercise.Event
	steps  string
	scale  Scale[unit.Chance]
}

func (f *fall) fill(p *reviewPart) error {
	rev := f.rev
	f.scale = f.span()
	p.Axis = f.scale.Axis()
	p.Rows = append(p.Rows, reviewRow{Class: "tot", Step: "Start", What: "the deal", Chart: f.ring(rev.Start.Value), Figure: shareText(rev.Start.Value), Range: shareRange(rev.Start)})
	shownCosts := unit.ChanceDifference(0)
	add := func(number int, w *advice.Worth, rows [2]reviewRow, last bool) {
		if w.Cost.Low > 0 {
			shownCosts += w.Cost.Value
		}
		f.cost(&rows[0], w)
		f.swing(&rows[1], w, last)
		rows[0].Advice, rows[0].ForkAt = f.steps+"/advice?at="+strconv.Itoa(number), number
		p.Rows = append(p.Rows, rows[:]...)
	}
	for i := range rev.Entries {
		rows := f.passRows(&rev.Entries[i])
		rows[0].Why = ReasonOf(wording.EntryWhy(f.x.Exercise, f.trail, rev, i))
		add(i, &rev.Entries[i].Worth, rows, i == len(rev.Entries)-1)
	}
	for i := range rev.Play {
		en := &rev.Play[i]
		rows := f.playRows(en)
		why, err := wording.PlayWhy(f.x.Exercise, f.route, en)
		if err != nil {
			return err
		}
		rows[0].Why = ReasonOf(why)
		add(en.Number, &en.Worth, rows, i == len(rev.Play)-1)
	}
	f.end(p, shownCosts)
	return nil
}

// end is the last row, the sums, and the costliest decision.
func (f *fall) end(p *reviewPart, shownCosts unit.ChanceDifference) {
	rev := f.rev
	what := "the rack after all passes"
	switch {
	case p.Part:
		what = "where the review was stopped"
	case f.game != nil && f.game.Over():
		what = Minus(wording.End(f.x.Exercise, f.game))
	case p.Played:
		what = "where the play stands"
	case len(f.rev.Entries) > 0 && f.open():
		what = "where the passing stands"
	}
	end := reviewRow{Class: "tot", Step: "End", What: what, Chart: f.ring(rev.End.Value), Figure: shareText(rev.End.Value)}
	if rev.End.High > rev.End.Low {
		end.Range = shareRange(rev.End)
	}
	p.Rows = append(p.Rows, end)
	costs, swings := rev.Sums()
	p.ShownCosts, p.Swings = fmt.Sprintf("%.1f", 100*shownCosts), pointsText(swings)
	if other := 100 * (costs - shownCosts); other >= .05 { // as rounded
		p.OtherCosts = fmt.Sprintf("%.1f", other)
	}
	p.Sum = fmt.Sprintf("%.1f start, costs %s, swings %s, end %.1f.", 100*rev.Start.Value, pointsText(-costs), pointsText(swings), 100*rev.End.Value)
	if others, draws := rev.Parts(); others != 0 || draws != 0 {
		p.Others, p.Draws = pointsText(others), pointsText(draws)
	}
	if rev.Costliest < 0 {
		return
	}
	row := &p.Rows[1+2*rev.Costliest]
	row.Costliest = true
	p.Costliest = &costliest{row.Step, row.Figure, row.Advice, row.ForkAt}
}

// open says that the passing is not over.
func (f *fall) open() bool {
	t, err := f.x.Replay(f.route)
	return err == nil && t.Now.Phase() != charleston.Over
}

// span is the scale on which all values find room.
func (f *fall) span() Scale[unit.Chance] {
	exact := func(v unit.Chance) stat.Interval[unit.Chance] { return stat.Exact(v, 1) }
	all := []stat.Interval[unit.Chance]{exact(f.rev.Start.Value), exact(f.rev.End.Value)}
	for _, w := range f.rev.Worths() {
		all = append(all, exact(w.Before.Value), exact(w.Taken.Value))
	}
	return ScaleOf(100, all...)
}

// passRows are a decision of the passing and what came.
func (f *fall) passRows(en *advice.Entry) [2]reviewRow {
	d := &en.Decision
	decision, luck := reviewRow{Step: wording.Capital(wording.Step(d.Step))}, reviewRow{}
	where := d.Step.Direction()
	switch d.Phase {
	case charleston.Passing, charleston.Giving:
		decision.What, decision.Tiles = "passed", PassedStrip("Passed "+where.String(), d.Own, BlindOf(d), where)
		luck.What, luck.Tiles = "came", CameStrip("Came", d.Came)
		if d.Phase == charleston.Giving {
			decision.What = "gave"
		}
		candidate := advice.Candidate{Action: en.Best}
		if decision.BestTiles, decision.Best = candidateTiles(&candidate, where); decision.BestTiles != "" {
			decision.Best = "best found"
		}
		return [2]reviewRow{decision, luck}
	case charleston.Voting:
		decision.Step = "Stop or go on"
		luck.What = "what the others decided"
	case charleston.Naming:
		luck.What = fmt.Sprintf("%d exchanged", d.Exchanged)
	}
	decision.What = wording.Decision(*d)
	decision.Best = "best found: " + wording.Action(en.Best)
	return [2]reviewRow{decision, luck}
}

// playRows are a decision of the play and what followed.
func (f *fall) playRows(en *advice.PlayEntry) [2]reviewRow {
	decision := reviewRow{Step: fmt.Sprintf("Play %d", en.Number-len(f.route.Decisions)+1)}
	for i := range f.events {
		if e := &f.events[i]; e.Number == en.Number {
			l := LineOf(f.x, f.game, e)
			decision.What, decision.Tiles, decision.After = l.Does, l.Tiles, l.After
		}
	}
	decision.Best, decision.BestTiles = actionWords(en.Best, f.x.Seat)
	decision.Best = "best found: " + strings.ToLower(decision.Best[:1]) + decision.Best[1:]
	return [2]reviewRow{decision, {What: "what followed"}}
}

// cost fills in the row of a decision: from the value before it, that of the best one found, to that of what was taken.
func (f *fall) cost(r *reviewRow, w *advice.Worth) {
	r.Kind, r.Before = "cost", shareText(w.Before.Value)+" before"
	class := "cost"
	r.Label, r.Figure = "cost", pointsText(-w.Cost.Value)
	if w.Cost.High > w.Cost.Low {
		r.Range = pointsRange(w.Cost.Negated())
	} else {
		r.Class, r.Range = "nil", "the best found"
	}
	if w.Cost.Low <= 0 {
		class, r.Label, r.Unshown = "cost maybe", "no cost shown", true
	}
	if r.Class == "nil" {
		r.Best, r.BestTiles = "", ""
	}
	r.Chart = f.chart(w.Before.Value, f.rect(class, w.Before.Value, w.Taken.Value), true)
}

// swing fills in the row of what came: from the value of what was taken to the value that it led to.
func (f *fall) swing(r *reviewRow, w *advice.Worth, last bool) {
	r.Kind, r.Label, r.Figure, r.ForkAt, r.Last = "swing", "swing", pointsText(w.Swing.Value), -1, last
	r.Range = pointsRange(w.Swing) + wording.Doubted(w.Swing)
	r.Parts = Minus(wording.Parts(w))
	r.Chart = f.chart(w.Taken.Value, f.rect("sw", w.Taken.Value, w.After.Value), false)
}

func (f *fall) ring(v unit.Chance) template.HTML { return f.chart(v, "", true) }

// chart is one row of the waterfall: where it begins as a dashed line, a bar, and the value as a ring. The figures
// stand beside it in words.
func (f *fall) chart(begin unit.Chance, bar string, ring bool) template.HTML {
	at := f.scale.At(begin)
	text := fmt.Sprintf(`<svg class="wf" aria-hidden="true"><line class="jn" x1="%.2f%%" x2="%.2f%%" y1="-6" y2="40"/>%s`, at, at, bar)
	if ring {
		text += fmt.Sprintf(`<circle class="end" cx="%.2f%%" cy="17" r="7"/>`, at)
	}
	return template.HTML(text + "</svg>")
}

func (f *fall) rect(class string, a, b unit.Chance) string {
	from, to := f.scale.At(min(a, b)), f.scale.At(max(a, b))
	return fmt.Sprintf(`<rect class="%s" x="%.2f%%" y="7" width="%.2f%%" height="20"/>`, class, from, to-from)
}

func shareText(v unit.Chance) string { return fmt.Sprintf("%.1f %%", 100*v) }

func shareRange(i stat.Interval[unit.Chance]) string {
	return RangeText(100*i.Low, 100*i.High, i.Bounded())
}

// pointsText is a difference of chances in percentage points, with its sign.
func pointsText(v unit.ChanceDifference) string { return Minus(wording.Plus(100*v, 1)) }

func pointsRange(i stat.Interval[unit.ChanceDifference]) string {
	if !i.Bounded() {
		return "too few games"
	}
	return pointsText(i.Low) + " to " + pointsText(i.High)
}
