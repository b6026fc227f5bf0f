package reply

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"secondpass/advice"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
)

// Costs is what the decisions of readers cost, each against the best one found where it was made: chances to win, as a review
// has them.
type Costs struct {
	// Readers are those who came to the end of the passing, the cheapest first.
	Readers []ReaderCost
	// Mean is what a whole passing cost them, with a 95 % interval for such readers at large (Student). Decisions that several made
	// are judged by the same games, which chance the interval does not know of.
	Mean stat.Interval[unit.ChanceDifference]
	// Steps are in the order of the tally's.
	Steps []StepCost
	// Dearest is the decision that cost all who made it the most together; nil where none cost anything.
	Dearest *Dearest
	// Reviews are those of the replies that count, by their places.
	Reviews map[int]*advice.Review
}

// ReaderCost is what all decisions of a reply cost together.
type ReaderCost struct {
	Reply int
	Cost  unit.ChanceDifference
}

// StepCost is what readers' decisions at a step cost, and what each choice did, in the order of the step's choices. Of a choice
// that all made with the same rack it is the cost of that decision with the interval of its games; else the mean of its readers.
type StepCost struct {
	Mean    stat.Interval[unit.ChanceDifference]
	Choices []ChoiceCost
}

// Step is what a step cost; nil where no costs are known.
func (c *Costs) Step(i int) *StepCost {
	if c == nil {
		return nil
	}
	return &c.Steps[i]
}

// ChoiceCost is the cost of a choice; OneRack says that it is one decision, whose games the interval is of.
type ChoiceCost struct {
	Cost    stat.Interval[unit.ChanceDifference]
	OneRack bool
}

// Dearest is a choice of a step, by their places in the tally, and the sum of what it cost its readers.
type Dearest struct {
	Step, Choice int
	Sum          unit.ChanceDifference
}

// Judge says what the decisions of replies cost that [Count] has counted. review judges a route of an exercise; readers who walked alike
// are judged once. told, which may be nil, is told how many routes are judged.
func Judge(ctx context.Context, replies []Reply, t *Tally, review func(context.Context, *exercise.Exercise, *exercise.Route) (*advice.Review, error), told func(done, of int)) (*Costs, error) {
	c := &Costs{Reviews: map[int]*advice.Review{}}
	alike := map[string][]int{}
	var order []string
	for i := range replies {
		if r := &replies[i]; r.Counts() && len(r.Route().Decisions) > 0 {
			key := fmt.Sprint(r.Route().Decisions)
			if alike[key] == nil {
				order = append(order, key)
			}
			alike[key] = append(alike[key], i)
		}
	}
	for n, key := range order {
		if told != nil {
			told(n, len(order))
		}
		first := &replies[alike[key][0]]
		rev, err := review(ctx, first.Walked, first.Route())
		if err != nil {
			return nil, err
		}
		for _, i := range alike[key] {
			c.Reviews[i] = rev
		}
	}
	return c, c.count(replies, t)
}

// count makes the figures of the room.
func (c *Costs) count(replies []Reply, t *Tally) error {
	var all stat.Moments
	for _, end := range t.Ends {
		sum := 0.
		for k := range c.Reviews[end.Reply].Entries {
			sum += float64(c.Reviews[end.Reply].Entries[k].Cost.Value)
		}
		all.Add(sum)
		c.Readers = append(c.Readers, ReaderCost{end.Reply, unit.ChanceDifference(sum)})
	}
	slices.SortStableFunc(c.Readers, func(a, b ReaderCost) int { return cmp.Compare(a.Cost, b.Cost) })
	c.Mean = stat.MeanT[unit.ChanceDifference](all)
	for s := range t.Steps {
		step := &t.Steps[s]
		var mean stat.Moments
		out := StepCost{}
		for k, choice := range step.Choices {
			cost, sum, err := c.ofChoice(replies, step, &choice, &mean)
			if err != nil {
				return err
			}
			out.Choices = append(out.Choices, cost)
			if sum > 0 && (c.Dearest == nil || sum > c.Dearest.Sum) {
				c.Dearest = &Dearest{s, k, sum}
			}
		}
		out.Mean = stat.MeanT[unit.ChanceDifference](mean)
		c.Steps = append(c.Steps, out)
	}
	return nil
}

// ofChoice is what a choice cost, alone and all its readers together; it goes into the mean of its step.
func (c *Costs) ofChoice(replies []Reply, step *Step, choice *Choice, mean *stat.Moments) (ChoiceCost, unit.ChanceDifference, error) {
	var own stat.Moments
	var first stat.Interval[unit.ChanceDifference]
	one, before := true, ""
	for n, i := range choice.Replies {
		r := &replies[i]
		at := slices.IndexFunc(r.Route().Decisions, func(d exercise.Decision) bool { return d.Step == step.Step && d.Phase == step.Phase })
		if at < 0 || at >= len(c.Reviews[i].Entries) {
			return ChoiceCost{}, 0, fmt.Errorf("line %d, %s: its review has no such decision", r.Line, r.Code)
		}
		cost := c.Reviews[i].Entries[at].Cost
		mean.Add(float64(cost.Value))
		own.Add(float64(cost.Value))
		way := fmt.Sprint(r.Route().Decisions[:at])
		if n == 0 {
			first, before = cost, way
		}
		one = one && before == way
	}
	sum := unit.ChanceDifference(own.Mean() * float64(own.Count()))
	if one {
		return ChoiceCost{first, true}, sum, nil
	}
	return ChoiceCost{Cost: stat.MeanT[unit.ChanceDifference](own)}, sum, nil
}
