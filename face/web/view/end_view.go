package view

import (
	"html/template"

	"secondpass/engine/fit"
	"secondpass/exercise"
	"secondpass/paper/wording"
	"secondpass/rules/tile"
)

// EndPage is where a route stands when its passing is over, before the play.
type EndPage struct {
	*StepPage
	// Marked is the rack with what is spare; Best and Plan say how it stands for the nearest hand of the card and
	// for the plan.
	Marked     template.HTML
	Best, Plan endStanding
	// Play is where the play stands that has begun, "" where it has not. PlayedOn says whence the others' tiles are.
	Play     string
	Over     bool // the play
	PlayedOn string
	Outlook  OutlookPart
}

// endStanding is a rack at the end beside a hand or a plan.
type endStanding struct {
	Of     string
	Spare  template.HTML
	Spares int
	Clean  bool
}

// NewEndPage is the end of a route's passing; t is the route replayed.
func NewEndPage(x Exercise, index *fit.Index, route *exercise.Route, t *exercise.Trail) (*EndPage, error) {
	passing := route.Upto(len(route.Decisions))
	step, err := NewStepPage(x, index, &passing, t)
	if err != nil {
		return nil, err
	}
	p := &EndPage{StepPage: step}
	p.At = route.Len()
	p.Back = BackOf(x, route)
	j, err := exercise.NewAccountant(x.Card, passing.Aim())
	if err != nil {
		return nil, err
	}
	a := j.Account(t.Now.Rack())
	p.Marks.Came = tile.Rack{} // nothing more is decided about it
	p.Marked = MarkedStrip("The rack at the end", a.Rack, &p.Marks)
	p.Best = endStanding{wording.Near(&a.Nearest), RackStrip("Spare for the nearest hand", a.SpareBest), a.SpareBest.Size(), a.CleanBest()}
	plan := "the three nearest hands"
	if p.HasPlan {
		plan = exercise.AimText(passing.Aim())
	}
	p.Plan = endStanding{plan, RackStrip("Spare for the plan", a.SparePlan), a.SparePlan.Size(), a.CleanPlan()}
	if t.Game != nil {
		p.Play, p.Over = StepPath(x.ID, route.ID), t.Game.Over()
	}
	if route.Unseen != nil || t.Game == nil {
		p.PlayedOn = wording.PlayedOn
	}
	return p, nil
}
