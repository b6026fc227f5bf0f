// Package handout is a lesson on paper and on a phone: the pages that students write on, the answer sheet, the
// summary of a comparison, and a set of drills in one HTML file that works without a network.
//
// [Questions], [Answers] and [Comparison] make documents of package sheet, for Letter or A4; [Write] makes the HTML
// file. It lays out what others computed.
package handout

import (
	"fmt"
	"strings"

	"secondpass/advice"
	"secondpass/exercise"
	"secondpass/paper/draw"
	"secondpass/paper/sheet"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
	"secondpass/teach/drill"
	"secondpass/teach/lesson"
)

// tileMM is the width of a tile on a handout, large enough at arm's length; smallMM that on the answer sheet.
const (
	tileMM  = 12
	smallMM = 8
)

// footer stands on every page.
const footer = "Use a card you own."

// Questions is the handout that students write on.
func Questions(l *lesson.Lesson, paper draw.PaperSize) (*draw.Document, error) {
	d := draw.NewDocument(l.Title, l.Title+". "+footer, paper, false)
	d.Heading(l.Title)
	d.Fields("Name", "Date")
	if l.Note != "" {
		d.Remark(l.Note)
	}
	for i := range l.Items {
		if err := question(d, &l.Items[i]); err != nil {
			return nil, fmt.Errorf("item %d: %w", i+1, err)
		}
	}
	return d, nil
}

// question is one item with room to write.
func question(d *draw.Document, i *lesson.Item) error {
	board, err := i.Board()
	if err != nil {
		return err
	}
	ask, err := asked(i)
	if err != nil {
		return err
	}
	d.Question(ask, func() {
		d.Caption(where(i, board))
		sheet.AddBoard(d, board, tileMM)
		addNear(d, board)
		if i.Note != "" {
			d.Remark(i.Note)
		}
		switch {
		case i.Drill != nil:
			addChoices(d, i.Drill)
			d.Lines("Why?", 2)
		default:
			if n := places(i); n > 0 {
				d.Paragraph("Write in what goes, and say why.")
				sheet.AddStrip(d, empty(n), tileMM)
			} else {
				d.Paragraph("What do you decide, and why?")
			}
			d.Lines("", 2)
		}
	})
	return nil
}

// addNear draws the hands of the card that are near: what is held, and thin what is missing.
func addNear(d *draw.Document, b *exercise.Board) {
	for i := range b.Near {
		h := b.Near[i].OnCard()
		how := ""
		if h.Concealed {
			how = ", concealed"
		}
		sheet.AddHand(d, &b.Near[i], h.Name+how)
	}
}

// addChoices draws the answers to tick, in tiles where they have some.
func addChoices(d *draw.Document, of *drill.Drill) {
	if of.Ask() != drill.AskPass {
		var choices []string
		for _, c := range of.Choices {
			choices = append(choices, wording.DrillChoice(c))
		}
		d.Choices(choices...)
		return
	}
	var choices [][]sheet.Tile
	for _, c := range of.Choices {
		choices = append(choices, sheet.List(c.Action.Own.Tiles()))
	}
	sheet.AddTicked(d, choices...)
}

// places is how many tiles are to be written in at an exercise's step.
func places(i *lesson.Item) int {
	t, err := i.Trail()
	if err != nil {
		return 0 // the question itself has told
	}
	switch t.Now.Phase() {
	case charleston.Passing:
		return charleston.PassTiles
	case charleston.Giving:
		return t.Now.Exchange()
	}
	return 0
}

// empty is places to write tiles in.
func empty(n int) []sheet.Tile {
	tiles := make([]sheet.Tile, n)
	for i := range tiles {
		tiles[i].Empty = true
	}
	return tiles
}

// asked is the question of an item, in a sentence that gives nothing away.
func asked(i *lesson.Item) (string, error) {
	if i.Drill != nil {
		return wording.DrillQuestion(i.Drill), nil
	}
	t, err := i.Trail()
	if err != nil {
		return "", err
	}
	switch t.Now.Phase() {
	case charleston.Voting:
		return "After the first left: do you stop or go on?", nil
	case charleston.Naming:
		return "The courtesy: how many do you offer?", nil
	case charleston.Giving:
		return fmt.Sprintf("The courtesy: which %s do you give?", wording.Numeral(t.Now.Exchange())), nil
	case charleston.Over:
		return "The passing is over: what do you play?", nil
	}
	return fmt.Sprintf("The %s: what do you pass?", t.Now.Step()), nil
}

// where says the card and the seat.
func where(i *lesson.Item, b *exercise.Board) string {
	c := i.Card
	if i.Drill == nil {
		c = i.Exercise.Card
	}
	return fmt.Sprintf("Card %s; you sit %s.", c.Name, b.Seat.Name())
}

// Reviews is the review of a route of an exercise item, nil where nobody judged it.
type Reviews func(i *lesson.Item, r *exercise.Route) *advice.Review

// Answers is the teacher's sheet: of drills the right answers, what the others cost and why; of exercises the nearest
// hands, what the routes that were walked did, and of those that were reviewed what each decision cost and what was better.
// reviews may be nil.
func Answers(l *lesson.Lesson, reviews Reviews, paper draw.PaperSize) (*draw.Document, error) {
	d := draw.NewDocument(l.Title+": answers", l.Title+", answers. "+footer, paper, false)
	d.Heading(l.Title + ": answers")
	for _, text := range strings.Split(l.Teacher, "\n\n") {
		if text = strings.TrimSpace(text); text != "" {
			d.Paragraph(text)
		}
	}
	d.Caption("A right answer is one that the games do not show to be worse than the best by more than one percentage point. Costs are percentage points of the chance to win, with 95 % intervals.")
	for i := range l.Items {
		item := &l.Items[i]
		ask, err := asked(item)
		if err != nil {
			return nil, fmt.Errorf("item %d: %w", i+1, err)
		}
		board, err := item.Board()
		if err != nil {
			return nil, fmt.Errorf("item %d: %w", i+1, err)
		}
		var inner error
		d.Question(ask, func() {
			about := where(item, board)
			if k := item.Drill; k != nil {
				about += fmt.Sprintf(" %s. %d games a choice, seed %d.", wording.Capital(wording.DrillKind(k.Kind)), k.Key.Games, k.Key.Seed)
			}
			d.Caption(about)
			sheet.AddBoard(d, board, smallMM)
			if item.Note != "" {
				d.Remark(item.Note)
			}
			if item.Drill != nil {
				inner = drillAnswers(d, item, 0, 1)
			} else {
				inner = exerciseAnswer(d, item, board.Rack)
			}
		})
		if inner == nil && item.Drill != nil {
			d.Under(func() { inner = drillAnswers(d, item, 1, len(item.Drill.Choices)) }) // on the next page where this one is full
		}
		if inner == nil {
			inner = addReviews(d, item, reviews)
		}
		if inner != nil {
			return nil, fmt.Errorf("item %d: %w", i+1, inner)
		}
	}
	return d, nil
}

// drillAnswers are some of the answers with their costs and reasons, the best first: from one place up to another.
func drillAnswers(d *draw.Document, i *lesson.Item, from, upto int) error {
	reasons, err := i.Drill.Reasons(i.Card)
	if err != nil {
		return err
	}
	for _, n := range byCost(&i.Drill.Key)[from:upto] {
		a := &i.Drill.Key.Answers[n]
		d.Together(func() {
			verdict := "Costs " + strings.TrimPrefix(costText(a), "+") + " percentage points: "
			if a.Right {
				verdict = "Right: "
				if n != i.Drill.Key.Best() {
					verdict = "Right too, " + costText(a) + " percentage points behind: "
				}
			}
			d.Strong(verdict + wording.DrillChoice(i.Drill.Choices[n]))
			why := wording.DrillReason(&reasons[n])
			d.Paragraph(why.Text())
			if hand := why.Shown(); hand != nil {
				sheet.AddHand(d, hand, hand.OnCard().Name)
			}
			d.Space(2)
		})
	}
	return nil
}

// costText is what an answer throws away.
func costText(a *drill.Answer) string {
	if a.Cost.Value <= 0 {
		return "0.0"
	}
	return strings.ReplaceAll(wording.ChancePoints(a.Cost), "-", "−")
}

// byCost is the places of the answers, the cheapest first.
func byCost(k *drill.Key) []int {
	order := make([]int, len(k.Answers))
	for i := range order {
		order[i] = i
	}
	for i := 1; i < len(order); i++ {
		for j := i; j > 0 && k.Answers[order[j]].Cost.Value < k.Answers[order[j-1]].Cost.Value; j-- {
			order[j], order[j-1] = order[j-1], order[j]
		}
	}
	return order
}

// exerciseAnswer is what is near, and what the routes did from here.
func exerciseAnswer(d *draw.Document, i *lesson.Item, rack tile.Rack) error {
	j, err := exercise.NewAccountant(i.Exercise.Card, nil)
	if err != nil {
		return err
	}
	a := j.Account(rack)
	var near []string
	for n := range a.Plan {
		near = append(near, wording.Near(&a.Plan[n]))
	}
	d.Paragraph(fmt.Sprintf("Nearest: %s. Spare for the plan %s; %s.", strings.Join(near, ", "), wording.Tiles(a.SparePlan), wording.Plural(a.Options, "option")))
	t := draw.Table{Head: []string{"Route", "Aim", "Decided here", "At its end"}}
	for _, r := range i.Exercise.Routes {
		c, err := i.Exercise.Column(r)
		if err != nil {
			return err
		}
		decided := "-"
		if i.At < len(r.Decisions) {
			decided = wording.Decision(r.Decisions[i.At])
		}
		end := c.End()
		plan, clean := "", ""
		if apart := end.PlanApart(); apart != nil {
			plan = ", plan " + wording.Near(apart)
		}
		if c.Over() {
			clean = map[bool]string{true: ", clean", false: ", not clean"}[end.CleanPlan()]
		}
		t.Rows = append(t.Rows, []string{r.Name, exercise.AimText(r.Aim()), decided,
			wording.Near(&end.Nearest) + plan + fmt.Sprintf("; %d spare for the plan%s", end.SparePlan.Size(), clean)})
	}
	d.Table(t)
	return nil
}

// addReviews adds those of an exercise's routes that were reviewed.
func addReviews(d *draw.Document, i *lesson.Item, reviews Reviews) error {
	if i.Exercise == nil || reviews == nil {
		return nil
	}
	for _, r := range i.Exercise.Routes {
		if rev := reviews(i, r); rev != nil {
			if err := addReview(d, i.Exercise, r, rev); err != nil {
				return err
			}
		}
	}
	return nil
}

// addReview is what each decision of a route in the passing cost, and what was better.
func addReview(d *draw.Document, of *exercise.Exercise, r *exercise.Route, rev *advice.Review) error {
	trail, err := of.Replay(r)
	if err != nil {
		return err
	}
	d.Strong(fmt.Sprintf("Route %s, step by step", r.Name))
	t := draw.Table{Head: []string{"Step", "Decided", "Cost, percentage points", "Best found", "Why"}, Right: []int{2}}
	for n := range rev.Entries {
		e := &rev.Entries[n]
		better, why := "the same", ""
		if e.Decision.Action(of.Seat) != e.Best {
			better = wording.Action(e.Best)
			why = wording.Reason(e.Contrast(of.Card, trail.Snapshots[n].View), wording.Action(e.Best)).Text()
		}
		t.Rows = append(t.Rows, []string{wording.Capital(e.Decision.Step.String()), wording.Decision(e.Decision), strings.ReplaceAll(wording.ChancePoints(e.Cost), "-", "−"), better, why})
	}
	d.Table(t)
	return nil
}

// Comparison is one page that sets routes of an exercise side by side, with room for the teacher's remark. figures are
// what was simulated, for sheet.Comparison.
func Comparison(e *exercise.Exercise, columns []exercise.Column, figures []sheet.Figure, paper draw.PaperSize) *draw.Document {
	d := draw.NewDocument(e.Name, e.Name+". "+footer, paper, false)
	d.Heading(e.Name)
	deal := fmt.Sprintf("Seed %d", e.Seed)
	if e.Condition != "" {
		deal += ", dealt to: " + e.Condition
	}
	d.Caption(fmt.Sprintf("%s. %s. Card %s. Incoming tiles: %s.%s", deal, e.Seat.Name(), e.Card.Name, e.Incoming, wording.ByHouse(e.House)))
	sheet.AddStrip(d, sheet.Tiles(e.Deal), smallMM)
	d.Drawing(sheet.Comparison("", columns, figures, sheet.Natural))
	d.Subheading("Remark")
	d.Lines("", 4)
	return d
}
