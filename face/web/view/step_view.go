package view

import (
	"fmt"
	"html/template"
	"slices"
	"strings"

	"secondpass/engine/fit"
	"secondpass/engine/player"
	"secondpass/exercise"
	"secondpass/paper/sheet"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// rung is one step on the line of steps. One that was taken leads to its page.
type rung struct {
	Name, State, Path string
	step              charleston.Step
}

// StepPage is the decision that is due, and what helps to take it.
type StepPage struct {
	ID    int64
	Name  string // of the exercise
	Route RouteHead
	// At is the number of decisions so far: a form that was made for another number is refused.
	At     int
	Routes []RouteHead
	Ladder []rung
	// Phase is pass, give, vote, name or over.
	Phase, Heading, Note string
	Direction            string
	Picks                []Pick
	// Need is the number of tiles to choose; with Blind, as many fewer as are handed on unseen.
	Need     int
	Blind    bool
	BlindNow int
	Entered  bool
	Came     string
	Keys     [][]Pick // to tap what came
	// Refusal is why what was sent is refused, RefusalAt the field that caused it: tile, came, or "" for the whole form.
	Refusal, RefusalAt string
	Last               *lastMove
	Marks              Marks
	Standing           standing
	// Planned are the hands of the plan, Near the nearest others.
	Planned, Near []NearHand
	Table         bool
	CanDeal       bool // East may declare the hand it was dealt
	// Sections can be aimed at. Remark is that of the step.
	Back      Back
	Sections  []string
	Remark    Remark
	HasPlan   bool
	Questions string
	Rack      template.HTML
}

// RouteHead is a route's name and how it is drawn: Badge is its letter.
type RouteHead struct {
	Name, Badge, Class, Aim, Path string
	Here                          bool
}

// classes are the three looks of a route; from the fourth letter on they begin again.
var classes = [...]string{"ra", "rb", "rc"}

// ClassesOf is how routes are drawn side by side, by their places.
func ClassesOf(e *exercise.Exercise, shown []int) []string {
	var routes []*exercise.Route
	for _, i := range shown {
		routes = append(routes, e.Routes[i])
	}
	var all []string
	for _, look := range sheet.Looks(routes) {
		all = append(all, classes[look])
	}
	return all
}

func HeadOf(id int64, e *exercise.Exercise, i int) RouteHead {
	r := e.Routes[i]
	return RouteHead{Name: r.Name, Badge: r.ID, Class: classes[sheet.Looks([]*exercise.Route{r})[0]], Aim: exercise.AimText(r.Aim()), Path: StepPath(id, r.ID)}
}

// HeadsOf is all routes, with the one of a letter marked.
func HeadsOf(id int64, e *exercise.Exercise, here string) (heads []RouteHead, current RouteHead) {
	for i, r := range e.Routes {
		h := HeadOf(id, e, i)
		h.Here = r.ID == here
		if h.Here {
			current = h
		}
		heads = append(heads, h)
	}
	return heads, current
}

// lastMove is what was just done and what came, with the way to its advice.
type lastMove struct {
	Step         string
	Passed, Came template.HTML
	Text         string
	Advice       string
	CameText     string
	Unseen       bool
}

// set marks what is spare: for the plan where there is one, else for the nearest hand.
func (m *Marks) set(a *exercise.Account) {
	plan := a.Nearest
	m.Spare, m.SpareFor = a.Spare(), plan.OnCard().Name+", the nearest hand"
	if a.Aimed {
		plan, m.SpareFor = a.Plan[0], "the plan"
	}
	m.Plan = &plan
}

// cameLast is what came at the last step that brought tiles.
func cameLast(t *exercise.Trail) tile.Rack {
	for i := len(t.Snapshots) - 1; i >= 0; i-- {
		if d := &t.Snapshots[i].Decision; d.Came.Len() > 0 {
			return d.Came.Rack()
		}
	}
	return tile.Rack{}
}

// standing is how the rack stands besides what is spare; Gaps are those of the nearest hand of the card.
type standing struct {
	Options   int
	Multiples string
	Gaps      string
	// Changed is how many tiles were spare before, where that is another number.
	Changed string
}

// ladder is the steps of the passing with what is done and due.
func ladder(x Exercise, route *exercise.Route, t *exercise.Trail) []rung {
	var rungs []rung
	first := map[charleston.Step]int{}
	stopped := false
	for i, s := range t.Snapshots {
		if _, seen := first[s.Decision.Step]; !seen {
			first[s.Decision.Step] = i
		}
		stopped = stopped || s.Decision.Phase == charleston.Voting && (s.Decision.Stop || s.Decision.OthersStop)
	}
	for step := charleston.FirstRight; step <= charleston.Courtesy; step++ {
		second := step > charleston.FirstLeft && step < charleston.Courtesy
		if second && (!x.House.SecondCharleston || stopped) || step == charleston.Courtesy && !x.House.Courtesy {
			continue
		}
		r := rung{Name: wording.Capital(step.String()), step: step}
		at, done := first[step]
		if done {
			r.State, r.Path = "done", MomentPath(x.ID, route.ID, at)
		}
		if t.Now.Phase() != charleston.Over && t.Now.Step() == step {
			r.State = "now"
		}
		rungs = append(rungs, r)
	}
	return rungs
}

// Due says what the step asks for.
func (p *StepPage) Due(now *charleston.Solo) {
	step := now.Step()
	p.Direction = step.Direction().String()
	where := "to the " + p.Direction
	if step.Direction() == charleston.Across {
		where = "across"
	}
	v := now.View()
	switch now.Phase() {
	case charleston.Passing:
		p.Phase, p.Need, p.Heading = "pass", charleston.PassTiles, "Three "+where
		p.Questions = "Your three first; the judgement opens afterwards."
		if p.Blind = v.Rules.Blind && step.BlindAllowed(); p.Blind {
			p.Note = "Blind is allowed here: up to three of the tiles that come may go on unseen."
		}
	case charleston.Voting:
		p.Phase, p.Heading = "vote", "Stop here, or go on?"
		p.Note = "Any seat may stop now; the second Charleston then falls away. Once begun it is finished."
		p.Questions = "Your vote first; the judgement opens afterwards."
	case charleston.Naming:
		p.Phase, p.Heading = "name", "Courtesy: how many across?"
		p.Note = "Each of the two names 0 to 3; the smaller number is exchanged."
		p.Questions = "Your number first; the judgement opens afterwards."
	case charleston.Giving:
		p.Phase, p.Need = "give", now.Exchange()
		p.Heading = "Courtesy: " + wording.Numeral(p.Need) + " across"
		p.Questions = "Your tiles first; the judgement opens afterwards."
	default:
		p.Phase, p.Heading = "over", "The passing is over"
	}
}

// lastOf is a decision that was taken, as tiles.
func lastOf(id int64, route string, n int, s *exercise.Snapshot) *lastMove {
	d := &s.Decision
	l := &lastMove{Step: wording.Capital(d.Step.String()), Text: wording.Decision(*d), Advice: AdvicePath(id, route, n)}
	if d.Phase == charleston.Passing || d.Phase == charleston.Giving {
		l.Text = ""
		l.Passed = PassedStrip("Passed "+d.Step.Direction().String(), d.Own, BlindOf(d), d.Step.Direction())
		l.Came = CameStrip("Came", d.Came)
	}
	return l
}

// BlindOf is the number of tiles that a pass handed on unseen.
func BlindOf(d *exercise.Decision) int {
	if d.Phase == charleston.Passing {
		return d.Count
	}
	return 0
}

// nearest hands shown beside the rack, besides those of the plan.
const nearShown = 4

// near fills in how the rack stands and the nearest hands, with what changed since the step before.
func (p *StepPage) near(x *fit.Index, route *exercise.Route, t *exercise.Trail) error {
	j, err := exercise.NewAccountant(x.Card(), route.Aim())
	if err != nil {
		return err
	}
	rack := t.Now.Rack()
	before := rack
	if n := len(t.Snapshots); n > 0 {
		before = t.Snapshots[n-1].Before
	}
	was := awayOf(x.Hands(before))
	old := j.Account(before)
	var oldMarks Marks
	oldMarks.set(&old)
	oldSpares := oldMarks.Spare.Size()
	a := j.Account(rack)
	p.Standing = standingOf(&a)
	p.Marks.set(&a)
	if n := p.Marks.Spare.Size(); before != rack && n != oldSpares {
		p.Standing.Changed = fmt.Sprintf("was %d", oldSpares)
	}
	pinned, err := exercise.Hands(x.Card(), route.Aim())
	if err != nil {
		return err
	}
	if len(route.Aim()) == 0 {
		pinned = nil
	}
	all := x.Hands(rack)
	for i := range all {
		inPlan := slices.Contains(pinned, all[i].Hand)
		if len(p.Near) < nearShown || inPlan && len(p.Near) < nearShown+player.PlanHands {
			p.Near = append(p.Near, NearOf(&all[i], was, inPlan, len(p.Near)+1))
		}
	}
	slices.SortStableFunc(p.Near, func(a, b NearHand) int { return Count(b.Pinned) - Count(a.Pinned) })
	for i := range p.Near {
		p.Near[i].Number = i + 1
	}
	others := slices.IndexFunc(p.Near, func(n NearHand) bool { return !n.Pinned })
	if others < 0 {
		others = len(p.Near)
	}
	for i := range p.Near {
		p.Near[i].pinnable(p.Route.Path, route.Aim())
	}
	p.Planned, p.Near = p.Near[:others], p.Near[others:]
	p.Rack = MarkedStrip("Your rack", rack, &p.Marks)
	return nil
}

func awayOf(hands []fit.Reading) map[int]int {
	away := map[int]int{}
	for i := range hands {
		away[hands[i].Hand] = hands[i].Away
	}
	return away
}

func standingOf(a *exercise.Account) standing {
	return standing{Options: a.Options, Multiples: wording.OrNone(wording.Multiples(a.Rack)), Gaps: wording.OrNone(tile.List(a.Nearest.Gaps()))}
}

func NearOf(r *fit.Reading, was map[int]int, pinned bool, number int) NearHand {
	h := r.OnCard()
	n := NearHand{Name: h.Name, Points: h.Points, Away: r.Away, Tiles: HandStrip(r), Pinned: pinned, Number: number, Needs: needs(r)}
	if h.Concealed {
		n.How = "concealed"
	}
	if before, ok := was[r.Hand]; ok && before != r.Away {
		n.Changed = fmt.Sprintf("was %d", before)
	}
	return n
}

// NearHand is one hand of the card beside the rack.
type NearHand struct {
	Name, How, Changed string
	Points, Away       int
	Tiles              template.HTML
	Needs              string
	Pinned             bool
	Number             int
	// PinPath is where it is pinned, "" where it cannot be; Instead says that it can take the place of another plan, Within that it
	// is in the plan with its section, not by itself.
	PinPath         string
	Instead, Within bool
}

// pinnable says what can be done with the plan of a route by this hand.
func (n *NearHand) pinnable(route string, plan []string) {
	n.PinPath, n.Instead = route+"/pin", len(plan) > 0 && !n.Pinned
	n.Within = n.Pinned && !slices.Contains(plan, n.Name)
}

// needs says what a hand lacks, what is spare for it, and what the jokers do.
func needs(r *fit.Reading) string {
	var parts []string
	if r.Missing.Size() > 0 {
		parts = append(parts, "missing "+r.Missing.String())
	}
	if r.Spare.Size() > 0 {
		parts = append(parts, "spare "+r.Spare.String())
	}
	text := wording.Capital(strings.Join(parts, "; ")) + "."
	if len(parts) == 0 {
		text = "Complete."
	}
	switch r.JokersUsed {
	case 0:
	case 1:
		text += " The joker fills one."
	default:
		text += fmt.Sprintf(" Jokers fill %s.", wording.Numeral(r.JokersUsed))
	}
	return text
}

// NewStepPage is the decision that is due on a route; x is the fit index of the exercise's card.
func NewStepPage(x Exercise, index *fit.Index, route *exercise.Route, t *exercise.Trail) (*StepPage, error) {
	p := &StepPage{ID: x.ID, Name: x.Exercise.Name, At: route.Len(), Entered: x.Incoming == exercise.EnteredPasses,
		Table: x.Incoming == exercise.TablePasses, HasPlan: len(route.Aim()) > 0, Ladder: ladder(x, route, t)}
	p.Routes, p.Route = HeadsOf(x.ID, x.Exercise, route.ID)
	p.Due(&t.Now)
	if p.Entered && p.Need > 0 {
		p.Keys = Keypad(tile.Joker) // which is never passed
	}
	p.Marks.Came = cameLast(t)
	p.CanDeal = p.Table && x.Seat == charleston.East && route.Len() == 0 && index.Hands(x.Deal)[0].Away == 0
	p.Sections, p.Remark = x.Card.Sections, RemarkOf(x, route, route.Len())
	p.Back = BackOf(x, route)
	if n := len(t.Snapshots); n > 0 {
		p.Last = lastOf(x.ID, route.ID, n-1, &t.Snapshots[n-1])
	}
	return p, p.near(index, route, t)
}
