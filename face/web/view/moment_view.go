package view

import (
	"fmt"
	"html/template"
	"strconv"

	"secondpass/advice"
	"secondpass/engine/fit"
	"secondpass/exercise"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/work/queue"
)

// MomentPage is one step of a route as it was: what was held and known then, what was decided and what came.
type MomentPage struct {
	*StepPage
	// Of is the number of decisions of the passing, Before and Next the steps beside this one; "" where there is none.
	Of           int
	Before, Next string
	// Passed and Came are what was decided, or Text is that in words; After is the rack then.
	Passed, Came, After template.HTML
	Text                string
	// Marked is the rack before, with what had come and what was spare then.
	Marked template.HTML
	Plan   string
	Remark Remark
	// Advice is what was asked for there, Asked whether it was.
	Advice advicePart
	Asked  bool
	// Mend are the fields of what was typed in; nil where nothing can be mended.
	Mend    []MendField
	Mended  []string
	Picture string
	Lesson  LessonChoice
}

// Remark is the teacher's remark at a moment.
type Remark struct {
	Path, Text, Refusal string
	At                  int
}

// MendField is one thing that was typed in at a step.
type MendField struct{ Name, Label, Value, Hint string }

// LessonChoice is where the moment can be put into a lesson.
type LessonChoice struct {
	Exercise int64
	Route    string
	At       int
	Lessons  []LessonName
}

// MomentPath is the page of a route as it stood after its first decisions.
func MomentPath(id int64, route string, at int) string {
	return StepPath(id, route) + "/steps/" + strconv.Itoa(at)
}

// NewMomentPage is the step number at, from 0, of a route's passing; t is the whole route replayed.
func NewMomentPage(x Exercise, index *fit.Index, route *exercise.Route, t *exercise.Trail, at int) (*MomentPage, error) {
	cut := route.Upto(at)
	then, err := x.Replay(&cut)
	if err != nil {
		return nil, err
	}
	step, err := NewStepPage(x, index, &cut, &then)
	if err != nil {
		return nil, err
	}
	p := &MomentPage{StepPage: step, Of: len(t.Snapshots), Plan: exercise.AimText(cut.Aim()), Remark: RemarkOf(x, route, at)}
	p.Routes, p.Route = HeadsOf(x.ID, x.Exercise, route.ID)
	p.Ladder = ladderAt(x, route, t, at)
	if at > 0 {
		p.Before = MomentPath(x.ID, route.ID, at-1)
	}
	p.Next = MomentPath(x.ID, route.ID, at+1)
	if at+1 == p.Of {
		p.Next = EndPath(x.ID, route, t)
	}
	snap := &t.Snapshots[at]
	l := lastOf(x.ID, route.ID, at, snap)
	p.Passed, p.Came, p.Text = l.Passed, l.Came, wording.Capital(l.Text)
	p.After = RackStrip("The rack after it", snap.After)
	p.Marked = MarkedStrip("The rack before it", snap.Before, &p.Marks)
	if kept := snap.Note.Advice; kept != nil {
		m := &Moment{Exercise: x, Route: route, At: at, Trail: then}
		c := route.Choice(at)
		m.Taken = &c
		p.Advice, p.Asked = NewAdvicePart(m, RecalledAdvice(m)), true
	}
	if x.Incoming == exercise.EnteredPasses {
		p.Mend = mendFields(x.Exercise, snap, at)
	}
	if snap.Decision.Own.Len()+snap.Decision.Came.Len() > 0 {
		p.Picture = StepPath(x.ID, route.ID) + "/picture?at=" + strconv.Itoa(at)
	}
	p.Lesson = LessonChoice{Exercise: x.ID, Route: route.Name, At: at}
	return p, nil
}

// EndPath is where a route stands at the end of its passing, or where it goes on.
func EndPath(id int64, route *exercise.Route, t *exercise.Trail) string {
	if t.Now.Phase() == charleston.Over {
		return StepPath(id, route.ID) + "/end"
	}
	return StepPath(id, route.ID)
}

// RemarkOf is the remark at a moment of a route.
func RemarkOf(x Exercise, route *exercise.Route, at int) Remark {
	return Remark{Path: StepPath(x.ID, route.ID) + "/remark", At: at, Text: route.Note(at).Remark}
}

// RecalledAdvice is the advice that a route keeps of a moment, as a simulation that stands; nothing where it keeps none.
func RecalledAdvice(m *Moment) queue.Shown {
	kept := m.Route.Note(m.At).Advice
	switch {
	case kept == nil:
		return queue.Shown{}
	case m.Trail.Game != nil:
		return queue.Shown{State: queue.Stopped, Data: advice.RecallPlay(kept)}
	}
	return queue.Shown{State: queue.Stopped, Data: advice.Recall(m.Exercise.Card, m.Trail.Now.View(), kept)}
}

// ladderAt is the steps of a route with the one that is looked at; each taken leads to its page.
func ladderAt(x Exercise, route *exercise.Route, t *exercise.Trail, at int) []rung {
	rungs := ladder(x, route, t)
	for i := range rungs {
		if rungs[i].State == "now" {
			rungs[i].State = ""
			rungs[i].Path = StepPath(x.ID, route.ID)
		}
		if rungs[i].step == t.Snapshots[at].Decision.Step {
			rungs[i].State = "now"
		}
	}
	return rungs
}

// mendFields are the fields of what was typed in at a step.
func mendFields(e *exercise.Exercise, s *exercise.Snapshot, at int) []MendField {
	d := &s.Decision
	var fields []MendField
	if at == 0 {
		fields = append(fields, MendField{"deal", "The rack that was dealt", e.Deal.String(), "13 tiles, or 14 for the dealer"})
	}
	number := func(name, label string, n int) {
		fields = append(fields, MendField{name, label, strconv.Itoa(n), "0 to 3"})
	}
	switch d.Phase {
	case charleston.Passing:
		fields = append(fields, MendField{"own", "What was passed", d.Own.String(), "as in 3b 7c N"})
		if s.View.Rules.Blind && d.Step.BlindAllowed() {
			number("blind", "Passed on unseen", d.Count)
		}
		fields = append(fields, MendField{"came", "What came", d.Came.String(), "as in 3b 7c N"})
	case charleston.Voting:
		answer := "go"
		switch {
		case d.Stop:
			answer = "stop"
		case d.OthersStop:
			answer = "another stops"
		}
		fields = append(fields, MendField{"vote", "Stop or go on", answer, "go, stop or another stops"})
	case charleston.Naming:
		number("count", "You offered", d.Count)
		number("exchanged", "Exchanged", d.Exchanged)
	case charleston.Giving:
		fields = append(fields, MendField{"own", "What was given", d.Own.String(), "as in 3b 7c"}, MendField{"came", "What came", d.Came.String(), "as in 3b 7c"})
	}
	return fields
}

// Title is the page's heading: the step and what was due.
func (p *MomentPage) Title() string { return fmt.Sprintf("Step %d: %s", p.At+1, p.Heading) }
