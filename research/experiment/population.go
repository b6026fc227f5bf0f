package experiment

import (
	"fmt"
	"slices"
	"strings"

	"secondpass/deal"
	"secondpass/engine/fit"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// Population says which deals count.
type Population struct {
	deal.Condition
	// Pairs bounds the number of pairs in the rack dealt: of each natural kind half the tiles, rounded down. nil is no bound.
	Pairs *deal.Range
	// Multiples bounds the number of kinds of which two or more are dealt, jokers aside. nil is no bound.
	Multiples *deal.Range
	// Nearest is a section or hand of the card to which the nearest hand is to belong; "" for any.
	Nearest string
	// Also are further conditions, all of which have to be met.
	Also []RackCondition
}

// RackCondition is one on the rack of the studied seat: that a measure of it lies in a band, or that its nearest hand belongs to
// Nearest.
type RackCondition struct {
	Band
	Nearest string
	// After is the step after which it is to hold, 0 for the rack as it was dealt. It is that of the first way on this deal, so that
	// the condition is one on the deal, the same for all ways. Where the passing ends before, it does not hold.
	After charleston.Step
}

// String is the condition as an experiment file has it.
func (c RackCondition) String() string {
	text := c.Band.String()
	if c.Nearest != "" {
		text = "nearest " + c.Nearest
	}
	if 0 < c.After && c.After < charleston.Steps {
		text += " after " + c.After.Key()
	}
	return text
}

// String is the population as an experiment file has it, "" for all deals.
func (p Population) String() string {
	var parts []string
	if p.Jokers != nil {
		parts = append(parts, "jokers "+p.Jokers.String())
	}
	if p.Has.Size() > 0 {
		parts = append(parts, "has "+p.Has.String())
	}
	if p.BestAway != nil {
		parts = append(parts, "best away "+p.BestAway.String())
	}
	if p.TwoPlans {
		parts = append(parts, "two plans")
	}
	if p.Pairs != nil {
		parts = append(parts, "pairs "+p.Pairs.String())
	}
	if p.Multiples != nil {
		parts = append(parts, "multiples "+p.Multiples.String())
	}
	if p.Nearest != "" {
		parts = append(parts, "nearest "+p.Nearest)
	}
	for _, c := range p.Also {
		parts = append(parts, c.String())
	}
	return strings.Join(parts, " ; ")
}

func (k *checker) population() {
	p := k.s.Population
	for _, r := range []*deal.Range{p.Jokers, p.BestAway, p.Pairs, p.Multiples} {
		if r != nil && (r.Low < 0 || r.High < r.Low) {
			k.fault("population", -1, fmt.Sprintf("the range %d..%d", r.Low, r.High), "a range from small to large, as in 0..2")
			return
		}
	}
	set, err := k.s.House.Set()
	if err != nil || len(k.c.Hands) == 0 {
		return
	}
	for word, r := range map[string]*deal.Range{"pairs": p.Pairs, "multiples": p.Multiples} {
		if most := mostMultiples; r != nil && r.Low > most {
			k.fault("population", -1, word+" "+r.String(), fmt.Sprintf("%s from 0 to %d, which a rack can have", word, most))
			return
		}
	}
	if p.Nearest != "" {
		if _, err := k.c.Find(p.Nearest); err != nil {
			k.fault("population", -1, fmt.Sprintf("nearest %s: %v", p.Nearest, err), "a section or hand of the card, as in nearest Runs")
			return
		}
	}
	for _, c := range p.Also {
		if err := c.check(k.c, set); err != nil {
			k.fault("population", -1, c.String(), err.Error())
			return
		}
	}
	seat, goesRound, err := k.s.seat()
	if err != nil {
		return
	}
	for at := range charleston.Seat(charleston.Seats) {
		if !goesRound && at != seat {
			continue
		}
		if _, err := deal.NewDealing(p.Condition, at.DealtTiles(), set, nil, nil); err != nil {
			k.fault("population", -1, err.Error(), "deals that there can be")
			return
		}
	}
}

// ofRack are the outcomes that a rack has at any step; those of the deal too where no step is named.
var ofRack = []Outcome{Held, SparesBest, SparesPlan, CleanBest, CleanPlan, Away, Options, MissingSingles, Gaps, Multiples}

// check says what would be right where the condition is not.
func (c RackCondition) check(on *card.Card, set tile.Set) error {
	if c.After >= charleston.Steps {
		return fmt.Errorf("after one of the seven steps")
	}
	if c.Nearest != "" {
		_, err := on.Find(c.Nearest)
		return err
	}
	if err := c.Measure.check(on); err != nil {
		return err
	}
	if !slices.Contains(ofRack, c.Of) && (c.After > 0 || c.Of != Dealt && c.Of != AwayDealt) {
		return fmt.Errorf("a measure of a rack: held TILES|pairs, spares best, spares plan, clean best, clean plan, away, options, missing singles, gaps, multiples")
	}
	if c.High < c.Low || c.Low < -1_000_000 || c.High > 1_000_000 {
		return fmt.Errorf("a range from small to large")
	}
	return c.canBe(on, set)
}

const populationRight = "all, or parts with ; between them: jokers 0..2, has FF, best away 4..6, two plans, pairs 0..1, multiples 2..3, nearest SECTION, or a measure of the rack and its range, as in options 6..20; each may stand before \"after STEP\", as in away 3..4 after first-left"

// largest is a set with as many tiles as there can be: the set asked for may stand further down, and the check knows it.
var largest = func() tile.Set {
	set, err := tile.NewSet(tile.MaxFlowers, tile.MaxJokers)
	if err != nil {
		panic(err)
	}
	return set
}()

func (r *reader) population(rest string) string {
	if rest == "all" {
		return ""
	}
	p := &r.experiment.Population
	for part := range strings.SplitSeq(rest, ";") {
		part = strings.Join(strings.Fields(part), " ")
		if c, ok := readCondition(part); ok {
			p.Also = append(p.Also, c)
		} else if tiles, ok := strings.CutPrefix(part, "has "); ok && p.Has.Size() == 0 {
			var err error
			if p.Has, err = tile.Parse(tiles, largest); err != nil {
				return fmt.Sprintf("%s (%v)", populationRight, err)
			}
		} else if part == "two plans" && !p.TwoPlans {
			p.TwoPlans = true
		} else if name, ok := strings.CutPrefix(part, "nearest "); ok && p.Nearest == "" {
			p.Nearest = name
		} else if !readBounds(p, part) {
			return populationRight + ", each once"
		}
	}
	return ""
}

// readCondition reads a condition that is no other part of a population: a measure of the rack and its range, or anything that is to hold
// after a step.
func readCondition(part string) (c RackCondition, ok bool) {
	condition, step, after := strings.Cut(part, " after ")
	if after {
		var err error
		if c.After, err = charleston.ParseStep(step); err != nil {
			return c, false
		}
		for earlier, measure := range map[string]string{"jokers ": "held J ", "pairs ": "held pairs ", "best away ": "away "} {
			if rest, is := strings.CutPrefix(condition, earlier); is {
				condition = measure + rest
			}
		}
		if name, is := strings.CutPrefix(condition, "nearest "); is {
			c.Nearest = name
			return c, true
		}
	}
	var b *Band
	if readBand(condition, &b) != "" || !after && strings.HasPrefix(condition, "multiples ") { // which is a part of its own
		return c, false
	}
	c.Band = *b
	return c, true
}

func readBounds(p *Population, part string) bool {
	for word, into := range map[string]**deal.Range{"jokers ": &p.Jokers, "best away ": &p.BestAway, "pairs ": &p.Pairs, "multiples ": &p.Multiples} {
		text, ok := strings.CutPrefix(part, word)
		if !ok {
			continue
		}
		bounds, ok := readRange(text)
		if !ok || *into != nil {
			return false
		}
		*into = &bounds
		return true
	}
	return false
}

// also says whether a rack meets those parts of the population that package deal does not know; nil where there are none. It is
// for one core.
func (p *setup) also(dealt []*condition) func(*tile.Rack) bool {
	q := &p.experiment.Population
	if q.Pairs == nil && q.Multiples == nil && q.Nearest == "" && len(dealt) == 0 {
		return nil
	}
	pairs, rater := gauge{pairs: true}, fit.NewRater(p.index)
	hands, _ := p.card.Find(q.Nearest) // Check has found it
	var near []fit.Reading
	return func(r *tile.Rack) bool {
		if b := q.Pairs; b != nil && !b.Holds(pairs.count(*r)) {
			return false
		}
		if b := q.Multiples; b != nil && !b.Holds(len(r.Multiples())) {
			return false
		}
		for _, c := range dealt {
			if !c.holds(*r) {
				return false
			}
		}
		if q.Nearest == "" {
			return true
		}
		near, _ = rater.Nearest(r, 1, near[:0])
		return slices.Contains(hands, near[0].Hand)
	}
}

// condition is a RackCondition made ready for one core.
type condition struct {
	RackCondition
	gauge      gauge
	accountant *exercise.Accountant
	rater      *fit.Rater
	hands      []int
	near       []fit.Reading
}

func (p *setup) newCondition(c RackCondition) (*condition, error) {
	ready := &condition{RackCondition: c, gauge: newGauge(c.Measure, p.card), rater: fit.NewRater(p.index)}
	ready.hands, _ = p.card.Find(c.Nearest) // Check has found it
	var err error
	ready.accountant, err = exercise.NewAccountant(p.card, nil)
	return ready, err
}

// holds says whether it does for a rack.
func (c *condition) holds(rack tile.Rack) bool {
	if c.Nearest != "" {
		c.near, _ = c.rater.Nearest(&rack, 1, c.near[:0])
		return slices.Contains(c.hands, c.near[0].Hand)
	}
	value, _ := c.gauge.of(&played{dealt: rack, rack: rack, accountant: c.accountant})
	return c.Holds(value)
}

// rackAfter is the rack of a seat after a step of a passing that is over; ok is false where the passing ended before.
func rackAfter(dealt tile.Rack, v *charleston.View, step charleston.Step) (rack tile.Rack, ok bool) {
	rack = dealt
	for s := charleston.FirstRight; s <= step; s++ {
		gave, came := v.Gave[s].Rack(), v.Came[s].Rack()
		ok = gave.Size() > 0 || v.Blind[s] > 0
		rack = rack.Minus(gave).Plus(came)
	}
	return rack, ok || step == charleston.Courtesy
}

// mostDeals is how many deals are tried until one has what the population asks for after a step. Our choice: a minute or two.
const mostDeals = 100_000

// inPopulation says whether what is asked of the rack after steps is so on these tiles, by passing them as the first way does.
func (w *worker) inPopulation(seat charleston.Seat, n uint64, racks [charleston.Seats]tile.Rack) (bool, error) {
	if len(w.after) == 0 {
		return true, nil
	}
	kept := w.played[0]
	kept.read = false // the accountant reads another rack meanwhile
	defer func() { w.played[0] = kept }()
	p := &w.played[0]
	*p = played{seat: seat, dealt: racks[seat], rack: racks[seat], accountant: w.accountants[0]}
	if err := w.pass(0, n, racks); err != nil || !p.passed {
		return false, err
	}
	for _, c := range w.after {
		if rack, ok := rackAfter(p.dealt, &p.view, c.After); !ok || !c.holds(rack) {
			return false, nil
		}
	}
	return true, nil
}
