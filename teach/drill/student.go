package drill

import (
	"fmt"
	"time"

	"secondpass/advice"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/rules/charleston"
)

// Student is somebody who practises on this machine, known by name alone.
type Student struct {
	ID      int64     `json:"-"`
	Name    string    `json:"name"`
	Created time.Time `json:"created"`
	Rating  Rating    `json:"rating"`
}

// What a try can be about beside the kinds of drills.
const (
	// OfExercise: a decision of a whole exercise, judged by a review.
	OfExercise = "exercise"
	// OfReading: which hands or sections a rack is near.
	OfReading = "reading"
)

// Try is one answer of a student.
type Try struct {
	ID int64 `json:"-"`
	// Drill is the number of the drill in the store, 0 for other tries.
	Drill int64 `json:"drill,omitempty"`
	// Kind is that of the drill, or OfExercise or OfReading; Step is the step's key, or "play".
	Kind string `json:"kind"`
	Step string `json:"step"`
	// About names the exercise and route, or the rack that was read.
	About  string `json:"about,omitempty"`
	Answer string `json:"answer"`
	// Right says whether the answer was one of the right ones.
	Right bool `json:"right"`
	// Cost is the chance to win thrown away; N is 0 where it is not known.
	Cost stat.Interval[unit.ChanceDifference] `json:"cost"`
	// Taken is how long the decision took, Limit how long it might; 0 for no limit.
	Taken time.Duration `json:"taken"`
	Limit time.Duration `json:"limit,omitempty"`
	At    time.Time     `json:"at"`
	// Themes are what the rack was about; none where that was not kept.
	Themes []Theme `json:"themes,omitempty"`
}

// Late says whether the try came after its time limit.
func (t *Try) Late() bool { return t.Limit > 0 && t.Taken > t.Limit }

// Known says whether the try counts as known: right, and in time.
func (t *Try) Known() bool { return t.Right && !t.Late() }

// Rate is what a try of a drill moves: the ratings of student and drill, and what the scheduler knows of the two, which is
// the zero value before the first try. Only a first try says how hard a drill is: later ones tell what was remembered.
func (t *Try) Rate(student, drill Rating, m Memory) (Rating, Rating, Memory) {
	if m.Tries == 0 {
		student, drill = Meet(student, drill, t.Known())
	}
	return student, drill, m.Try(t.At, t.Known())
}

// Answered is a try of a drill: choice is the place of what was chosen.
func (d *Drill) Answered(choice int, at time.Time, taken, limit time.Duration) (Try, error) {
	if choice < 0 || choice >= len(d.Choices) {
		return Try{}, fmt.Errorf("choice %d: 1 to %d are right", choice+1, len(d.Choices))
	}
	if taken < 0 || limit < 0 {
		return Try{}, fmt.Errorf("a time below 0")
	}
	a := d.Key.Answers[choice]
	return Try{Drill: d.ID, Kind: string(d.Kind), Step: d.Position.StepKey(), Answer: d.Choices[choice].String(),
		Right: a.Right, Cost: a.Cost, Taken: taken, Limit: limit, At: at}, nil
}

// Charleston is the passing of a whole exercise, as it ended.
type Charleston struct {
	// Exercise and Route are its names.
	Exercise string `json:"exercise"`
	Route    string `json:"route"`
	// SpareBest and SparePlan are the tiles that the nearest hand, and the three nearest, do not use.
	SpareBest int       `json:"spare_best"`
	SparePlan int       `json:"spare_plan"`
	At        time.Time `json:"at"`
}

// CleanBest and CleanPlan say whether it was a clean Charleston by either measure.
func (c *Charleston) CleanBest() bool { return c.SpareBest <= exercise.CleanSpares }
func (c *Charleston) CleanPlan() bool { return c.SparePlan <= exercise.CleanSpares }

// Reviewed turns the review of a route into tries, one for each decision of the passing and the play. A decision is
// right when it is not shown to cost more than Margin. taken is the time for each decision of the route where it
// is known, else nil.
func Reviewed(rev *advice.Review, name, route string, at time.Time, taken []time.Duration) []Try {
	var tries []Try
	add := func(step, answer string, cost stat.Interval[unit.ChanceDifference]) {
		if !cost.Bounded() {
			cost = stat.Interval[unit.ChanceDifference]{} // not known
		}
		t := Try{Kind: OfExercise, Step: step, About: name + ", route " + route, Answer: answer,
			Right: cost.Low <= Margin, Cost: cost, At: at}
		if n := len(tries); n < len(taken) {
			t.Taken = taken[n]
		}
		tries = append(tries, t)
	}
	for i := range rev.Entries {
		e := &rev.Entries[i]
		add(e.Decision.Step.Key(), Choice{Action: e.Decision.Action(charleston.East)}.String(), e.Cost) // the text names no seat
	}
	for i := range rev.Play {
		add("play", rev.Play[i].Action.String(), rev.Play[i].Cost)
	}
	return tries
}

// Ended is how the passing of a route ended; ok is false where it has not.
func Ended(e *exercise.Exercise, r *exercise.Route, at time.Time) (c Charleston, ok bool, err error) {
	column, err := e.Column(r)
	if err != nil || !column.Over() {
		return c, false, err
	}
	end := column.End()
	return Charleston{e.Name, r.Name, end.SpareBest.Size(), end.SparePlan.Size(), at}, true, nil
}
