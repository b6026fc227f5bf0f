package hall

import (
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/teach/class"
	"secondpass/teach/drill"
)

// judgedMost is how many of the class's choices are judged to the end; the rarest fall out where there are more.
const judgedMost = 40

// Case is a counted vote as it is judged: what the seat knew, and what the class chose.
type Case struct {
	Exercise *exercise.Exercise
	View     charleston.View
	// Drill is what was asked in the place of an exercise, keyed for Card; nil otherwise.
	Drill *drill.Drill
	Card  *card.Card
	// Asked are the choices to judge, the most frequent first, Actions the same as actions of the seat.
	Asked   []class.Choice
	Actions []charleston.Action
}

// Case is what a judgement of a round needs.
func (rm *Room) Case(n int) (*Case, error) {
	now := rm.Now()
	if n < 1 || n > len(now.Rounds) || !now.Rounds[n-1].Counted || now.Rounds[n-1].Lost {
		return nil, &Error{Kind: Wrong, Text: "Only a vote that is counted and can be read can be judged."}
	}
	round := now.Rounds[n-1]
	c, seat, err := rm.caseOf(round)
	if err != nil {
		return nil, err
	}
	for _, g := range round.Spread() {
		if len(c.Asked) < judgedMost {
			c.Asked = append(c.Asked, g.Choice)
			c.Actions = append(c.Actions, round.Question.Action(g.Choice, seat))
		}
	}
	return c, nil
}

// caseOf is what a round was about, and the seat that was to decide.
func (rm *Room) caseOf(round *class.Round) (*Case, charleston.Seat, error) {
	if rm.Lesson == nil {
		x, err := rm.exercise()
		if err != nil {
			return nil, 0, err
		}
		v, err := viewOf(x.Exercise, round)
		return &Case{Exercise: x.Exercise, View: v}, x.Seat, err
	}
	if round.At >= len(rm.Lesson.Items) {
		return nil, 0, &Error{Kind: Wrong, Text: "The vote cannot be judged: the lesson cannot be read."}
	}
	item := &rm.Lesson.Items[round.At]
	if item.Drill != nil {
		return &Case{Drill: item.Drill, Card: item.Card}, item.Drill.Position.Seat, nil
	}
	t, err := item.Trail()
	if err != nil {
		return nil, 0, wrong("The vote cannot be judged", err)
	}
	return &Case{Exercise: item.Exercise, View: t.Now.View()}, item.Exercise.Seat, nil
}

// viewOf is what the seat knew at a vote.
func viewOf(e *exercise.Exercise, round *class.Round) (charleston.View, error) {
	const not = "The vote cannot be judged"
	route, err := e.RouteAt(round.Route)
	if err != nil {
		return charleston.View{}, wrong(not, err)
	}
	if len(route.Decisions) < round.At {
		return charleston.View{}, &Error{Kind: Wrong, Text: not + ": route " + route.Name + " was taken back on the sheet."}
	}
	cut := route.Upto(round.At)
	t, err := e.Replay(&cut)
	if err != nil {
		return charleston.View{}, wrong(not, err)
	}
	if t.Now.Rack() != round.Question.Rack {
		return charleston.View{}, &Error{Kind: Wrong, Text: not + ": route " + route.Name + " was changed on the sheet."}
	}
	return t.Now.View(), nil
}

// BeginJudging says that a round is being judged.
func (rm *Room) BeginJudging(n int) {
	rm.change(func(s *State) { s.Judging, s.SoFar, s.Failed = n, nil, "" })
}

// ShowJudging shows the teacher what a judgement has found so far.
func (rm *Room) ShowJudging(soFar *class.Judgement) {
	rm.change(func(s *State) { s.SoFar = soFar })
}

// FailJudging ends a judgement that found nothing, and tells the teacher why; "" for one that was stopped.
func (rm *Room) FailJudging(why string) {
	rm.change(func(s *State) { s.Judging, s.SoFar, s.Failed = 0, nil, why })
}

// change makes a change that only the teacher sees and that is not kept.
func (rm *Room) change(what func(*State)) {
	rm.mu.Lock()
	defer rm.mu.Unlock()
	next := *rm.Now()
	what(&next)
	rm.publish(&next, teacher)
}

// KeepJudging ends a judgement with what it found, which the class sees once it is on the disk.
func (rm *Room) KeepJudging(n int, found *class.Judgement) error {
	rm.mu.Lock()
	defer rm.mu.Unlock()
	next := rm.draft()
	next.Judging, next.SoFar, next.Failed = 0, nil, ""
	round := next.Rounds[n-1]
	round.Judgement = found
	err := rm.keep(next, everybody, "The judgement", func() error { return rm.hall.store.SaveRound(rm.ID, round) })
	if err != nil {
		failed := *rm.Now()
		failed.Judging, failed.SoFar, failed.Failed = 0, nil, err.Error()
		rm.publish(&failed, teacher)
	}
	return err
}

// Unjudged are the rounds with answers that were not judged to the end.
func (rm *Room) Unjudged() []int {
	var due []int
	for _, r := range rm.Now().Rounds {
		if answered, _ := r.Answered(); !r.Judgement.Over() && r.Counted && answered > 0 {
			due = append(due, r.N)
		}
	}
	return due
}
