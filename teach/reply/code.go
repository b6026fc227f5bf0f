package reply

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"math/big"
	"slices"

	"secondpass/engine/player"
	"secondpass/exercise"
	"secondpass/rules/charleston"
)

// Sign is what every code begins with, so that it is found among other words.
const Sign = "2P"

const (
	// version of the way in which a route is written.
	version = 0
	// marks is the number of symbols that tell the exercise: two of a million look alike.
	marks = 4
	// mostDecisions is more decisions than a passing can have.
	mostDecisions = 16
)

// The reasons why a code is not read, besides that the rules refuse its route.
var (
	// ErrDamaged is a code in which a letter is wrong, missing or too many.
	ErrDamaged = errors.New("a letter is wrong, missing or too many; it is to be asked for again")
	// ErrOther is a whole code of another exercise.
	ErrOther = errors.New("it belongs to another exercise, card or version of the simulated players")
	// ErrVersion is a whole code that a later program has written.
	ErrVersion = errors.New("a later version of the program has written it; with that it can be read")
)

// Code is the passing of a route of an exercise, as far as it was walked, about 30 letters:
//
//	2P-7KQ3-9AXM-...
//
// Exercises with entered passes have none, since what came is in nobody else's hands.
func Code(e *exercise.Exercise, r *exercise.Route) (string, error) {
	if e.Incoming == exercise.EnteredPasses {
		return "", errors.New("where the tiles that came are typed in, nobody else can have walked the exercise; deal one with mock passes or simulated players")
	}
	trail, err := e.Replay(r)
	if err != nil {
		return "", err
	}
	digits := []digit{{len(r.Decisions), mostDecisions}}
	for _, s := range trail.Snapshots {
		d, err := chosen(&s)
		if err != nil {
			return "", err
		}
		digits = append(digits, d)
	}
	message := append([]int{version}, mark(e)...)
	message = append(message, packed(digits)...)
	if len(message)+checks > longest {
		return "", fmt.Errorf("route %s does not fit into a code", r.Name)
	}
	return Sign + "-" + spelt(sealed(message)), nil
}

// Reader reads the codes of one exercise.
type Reader struct {
	exercise *exercise.Exercise
	mark     []int
}

// NewReader is a reader of the codes of an exercise, whose own routes do not matter.
func NewReader(e *exercise.Exercise) *Reader { return &Reader{e, mark(e)} }

// Read walks the route of a code in a fresh copy of the exercise, which has no other route. Every decision is checked against
// the rules. The error is ErrDamaged, ErrOther, ErrVersion or what the rules refuse.
func (r *Reader) Read(code string) (*exercise.Exercise, error) {
	body, ok := body(code)
	if !ok {
		return nil, ErrDamaged
	}
	word := symbols(body)
	if !holds(word) || len(word) < 1+marks+1+checks {
		return nil, ErrDamaged
	}
	if word[0] != version {
		return nil, ErrVersion
	}
	message := word[1 : len(word)-checks]
	for i, symbol := range r.mark {
		if message[i] != symbol {
			return nil, ErrOther
		}
	}
	return walk(r.exercise, unpacked(message[marks:]))
}

// walk makes the decisions that a number tells, the first in its lowest digit.
func walk(e *exercise.Exercise, left *big.Int) (*exercise.Exercise, error) {
	walked := e.Fresh()
	w, err := walked.Walker(walked.Routes[0].Name)
	if err != nil {
		return nil, err
	}
	for range take(left, mostDecisions) {
		view := w.View()
		choices := view.Choices()
		if choices.Len() == 0 {
			return nil, errors.New("it goes on after the passing is over")
		}
		if _, err := w.Do(decision(choices.At(take(left, choices.Len())))); err != nil {
			return nil, err
		}
	}
	if left.Sign() != 0 {
		return nil, errors.New("it tells of more decisions than it counts")
	}
	return walked, nil
}

// decision is an action as a route takes it.
func decision(a charleston.Action) exercise.Decision {
	return exercise.Decision{Own: a.Own, Count: a.Count, Stop: a.Stop}
}

// mark tells an exercise: what is dealt and by what rules, what comes, and the card.
func mark(e *exercise.Exercise) []int {
	h := sha256.New()
	fmt.Fprintln(h, player.Fingerprint(e.Card), e.House, e.Seat, e.Deal, e.Incoming, e.Mock, e.Players, e.Hidden)
	if e.Incoming == exercise.TablePasses {
		fmt.Fprintln(h, e.Seed, player.Version)
	}
	return marked(h.Sum(nil))
}

// marked is the first symbols of a sum.
func marked(sum []byte) []int {
	n := new(big.Int).SetBytes(sum)
	symbols := make([]int, marks)
	for i := range symbols {
		symbols[i] = take(n, field)
	}
	return symbols
}

// digit is a choice of one among so many.
type digit struct{ value, of int }

// packed is digits in symbols, as many as it takes.
func packed(digits []digit) []int {
	n := new(big.Int)
	for i := len(digits) - 1; i >= 0; i-- {
		n.Mul(n, big.NewInt(int64(digits[i].of)))
		n.Add(n, big.NewInt(int64(digits[i].value)))
	}
	symbols := []int{take(n, field)}
	for n.Sign() > 0 {
		symbols = append(symbols, take(n, field))
	}
	return symbols
}

func unpacked(symbols []int) *big.Int {
	n := new(big.Int)
	for i := len(symbols) - 1; i >= 0; i-- {
		n.Mul(n, big.NewInt(int64(field)))
		n.Add(n, big.NewInt(int64(symbols[i])))
	}
	return n
}

// take divides a number and gives what remains.
func take(n *big.Int, by int) int {
	rest := new(big.Int)
	n.DivMod(n, big.NewInt(int64(by)), rest)
	return int(rest.Int64())
}

// chosen is the place of a decision among those that were legal.
func chosen(s *exercise.Snapshot) (digit, error) {
	choices := s.View.Legal()
	at := slices.Index(choices, s.Decision.Action(s.View.Seat))
	if at < 0 {
		return digit{}, fmt.Errorf("the decision at the %s is none that the rules allow", s.Decision.Step)
	}
	return digit{at, len(choices)}, nil
}
