package view

import (
	"fmt"
	"html/template"
	"slices"
	"strconv"
	"strings"

	"secondpass/exercise"
	"secondpass/exercise/comparison"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
)

// SheetPage is an exercise with some of its routes as columns.
type SheetPage struct {
	ID     int64
	Name   string
	Fields []Field
	// Routes are all, Shown those side by side.
	Routes, Shown []RouteHead
	Query         string
	Rows          []sheetRow
	Compare       []compareGroup
	Many          bool     // more routes than columns of differences have room for: a difference stands in the cell of its route
	Pairs         []string // headings of the columns of differences
	Outlook       OutlookPart
	CanPlay       bool // every shown route has come to the end
	Single        bool
	Removed       []removedRoute // that can be brought back
	Lessons       []LessonName   // into which a moment can go
	Steps         [][]lessonStep // of the shown routes
}

// removedRoute is a route that was removed and can be brought back.
type removedRoute struct{ ID, Name string }

// LessonName is a lesson to choose.
type LessonName struct {
	ID    int64
	Title string
}

// lessonStep is a step of an exercise that can be asked about in a lesson.
type lessonStep struct {
	At   int
	Name string
}

// lessonSteps is the moments of a route, from the deal on.
func lessonSteps(t *exercise.Trail) []lessonStep {
	steps := []lessonStep{{0, "from the deal"}}
	for i, snap := range t.Snapshots {
		steps = append(steps, lessonStep{i + 1, "after " + wording.Step(snap.Decision.Step) + ": " + wording.Decision(snap.Decision)})
	}
	return steps
}

// paper is one way to print a sheet, as the fields of its address.
type paper struct{ Name, Query string }

// Papers are the ways to print.
func (*SheetPage) Papers() []paper {
	return []paper{{"Letter", "paper=letter"}, {"A4", "paper=a4"}, {"Letter, black", "paper=letter&colour=no"}, {"A4, black", "paper=a4&colour=no"},
		{"one page of summary, Letter", "of=summary&paper=letter"}, {"one page of summary, A4", "of=summary&paper=a4"}}
}

// Columns is how many columns the comparison has.
func (p *SheetPage) Columns() int {
	if p.Many {
		return 1 + len(p.Shown)
	}
	return 1 + len(p.Shown) + len(p.Pairs)
}

// NewSheetPage is the routes of an exercise at some places, side by side, without what is simulated of them.
func NewSheetPage(x Exercise, shown []int) (*SheetPage, error) {
	p := &SheetPage{ID: x.ID, Name: x.Exercise.Name, Fields: FieldsOf(x.ID, x.Exercise), Single: len(shown) == 1}
	var columns []exercise.Column
	for i := range x.Routes {
		h := HeadOf(x.ID, x.Exercise, i)
		h.Here = slices.Contains(shown, i)
		p.Routes = append(p.Routes, h)
	}
	for _, i := range shown {
		c, err := x.Column(x.Routes[i])
		if err != nil {
			return nil, err
		}
		columns = append(columns, c)
		p.Shown = append(p.Shown, p.Routes[i])
		p.Steps = append(p.Steps, lessonSteps(&c.Trail))
		p.Query += "," + x.Routes[i].ID
	}
	p.Query = strings.TrimPrefix(p.Query, ",")
	for _, r := range slices.Backward(x.Removed) {
		p.Removed = append(p.Removed, removedRoute{r.ID, r.Name})
	}
	for i, class := range ClassesOf(x.Exercise, shown) {
		p.Shown[i].Class = class
	}
	p.Rows = sheetRows(x, p.Shown, columns)
	p.Many = len(shown) > differing
	p.Compare = compareGroups(columns)
	p.CanPlay = true
	for i := range columns {
		p.CanPlay = p.CanPlay && columns[i].Over()
		if i > 0 {
			p.Pairs = append(p.Pairs, besides(p.Shown[i].Badge, p.Shown[0].Badge))
		}
	}
	return p, nil
}

// differing is how many routes have their differences in columns of their own.
const differing = 3

// besides heads what a route has more or less than another one.
func besides(route, other string) string { return route + " beside " + other }

// sheetRow is a step of the passing, or where the routes part.
type sheetRow struct {
	Title, Note string
	Fork, Heads bool
	Last        bool
	Cells       []sheetCell
}

// sheetCell is what one route did at a step; a cell that all routes share spans them.
type sheetCell struct {
	Class, Label       string
	Span               int
	Head               RouteHead
	Text               string
	Kept, Passed, Came template.HTML
	PassedLabel        string
	Tally              []nearWord
	// ForkAt is where a fork that keeps this step begins; -1 for none.
	ForkAt   int
	Route    string
	StepPath string
	None     bool
	// Look is the page of the step as it was. Plan is the plan pinned there, where it is another than before; Remark the
	// teacher's.
	Look, Plan, Remark string
	// Branches is how the lines look that leave here, one for each further route.
	Branches []string
}

// nearWord is a hand and how far the rack is from it.
type nearWord struct {
	Hand   string
	Away   int
	Spares int
}

// compareRow is a measure at the end of each route, and what each further one has more than the first.
type compareRow struct {
	Name, Note string
	Cells      []compareCell
	Gaps       []string
}

// GapAt is how a route stands beside the first one; "" of the first.
func (r compareRow) GapAt(i int) string {
	if i == 0 || i > len(r.Gaps) {
		return ""
	}
	return r.Gaps[i-1]
}

type compareCell struct {
	Lines []string
	Tiles template.HTML
}

// sheetRows lays the routes out by step. What all of them share stands once, down to where they part.
func sheetRows(x Exercise, heads []RouteHead, columns []exercise.Column) []sheetRow {
	common := columns[0].Route.Len()
	for i := range columns[1:] {
		common = min(common, exercise.PartsAt(columns[0].Route, columns[i+1].Route))
	}
	dealt := sheetCell{Span: len(columns), Class: "trunk", Kept: RackStrip("Dealt rack", x.Deal), Tally: sharedTally(columns, 0), ForkAt: 0, Route: heads[0].Badge, Label: "Dealt"}
	rows := []sheetRow{{Title: "Dealt", Note: wording.Plural(x.Deal.Size(), "tile"), Cells: []sheetCell{dealt}}}
	parted := len(columns) == 1
	part := func() {
		if !parted {
			parted = true
			rows = append(rows, forkRows(heads)...)
		}
	}
	if parted {
		rows[0].Cells[0].Class = heads[0].Class
	}
	for _, u := range units {
		row := sheetRow{Title: u.title(), Note: u.note()}
		shared, any := true, false
		for i := range columns {
			first, last := u.find(&columns[i].Trail)
			any = any || first >= 0
			shared = shared && first >= 0 && last < common
		}
		if !any {
			continue
		}
		if shared && len(columns) > 1 {
			cell := unitCell(&columns[0], u, x.ID, heads[0])
			cell.Span, cell.Class = len(columns), "trunk"
			if _, last := u.find(&columns[0].Trail); !u.vote {
				cell.Tally = sharedTally(columns, last+1)
			}
			row.Cells = []sheetCell{cell}
			rows = append(rows, row)
			continue
		}
		part()
		for i := range columns {
			row.Cells = append(row.Cells, unitCell(&columns[i], u, x.ID, heads[i]))
		}
		rows = append(rows, row)
	}
	part()
	return append(rows, endRow(x, heads, columns))
}

func forkRows(heads []RouteHead) []sheetRow {
	fork, names := sheetRow{Fork: true}, sheetRow{Heads: true}
	trunk := sheetCell{Span: len(heads), Class: heads[0].Class, Text: "The routes part here."}
	for _, h := range heads[1:] {
		trunk.Branches = append(trunk.Branches, h.Class)
	}
	fork.Cells = []sheetCell{trunk}
	for _, h := range heads {
		names.Cells = append(names.Cells, sheetCell{Class: h.Class, Head: h, Span: 1})
	}
	return []sheetRow{fork, names}
}

// passRow is what makes up one row: the decisions of a step, with the vote on a row of its own.
type passRow struct {
	step charleston.Step
	vote bool
}

// units are the rows of the passing in order.
var units = func() []passRow {
	var u []passRow
	for step := charleston.FirstRight; step <= charleston.Courtesy; step++ {
		u = append(u, passRow{step: step})
		if step == charleston.FirstLeft {
			u = append(u, passRow{step: step, vote: true})
		}
	}
	return u
}()

func (u passRow) title() string {
	if u.vote {
		return "Stop or go on"
	}
	return wording.Capital(fmt.Sprintf("%d %s", u.step, wording.Capital(u.step.String())))
}

func (u passRow) note() string {
	if u.step.BlindAllowed() && !u.vote {
		return "blind allowed"
	}
	return ""
}

// find is the first and the last of a route's decisions that belong to the row; -1 for none.
func (u passRow) find(t *exercise.Trail) (first, last int) {
	first, last = -1, -1
	for i, s := range t.Snapshots {
		if s.Decision.Step == u.step && (s.Decision.Phase == charleston.Voting) == u.vote {
			if first < 0 {
				first = i
			}
			last = i
		}
	}
	return first, last
}

func unitCell(c *exercise.Column, u passRow, id int64, head RouteHead) sheetCell {
	first, last := u.find(&c.Trail)
	cell := sheetCell{Class: head.Class, Span: 1, ForkAt: -1, Route: head.Badge, Label: u.title()}
	if first < 0 {
		cell.Text = missingText(c, u)
		cell.None = cell.Text == ""
		if c.Trail.Now.Phase() != charleston.Over && c.Trail.Now.Step() == u.step {
			cell.StepPath = head.Path
		}
		return cell
	}
	cell.ForkAt, cell.Look = first, MomentPath(id, c.Route.ID, first)
	for at := first; at <= last; at++ {
		note := &c.Trail.Snapshots[at].Note
		if at > 0 && !slices.Equal(note.Aim, c.Route.AimAt(at-1)) {
			cell.Plan = exercise.AimText(note.Aim)
		}
		cell.Remark = strings.TrimSpace(cell.Remark + " " + note.Remark)
	}
	for _, s := range c.Trail.Snapshots[first : last+1] {
		d := &s.Decision
		switch d.Phase {
		case charleston.Passing, charleston.Giving:
			cell.Kept = RackStrip("Kept", s.Before.Minus(d.Own.Rack()))
			cell.PassedLabel = "passed " + u.step.Direction().String()
			if n := BlindOf(d); n > 0 {
				cell.PassedLabel += ", " + wording.Numeral(n) + " unseen"
			}
			cell.Passed = PassedStrip(cell.PassedLabel, d.Own, BlindOf(d), u.step.Direction())
			if d.Came.Len() > 0 {
				cell.Came = CameStrip("Came", d.Came)
			}
		default:
			cell.Text = wording.Capital(wording.Decision(*d)) + "."
		}
	}
	if !u.vote {
		cell.Tally = tally(&c.Accounts[last+1])
	}
	return cell
}

// missingText says why a route has nothing at a step.
func missingText(c *exercise.Column, u passRow) string {
	for _, s := range c.Trail.Snapshots {
		if s.Decision.Phase == charleston.Voting && (s.Decision.Stop || s.Decision.OthersStop) && u.step > charleston.FirstLeft && u.step < charleston.Courtesy {
			if u.step == charleston.SecondLeft {
				return "Stopped: the second Charleston falls away."
			}
			return ""
		}
	}
	if c.Trail.Now.Phase() != charleston.Over && c.Trail.Now.Step() == u.step {
		return "Due now."
	}
	return ""
}

// sharedTally is what stands at a step that routes share: the nearest hand once, and the plan of each route.
func sharedTally(columns []exercise.Column, at int) []nearWord {
	if len(columns) == 1 {
		return tally(&columns[0].Accounts[at])
	}
	words := tally(&columns[0].Accounts[at])[:1]
	for i := range columns {
		a := &columns[i].Accounts[at]
		if !a.Aimed {
			continue
		}
		r := &a.Plan[0]
		hand := ", " + r.OnCard().Name
		if n := slices.IndexFunc(words[1:], func(w nearWord) bool { return strings.HasSuffix(w.Hand, hand) }); n >= 0 {
			words[1+n].Hand = strings.TrimSuffix(words[1+n].Hand, hand) + " and " + columns[i].Route.ID + hand
			continue
		}
		words = append(words, nearWord{"plan of " + columns[i].Route.ID + hand, r.Away, r.Spare.Size()})
	}
	return words
}

// tally is the nearest hand of the card and, of a route with a plan, the nearest of the plan.
func tally(a *exercise.Account) []nearWord {
	words := []nearWord{{a.Nearest.OnCard().Name, a.Nearest.Away, a.Nearest.Spare.Size()}}
	if r := a.PlanApart(); r != nil {
		words = append(words, nearWord{"plan, " + r.OnCard().Name, r.Away, r.Spare.Size()})
	}
	return words
}

func endRow(x Exercise, heads []RouteHead, columns []exercise.Column) sheetRow {
	row := sheetRow{Title: "At the end", Note: "ring: spare for the plan, else the nearest hand", Last: true}
	if len(columns) == 1 && !columns[0].Over() {
		row.Title = "Now"
	}
	for i := range columns {
		c := &columns[i]
		cell := sheetCell{Class: heads[i].Class, Span: 1, ForkAt: c.Route.Len(), Route: heads[i].Badge, Label: "the end", StepPath: heads[i].Path}
		cell.Remark = c.Route.Note(c.Route.Len()).Remark
		cell.Kept = SpareStrip("Rack of route "+heads[i].Badge, c.Trail.Now.Rack(), c.End().Spare())
		if !c.Over() {
			cell.Text = "Not at the end yet."
		}
		if g := c.Trail.Game; g != nil {
			cell.Text = "The play is on."
			if g.Over() {
				cell.Text = Minus(wording.End(x.Exercise, g))
			}
		}
		row.Cells = append(row.Cells, cell)
	}
	return row
}

// compareGroup is the measures of one part of the account.
type compareGroup struct {
	Title string
	Rows  []compareRow
}

// compareGroups sets the ends of the routes side by side, what belongs together under one head.
func compareGroups(columns []exercise.Column) []compareGroup {
	groups := make([]compareGroup, len(comparison.Parts))
	first := columns[0].Route.ID
	for _, r := range comparison.AtEnd(columns) {
		row := compareRow{Name: r.Label, Note: r.Note}
		for i := range r.Values {
			row.Cells = append(row.Cells, compareCellOf(r.Measure, &r.Values[i]))
			if i == 0 {
				continue
			}
			gap, id := "", columns[i].Route.ID
			if more, ok := r.Compared(i); ok {
				gap = wording.Beside(r.Measure, id, first, more)
			} else if a, b := r.Values[0].Clean, r.Values[i].Clean; a != nil && b != nil {
				gap = wording.Verdicts("clean", id, first, *b, *a)
			}
			row.Gaps = append(row.Gaps, gap)
		}
		at := slices.Index(comparison.Parts, r.Part)
		groups[at].Title = wording.Capital(string(r.Part))
		groups[at].Rows = append(groups[at].Rows, row)
	}
	return groups
}

// compareCellOf is a value in words; tiles that are counted are drawn.
func compareCellOf(m *comparison.Measure, v *comparison.Value) compareCell {
	switch {
	case v.None():
		return compareCell{Lines: []string{"the passing goes on"}}
	case v.HasTiles && m.Less != "" && v.Tiles.Size() > 0:
		return compareCell{Lines: []string{strconv.Itoa(v.Tiles.Size())}, Tiles: RackStrip(m.Label+" "+m.Note, v.Tiles)}
	case v.Clean != nil:
		return compareCell{Lines: []string{map[bool]string{true: "✓ ", false: "– "}[*v.Clean] + wording.Measured(m, v)[0]}}
	}
	return compareCell{Lines: wording.Measured(m, v)}
}
