package wording

import (
	"errors"
	"fmt"
	"strings"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/charleston"
	"secondpass/teach/reply"
)

// Replies says who was counted.
func Replies(replies []reply.Reply, t *reply.Tally) string {
	return fmt.Sprintf("%s in %s, %d at the end of the passing", Plural(t.Readers, "reader"), Plural(len(replies), "code"), t.Over)
}

// ReplyStep is the name of a decision that readers made.
func ReplyStep(s *reply.Step) string {
	if s.Phase == charleston.Voting {
		return "Stop or go on"
	}
	if s.Phase == charleston.Naming {
		return "Courtesy, the number offered"
	}
	return Capital(s.Step.String())
}

// Parted says how many came to a decision, and whether they held different racks.
func Parted(s *reply.Step) string {
	text := Plural(s.Readers, "reader")
	switch {
	case s.Readers == 1:
		return text
	case s.Racks == 1:
		return text + ", all with the same rack"
	}
	return fmt.Sprintf("%s, with %d different racks", text, s.Racks)
}

// NotCounted says why a reply is not in the tally, "" where it is.
func NotCounted(r *reply.Reply) string {
	switch {
	case r.Later:
		return "the same reader sent another one later, which counts"
	case r.Err == nil:
		return ""
	case errors.Is(r.Err, reply.ErrDamaged), errors.Is(r.Err, reply.ErrOther), errors.Is(r.Err, reply.ErrVersion):
		return r.Err.Error()
	}
	return "the rules refuse its route: " + r.Err.Error()
}

// ReplyProof is what a code proves and what not, which stands wherever replies are counted.
const ReplyProof = "A code proves that the rules allow its route, not who walked it."

// StepReached is how racks stand after a step on the mean, "" where too few came there.
func StepReached(s *reply.Step) string {
	if !s.Away.Bounded() {
		return ""
	}
	return fmt.Sprintf("After it %s away, %s spare, %s options.", Mean(s.Away), Mean(s.Spare), Mean(s.Options))
}

// CostPoints is a cost in percentage points of the chance to win: "4.2 percentage points (3.1 to 5.3)".
func CostPoints(i stat.Interval[unit.ChanceDifference]) string {
	text := points(i.Value) + " percentage points"
	if i.Bounded() {
		text += fmt.Sprintf(" (%s to %s)", points(i.Low), points(i.High))
	}
	return text
}

// points is a difference of chances in percentage points, and never "-0.0".
func points(x unit.ChanceDifference) string {
	return strings.TrimPrefix(Plus(100*x, 1), "+")
}

// ReplyCosts says in sentences what the passings of readers cost: on the whole, whose cost least, and which decision cost most.
func ReplyCosts(replies []reply.Reply, t *reply.Tally, c *reply.Costs) []string {
	var all []string
	if len(c.Readers) > 0 {
		all = append(all, fmt.Sprintf("A passing cost %s of the chance to win on the mean.", CostPoints(c.Mean)))
		least := c.Readers[0].Cost
		var who []string
		for _, r := range c.Readers {
			if r.Cost == least {
				who = append(who, replies[r.Reply].Who("one without a name"))
			}
		}
		all = append(all, fmt.Sprintf("The lowest cost: %s, %s percentage points.", strings.Join(who, ", "), points(least)))
	}
	if d := c.Dearest; d != nil {
		step := &t.Steps[d.Step]
		choice := &step.Choices[d.Choice]
		all = append(all, fmt.Sprintf("The decision that cost readers the most: %s, %s: %s of %s, %s each.", ReplyStep(step), Decision(choice.Decision),
			fmt.Sprint(len(choice.Replies)), Plural(step.Readers, "reader"), CostPoints(c.Steps[d.Step].Choices[d.Choice].Cost)))
	}
	return all
}

// ReplyCostsNote says how costs were found and what their intervals are of.
const ReplyCostsNote = "Costs are against the best decision found with the same rack, by whole games. The interval of one decision is of its games; means are over readers, for readers such as these, who share the games of what they decided alike."

// ReplyEnd is how a reader stands at the end of the passing.
func ReplyEnd(replies []reply.Reply, e *reply.End) string {
	return fmt.Sprintf("%s: %s, %d spare, %s", replies[e.Reply].Who("no name"), Near(&e.Nearest), e.SpareBest.Size(), Plural(e.Options, "option"))
}
