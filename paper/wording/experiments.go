//go:build !js

package wording

import (
	"fmt"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/research/experiment"
)

// ExperimentValue is the mean of a measure with its interval.
func ExperimentValue(m experiment.Measure, i stat.Interval[experiment.Amount]) string {
	if m.Share() {
		return Share(stat.As[unit.Chance](i))
	}
	return Mean(stat.As[unit.Count](i))
}

// ExperimentDifference is a difference of two means of a measure with its interval, in the unit of ExperimentUnit.
func ExperimentDifference(m experiment.Measure, i stat.Interval[experiment.Amount]) string {
	if m.Share() {
		return FineChancePoints(stat.As[unit.ChanceDifference](i))
	}
	if !i.Bounded() {
		return Plus(i.Value, 3) + " (too few games)"
	}
	return fmt.Sprintf("%s (%s to %s)", Plus(i.Value, 3), Plus(i.Low, 3), Plus(i.High, 3))
}

// ExperimentOwn is what the studied seat itself won in one way, for a measure of others; "" for any other.
func ExperimentOwn(o *experiment.Own) string {
	if o == nil {
		return ""
	}
	return fmt.Sprintf("The seat itself won %s, net points %s a deal.", Share(stat.As[unit.Chance](o.Wins)), Points(stat.As[unit.NetPoints](o.Points)))
}

// ExperimentNote is what a comparison shows beside its verdict.
func ExperimentNote(c *experiment.Comparison) string {
	if c.Own != nil && c.Own.Explains {
		return c.Note.String() + ", which the seat's own wins can explain"
	}
	return c.Note.String()
}

// ExperimentOwnDifference is what the seat itself did otherwise, beside a difference of what others won, and whether that
// explains it; "" for any other measure.
func ExperimentOwnDifference(c *experiment.Comparison) string {
	if c.Own == nil {
		return ""
	}
	points := func(i stat.Interval[experiment.Amount]) string {
		return FineChancePoints(stat.As[unit.ChanceDifference](i))
	}
	text := fmt.Sprintf("The seat itself: wins %s percentage points, net points %s a deal.", points(c.Own.Wins), Points(stat.As[unit.NetPoints](c.Own.Points)))
	if c.Own.Rest == nil {
		return text
	}
	rest := points(*c.Own.Rest)
	switch {
	case c.Own.Explains:
		return text + " Its own wins can explain the difference: of the games that it does not win, no difference is shown in those that the others win, " + rest + " percentage points."
	case !c.Own.Rest.Holds(0):
		return text + " Its own wins do not explain it all: of the games that it does not win, those that the others win differ by " + rest + " percentage points."
	}
	return text + " Of the games that it does not win, those that the others win differ by " + rest + " percentage points: no difference shown."
}

// ExperimentUnit is the unit of a difference.
func ExperimentUnit(m experiment.Measure) string {
	if m.Share() {
		return "percentage points"
	}
	return m.Unit()
}

// ExperimentPopulation is which deals count.
func ExperimentPopulation(s *experiment.Experiment) string {
	if p := s.Population.String(); p != "" {
		return p
	}
	return "all deals"
}

// ExperimentSeat is where the studied seat is.
func ExperimentSeat(s *experiment.Experiment) string {
	if s.Seat == experiment.Everywhere {
		return "the seat goes round"
	}
	return "seat " + s.Seat
}

// ExperimentPairing says where the ways do not share deals and walls.
func ExperimentPairing(s *experiment.Experiment) string {
	switch s.Pairing {
	case experiment.SameDeal:
		return " The same deals for every way, walls of their own."
	case experiment.NoPairing:
		return " Deals of their own for every way."
	}
	return ""
}

// ExperimentAgainst goes on after the text of a claim: what the ways are compared with, and for how many comparisons the intervals
// hold.
func ExperimentAgainst(f *experiment.Findings) string {
	s := f.Of
	text := " than " + s.Ways[0].Name
	switch {
	case s.Split != nil:
		text = fmt.Sprintf(" where %s than elsewhere (deals are sorted, not paired)", s.Split)
	case s.AllPairs:
		text = " than each way before it"
	}
	if f.Together > 1 {
		text += fmt.Sprintf("; the intervals hold for all %d comparisons together", f.Together)
	}
	return text
}

// ExperimentVerdict is the verdict of a comparison, and whether the seat's own wins can explain it.
func ExperimentVerdict(c *experiment.Comparison) string {
	if c.Own != nil && c.Own.Explains {
		return c.Verdict.String() + "; the seat's own wins can explain it"
	}
	return c.Verdict.String()
}

// ExperimentCompared names a comparison among those of an experiment: what is compared with what, where there is more than the first
// way, and in what, where there is more than one measure.
func ExperimentCompared(f *experiment.Findings, c *experiment.Comparison) string {
	text := c.Way
	if len(f.Of.Ways) > 2 {
		text += " less " + c.Against
	}
	if f.Here > len(f.Comparisons) {
		text = f.Of.Measure.String() + ", " + text
	}
	return text
}

// ExperimentVerdicts are all verdicts of a result, each with its measure and what is compared where there are several.
func ExperimentVerdicts(all []experiment.Findings) []string {
	var list []string
	for _, f := range all {
		for i := range f.Comparisons {
			c := &f.Comparisons[i]
			text := ExperimentVerdict(c)
			if f.Here > 1 {
				text = ExperimentCompared(&f, c) + ": " + text
			}
			list = append(list, text)
		}
	}
	return list
}
