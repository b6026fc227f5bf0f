// Package handout is a lesson on paper and on a phone: the pages that students write on, the answer sheet, the
// summary of a comparison, and a set of drills in one HTML file that works without a network.
//
// [Questions], [Answers] and [Comparison] make documents of package sheet, for Letter or A4; [Write] makes the HTML
// file. It lays out what others computed.
package handout

import (
	"fmt"
	"strings"

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
	rack, err := i.Rack()
	if err != nil {
		return err
	}
	ask, err := asked(i)
	if err != nil {
		return err
	}
	var choices []string
	if i.Drill != nil {
		for _, c := range i.Drill.Choices {
			choices = append(choices, wording.DrillChoice(c))
		}
	}
	d.Question(ask, func() {
		if text := where(i); text != "" {
			d.Caption(text)
		}
		sheet.AddStrip(d, sheet.Tiles(rack), tileMM)
		if i.Note != "" {
			d.Remark(i.Note)
		}
		switch {
		case choices != nil:
			d.Choices(choices...)
			d.Paragraph("Why?")
			d.Lines(2)
		default:
			d.Paragraph("Which hands are near? What would you steer for?")
			d.Lines(2)
			if n := places(i); n > 0 {
				d.Paragraph("Write in what goes, and say why.")
				sheet.AddStrip(d, empty(n), tileMM)
			} else {
				d.Paragraph("What do you decide, and why?")
			}
			d.Lines(2)
		}
	})
	return nil
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

// where says the seat, the card and what came about before.
func where(i *lesson.Item) string {
	if i.Drill != nil {
		p := &i.Drill.Position
		text := fmt.Sprintf("Card %s; you sit %s", i.Card.Name, p.Seat.Name())
		if p.InPlay() {
			return text + "; the play is on."
		}
		return text + "." + before(&p.View)
	}
	text := fmt.Sprintf("Card %s; you sit %s", i.Exercise.Card.Name, i.Exercise.Seat.Name())
	if t, err := i.Trail(); err == nil {
		v := t.Now.View()
		return text + "." + before(&v)
	}
	return text + "."
}

// before is what was passed and came in the steps before.
func before(v *charleston.View) string {
	var b strings.Builder
	for step := charleston.FirstRight; step < v.Step; step++ {
		if gave := v.Gave[step]; gave.Len() > 0 {
			fmt.Fprintf(&b, " %s: passed %s, came %s.", strings.ToUpper(step.String()[:1])+step.String()[1:], gave.String(), v.Came[step].String())
		}
	}
	return b.String()
}

// Answers is the teacher's sheet: of drills the right answers, what the others cost and why; of exercises the nearest
// hands, and what the routes that were walked did.
func Answers(l *lesson.Lesson, paper draw.PaperSize) (*draw.Document, error) {
	d := draw.NewDocument(l.Title+": answers", l.Title+", answers. "+footer, paper, false)
	d.Heading(l.Title + ": answers")
	d.Caption("A right answer is one that the games do not show to be worse than the best by more than one percentage point. Costs are percentage points of the chance to win, with 95 % intervals.")
	for i := range l.Items {
		item := &l.Items[i]
		ask, err := asked(item)
		if err != nil {
			return nil, fmt.Errorf("item %d: %w", i+1, err)
		}
		rack, err := item.Rack()
		if err != nil {
			return nil, fmt.Errorf("item %d: %w", i+1, err)
		}
		var inner error
		d.Question(ask, func() {
			sheet.AddStrip(d, sheet.Tiles(rack), smallMM)
			if item.Drill != nil {
				inner = drillAnswer(d, item)
			} else {
				inner = exerciseAnswer(d, item, rack)
			}
		})
		if inner != nil {
			return nil, fmt.Errorf("item %d: %w", i+1, inner)
		}
	}
	return d, nil
}

func drillAnswer(d *draw.Document, i *lesson.Item) error {
	reasons, err := i.Drill.Reasons(i.Card)
	if err != nil {
		return err
	}
	d.Paragraph(fmt.Sprintf("%s. %d games a choice, seed %d.", capital(wording.DrillKind(i.Drill.Kind)), i.Drill.Key.Games, i.Drill.Key.Seed))
	t := draw.Table{Head: []string{"", "Answer", "Cost, percentage points", "Why"}, Right: []int{2}}
	for _, n := range byCost(&i.Drill.Key) {
		a := &i.Drill.Key.Answers[n]
		mark := ""
		if a.Right {
			mark = "right"
		}
		t.Rows = append(t.Rows, []string{mark, wording.DrillChoice(i.Drill.Choices[n]), costText(a), wording.DrillReason(&reasons[n]).Text()})
	}
	d.Table(t)
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
	d.Lines(4)
	return d
}

func capital(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToUpper(text[:1]) + text[1:]
}
