package drill

import (
	"fmt"
	"slices"
	"strings"

	"secondpass/rules/card"
	"secondpass/rules/charleston"
)

// Filter is which drills are wanted; the zero Filter takes all.
type Filter struct {
	// Kinds are those wanted; none means all.
	Kinds []Kind `json:"kinds,omitempty"`
	// Theme is what racks are to be about; "" takes any.
	Theme Theme `json:"theme,omitempty"`
	// Step is the key of a step, or StepOfPlay; "" takes any.
	Step string `json:"step,omitempty"`
	// Difficulty is how hard drills are to be; "" takes any.
	Difficulty Difficulty `json:"difficulty,omitempty"`
}

// StepOfPlay stands in the place of a step's key in play.
const StepOfPlay = "play"

// Steps lists the keys of all steps, and StepOfPlay.
func Steps() []string {
	var keys []string
	for s := charleston.FirstRight; s < charleston.Steps; s++ {
		keys = append(keys, s.Key())
	}
	return append(keys, StepOfPlay)
}

// ParseStep reads the name of a step, with blanks or hyphens, or of the play; "" is any.
func ParseStep(text string) (string, error) {
	if text == "" || text == StepOfPlay {
		return text, nil
	}
	s, err := charleston.ParseStep(text)
	if err != nil {
		return "", fmt.Errorf("%w; %s stands for the play", err, StepOfPlay)
	}
	return s.Key(), nil
}

// Difficulty is how hard a drill is for a middle student, by its rating.
type Difficulty string

// The difficulties. The bounds are our own choice: of ten tries of a middle student six or more are right at an easy one, four or fewer
// at a hard one.
const (
	EasyDrill   Difficulty = "easy"
	MiddleDrill Difficulty = "middle"
	HardDrill   Difficulty = "hard"

	easyFrom, hardTo = 0.6, 0.4
)

// Difficulties lists all.
var Difficulties = []Difficulty{EasyDrill, MiddleDrill, HardDrill}

// ParseDifficulty reads a difficulty; "" is any.
func ParseDifficulty(text string) (Difficulty, error) {
	if d := Difficulty(text); d == "" || slices.Contains(Difficulties, d) {
		return d, nil
	}
	return "", fmt.Errorf("%q is no difficulty; easy, middle and hard are", text)
}

// Difficulty is how hard a rating is for a middle student.
func (r Rating) Difficulty() Difficulty {
	switch right := NewRating.Against(r); {
	case right >= easyFrom:
		return EasyDrill
	case right <= hardTo:
		return HardDrill
	}
	return MiddleDrill
}

// Holds says whether a drill of a card is wanted.
func (f *Filter) Holds(c *card.Card, d *Drill) bool {
	return (len(f.Kinds) == 0 || slices.Contains(f.Kinds, d.Kind)) && (f.Step == "" || f.Step == d.Position.StepKey()) &&
		(f.Difficulty == "" || f.Difficulty == d.Rating.Difficulty()) && (f.Theme == "" || d.About(c, f.Theme))
}

// Check says why no search can find such drills, or nil.
func (f *Filter) Check() error {
	_, err := f.searched()
	return err
}

// searched is the kinds that a search looks for: those wanted that are asked at the step. The error says why there are none.
func (f *Filter) searched() ([]Kind, error) {
	kinds := f.Kinds
	if len(kinds) == 0 {
		kinds = Kinds
	}
	if slices.Contains(kinds, Own) {
		return nil, fmt.Errorf("drills of the kind %s are the teacher's; no search finds them", Own)
	}
	if f.Step == "" {
		return kinds, nil
	}
	var there []Kind
	for _, k := range kinds {
		if k.asked(f.Step) {
			there = append(there, k)
		}
	}
	if len(there) == 0 {
		return nil, fmt.Errorf("no drill of these kinds is asked there: %s", strings.ReplaceAll(f.Step, "-", " "))
	}
	return there, nil
}

// asked says whether drills of the kind are asked at a step.
func (k Kind) asked(step string) bool {
	s, err := charleston.ParseStep(step)
	switch k {
	case Refusing, Taking:
		return step == StepOfPlay
	case Plans:
		return err == nil && s == charleston.FirstRight
	case Stopping:
		return err == nil && s == charleston.FirstLeft
	case Courtesy:
		return err == nil && s == charleston.Courtesy
	case Blind:
		return err == nil && s.BlindAllowed()
	case Switching:
		return err == nil && s != charleston.Courtesy && s != charleston.FirstRight
	}
	return err == nil && s != charleston.Courtesy
}
