package player

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// timed is a rule on the passing that holds at some steps, or for some racks, alone.
type timed struct {
	word  string
	rules Rules
	// steps has a bit for each step at which it holds.
	steps uint16
	// mark, when not nil, is what the rack at the decision is to have: from low to high of it.
	mark      *mark
	low, high int
}

// mark is something of a rack that a rule can hang on.
type mark struct {
	name string
	of   func(b *bound, rack *tile.Rack) int
}

var marks = []mark{
	{"jokers", func(_ *bound, rack *tile.Rack) int { return int(rack[tile.Joker]) }},
	{"pairs", func(_ *bound, rack *tile.Rack) int { return pairsOf(rack) }},
	{"away", func(b *bound, rack *tile.Rack) int {
		b.near.held = holding{rack: *rack}
		b.near.count()
		return b.near.away
	}},
	{"spare", func(b *bound, rack *tile.Rack) int { return b.near.spares(*rack) }},
}

// pairsOf is the number of pairs of natural tiles: of each kind half the tiles, rounded down.
func pairsOf(rack *tile.Rack) (n int) {
	for k := range tile.Joker {
		n += int(rack[k] / 2)
	}
	return n
}

const (
	allSteps  = 1<<charleston.Steps - 1
	mostOfAny = 14 // no rack has more of anything
	whenRight = `right would be, after a rule on the passing, at STEP, with / between several, or when jokers|pairs|away|spare N or N..M, or both, as in "no-pairs at first-right when pairs 1"`
)

// readTimed reads a rule with the steps, the racks or both for which it holds; ok is false where it says neither.
func readTimed(word string) (t timed, ok bool, err error) {
	rule, when, hasWhen := strings.Cut(word, " when ")
	rule, at, hasAt := strings.Cut(rule, " at ")
	if !hasWhen && !hasAt {
		return t, false, nil
	}
	t = timed{word: word, steps: allSteps, high: mostOfAny}
	if err := t.rules.Set(strings.TrimSpace(rule)); err != nil {
		return t, true, err
	}
	if hasAt {
		if err := t.readSteps(at); err != nil {
			return t, true, err
		}
	}
	if hasWhen {
		if err := t.readMark(when); err != nil {
			return t, true, err
		}
	}
	return t, true, t.check()
}

func (t *timed) readSteps(text string) error {
	t.steps = 0
	for name := range strings.SplitSeq(text, "/") {
		step, err := charleston.ParseStep(strings.TrimSpace(name))
		if err != nil {
			return fmt.Errorf("the rule %s: %w", t.word, err)
		}
		t.steps |= 1 << step
	}
	return nil
}

func (t *timed) readMark(text string) error {
	name, numbers, _ := strings.Cut(strings.TrimSpace(text), " ")
	low, high, isRange := strings.Cut(strings.TrimSpace(numbers), "..")
	if !isRange {
		high = low
	}
	var err, err2 error
	t.low, err = strconv.Atoi(low)
	t.high, err2 = strconv.Atoi(high)
	for i := range marks {
		if marks[i].name == name {
			t.mark = &marks[i]
		}
	}
	if t.mark == nil || errors.Join(err, err2) != nil || t.low < 0 || t.high < t.low || t.high > mostOfAny {
		return fmt.Errorf("the rule %s: found %q; %s", t.word, text, whenRight)
	}
	return nil
}

// check says why a rule cannot hang on steps or racks, or holds where nothing asks for it, or nil.
func (t *timed) check() error {
	asked, where := uint16(0), ""
	switch r := &t.rules; {
	case r.JokerBait || r.SpoilOneIn > 0:
		return fmt.Errorf("the rule %s: it is not about one decision of the passing; %s", t.word, whenRight)
	case r.Stop > 0:
		asked, where = 1<<charleston.FirstLeft, "the vote is at first-left"
	case r.FixedCourtesy:
		asked, where = 1<<charleston.Courtesy, "tiles are offered at the courtesy"
	case r.Blind > 0:
		for step := charleston.FirstRight; step < charleston.Steps; step++ {
			if step.BlindAllowed() {
				asked |= 1 << step
			}
		}
		where = "tiles go blind at first-left and last-right"
	default:
		return nil
	}
	if t.steps&asked == 0 {
		return fmt.Errorf("the rule %s never holds: %s; leave out the step, or name that one", t.word, where)
	}
	return nil
}

// holds says whether the rule holds for a decision.
func (t *timed) holds(b *bound, v *charleston.View) bool {
	if t.steps>>v.Step&1 == 0 {
		return false
	}
	if t.mark == nil {
		return true
	}
	n := t.mark.of(b, &v.Rack)
	return t.low <= n && n <= t.high
}

// meets says whether two rules can hold for one decision.
func (t *timed) meets(other *timed) bool {
	return t.steps&other.steps != 0 && (t.mark != other.mark || t.low <= other.high && other.low <= t.high)
}

// add holds to other rules too; those that contradict each other were refused before.
func (r *Rules) add(other *Rules) {
	r.KeepFlowers = r.KeepFlowers || other.KeepFlowers
	r.OneOfEach = r.OneOfEach || other.OneOfEach
	r.NoPairs = r.NoPairs || other.NoPairs
	r.KeepMultiples = r.KeepMultiples || other.KeepMultiples
	r.Together = r.Together || other.Together
	r.Keep |= other.Keep
	r.Give |= other.Give
	if other.Blind > 0 {
		r.Blind, r.BlindCount, r.BlindSpare = other.Blind, other.BlindCount, other.BlindSpare
	}
	if other.Stop > 0 {
		r.Stop, r.StopSpare = other.Stop, other.StopSpare
	}
	if other.FixedCourtesy {
		r.FixedCourtesy, r.Courtesy = true, other.Courtesy
	}
}

// contradicts says why two rules cannot both be kept, or "".
func (r *Rules) contradicts(other *Rules) string {
	kept := func(r *Rules) uint64 {
		if r.KeepFlowers {
			return r.Keep | 1<<tile.Flower
		}
		return r.Keep
	}
	switch {
	case kept(r)&other.Give|kept(other)&r.Give != 0:
		return "a tile that is never passed cannot go before any other"
	case r.OneOfEach && other.Together || r.Together && other.OneOfEach:
		return "tiles of three suits have neither a pair nor neighbours among them"
	case r.Blind > 0 && other.Blind > 0:
		return "both say how many tiles go blind"
	case r.Stop > 0 && other.Stop > 0:
		return "both say how to vote"
	case r.FixedCourtesy && other.FixedCourtesy:
		return "both say how many tiles to offer"
	}
	return ""
}

// checkTogether says which two of the rules contradict each other where both can hold, or nil.
func checkTogether(all []timed) error {
	for i := range all {
		for j := range all[:i] {
			a, b := &all[j], &all[i]
			if why := a.rules.contradicts(&b.rules); why != "" && a.meets(b) {
				return fmt.Errorf("the rules %s and %s contradict each other: %s", a.word, b.word, why)
			}
		}
	}
	return nil
}
