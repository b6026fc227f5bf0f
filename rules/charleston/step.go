package charleston

import (
	"fmt"
	"secondpass/rules/house"
	"strings"
)

// Seat is a place at the table, in the order of play: East, South, West, North.
type Seat uint8

// The seats. East is the dealer and holds 14 tiles.
const (
	East Seat = iota
	South
	West
	North

	// Seats is the number of seats.
	Seats = 4
)

// String is the seat's letter: E, S, W or N.
func (s Seat) String() string { return "ESWN"[s : s+1] }

// Name is the seat in words.
func (s Seat) Name() string { return [Seats]string{"East", "South", "West", "North"}[s] }

// ParseSeat reads a seat's letter or name, upper or lower case.
func ParseSeat(text string) (Seat, error) {
	for s := range Seat(Seats) {
		if strings.EqualFold(text, s.String()) || strings.EqualFold(text, s.Name()) {
			return s, nil
		}
	}
	return 0, fmt.Errorf("%q is no seat; E, S, W and N are", text)
}

// DealtTiles is the number of tiles the seat is dealt: 14 for East, 13 for the others.
func (s Seat) DealtTiles() int {
	if s == East {
		return 14
	}
	return 13
}

// Direction is where a pass goes: so many seats further in the order of play.
type Direction uint8

// The directions. Right of East is South, across is West, left is North.
const (
	Right Direction = 1 + iota
	Across
	Left
)

func (d Direction) String() string { return [...]string{"", "right", "across", "left"}[d] }

// To is the seat that a pass in this direction reaches.
func (d Direction) To(from Seat) Seat { return (from + Seat(d)) % Seats }

// From is the seat whose pass in this direction reaches to.
func (d Direction) From(to Seat) Seat { return (to + Seats - Seat(d)) % Seats }

// Step is one of the seven steps, counted from 1; 0 is no step.
type Step uint8

// The steps in their order.
const (
	FirstRight Step = 1 + iota
	FirstAcross
	FirstLeft
	SecondLeft
	SecondAcross
	LastRight
	Courtesy

	// Steps is one more than the last step: the length of an array indexed by Step.
	Steps = 8
)

var stepNames = [Steps]string{"", "first right", "first across", "first left",
	"second left", "second across", "last right", "courtesy"}

// String is the step in words, as in "first right".
func (s Step) String() string { return stepNames[s] }

// Key is the step's name in machine-readable output, as in "first-right".
func (s Step) Key() string { return strings.ReplaceAll(stepNames[s], " ", "-") }

// ParseStep reads a step's name with blanks or hyphens.
func ParseStep(text string) (Step, error) {
	for s := FirstRight; s < Steps; s++ {
		if strings.EqualFold(strings.ReplaceAll(text, "-", " "), s.String()) {
			return s, nil
		}
	}
	return 0, fmt.Errorf("%q is no step; the steps are first-right, first-across, first-left, second-left, second-across, last-right and courtesy", text)
}

// Direction is where the tiles of the step go.
func (s Step) Direction() Direction {
	return [Steps]Direction{0, Right, Across, Left, Left, Across, Right, Across}[s]
}

// BlindAllowed says whether the rules know a blind pass at this step: first left and last right.
func (s Step) BlindAllowed() bool { return s == FirstLeft || s == LastRight }

// Phase is what a step waits for.
type Phase uint8

const (
	// Passing: three tiles, some of them blind where that is allowed.
	Passing Phase = 1 + iota
	// Voting: after the first left, whether to stop or go on to the second Charleston.
	Voting
	// Naming: the number of tiles, 0 to 3, offered at the courtesy.
	Naming
	// Giving: the tiles of the courtesy, once both numbers are known.
	Giving
	// Over: the passing is done.
	Over
)

// has says why a step is not played under the house rules, or nil.
func has(r house.Passing, step Step) error {
	switch {
	case step > FirstLeft && step < Courtesy && !r.SecondCharleston:
		return fmt.Errorf("no %s: the house rule has no second Charleston", step)
	case step == Courtesy && !r.Courtesy:
		return fmt.Errorf("no courtesy: the house rule is off")
	}
	return nil
}

// after is what follows a completed phase; stopped says how the vote went.
func after(r house.Passing, step Step, phase Phase, stopped bool) (Step, Phase) {
	end := func() (Step, Phase) {
		if r.Courtesy {
			return Courtesy, Naming
		}
		return Courtesy, Over
	}
	switch {
	case phase == Naming:
		return Courtesy, Giving
	case phase == Giving:
		return Courtesy, Over
	case phase == Voting && stopped, step == LastRight:
		return end()
	case step == FirstLeft && phase == Passing:
		if r.SecondCharleston {
			return FirstLeft, Voting
		}
		return end()
	}
	return step + 1, Passing
}
