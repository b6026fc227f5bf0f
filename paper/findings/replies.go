package findings

import (
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/teach/reply"
)

// RepliesAnswer is what readers sent back, counted, as JSON has it.
type RepliesAnswer struct {
	Replies []Reply `json:"replies"`
	// Readers is how many replies count, Over how many of these came to the end of the passing.
	Readers int         `json:"readers"`
	Over    int         `json:"over"`
	Steps   []ReplyStep `json:"steps"`
	// Away, Spare, Options and Clean are the means at the end, of the nearest hand; not there where nobody came to the end.
	Away    *stat.Interval[unit.Tiles]  `json:"away,omitempty"`
	Spare   *stat.Interval[unit.Tiles]  `json:"spare,omitempty"`
	Options *stat.Interval[unit.Count]  `json:"options,omitempty"`
	Clean   *stat.Interval[unit.Chance] `json:"clean,omitempty"`
	// Costs is there where decisions were judged.
	Costs *ReplyCosts `json:"costs,omitempty"`
}

// ReplyCosts is what decisions cost in chance to win. Mean is that of a whole passing; not there for fewer than two.
type ReplyCosts struct {
	Mean    *stat.Interval[unit.ChanceDifference] `json:"mean,omitempty"`
	Readers []ReplyCost                           `json:"readers"`
	// Dearest is the decision that cost its readers the most together.
	Dearest *ReplyDearest `json:"dearest,omitempty"`
}

// ReplyCost is what the passing of a reader cost.
type ReplyCost struct {
	Name string                `json:"name,omitempty"`
	Code string                `json:"code"`
	Cost unit.ChanceDifference `json:"cost"`
}

// ReplyDearest is a decision and the sum of what it cost its readers.
type ReplyDearest struct {
	Step     string                `json:"step"`
	Decision string                `json:"decision"`
	Readers  int                   `json:"readers"`
	Sum      unit.ChanceDifference `json:"sum"`
}

// Reply is a code that was found.
type Reply struct {
	Code string `json:"code"`
	Line int    `json:"line"`
	Name string `json:"name,omitempty"`
	// Counts says whether it is in the tally; Why, where it is not, says why.
	Counts bool   `json:"counts"`
	Why    string `json:"why,omitempty"`
	// Decisions are those of the passing, in words.
	Decisions []string `json:"decisions,omitempty"`
}

// ReplyStep is what readers did at a step.
type ReplyStep struct {
	Step    string `json:"step"`
	Readers int    `json:"readers"`
	// Racks is how many different racks they held before it.
	Racks   int           `json:"racks"`
	Choices []ReplyChoice `json:"choices"`
	// Away, Spare and Options are the means after it, not there for fewer than two readers; Cost is the mean cost, where decisions
	// were judged.
	Away    *stat.Interval[unit.Tiles]            `json:"away,omitempty"`
	Spare   *stat.Interval[unit.Tiles]            `json:"spare,omitempty"`
	Options *stat.Interval[unit.Count]            `json:"options,omitempty"`
	Cost    *stat.Interval[unit.ChanceDifference] `json:"cost,omitempty"`
}

// ReplyChoice is a decision that readers made.
type ReplyChoice struct {
	Decision string `json:"decision"`
	Readers  int    `json:"readers"`
	// Cost is what the decision cost, where it was judged; OneRack says that all had the same rack, so that the interval is of the
	// games and not of the readers.
	Cost    *stat.Interval[unit.ChanceDifference] `json:"cost,omitempty"`
	OneRack bool                                  `json:"one_rack,omitempty"`
}

// RepliesAnswerOf is the answer for a room of replies; costs may be nil, where nothing was judged.
func RepliesAnswerOf(replies []reply.Reply, t *reply.Tally, costs *reply.Costs) RepliesAnswer {
	j := RepliesAnswer{Readers: t.Readers, Over: t.Over, Replies: []Reply{}, Steps: []ReplyStep{}}
	for i := range replies {
		r := &replies[i]
		one := Reply{Code: r.Code, Line: r.Line, Name: r.Name, Counts: r.Counts(), Why: wording.NotCounted(r)}
		if r.Err == nil {
			for _, d := range r.Route().Decisions {
				one.Decisions = append(one.Decisions, wording.Decision(d))
			}
		}
		j.Replies = append(j.Replies, one)
	}
	for i, s := range t.Steps {
		step := ReplyStep{Step: replyKey(&s), Readers: s.Readers, Racks: s.Racks}
		if s.Readers > 1 {
			step.Away, step.Spare, step.Options = &s.Away, &s.Spare, &s.Options
		}
		if costs != nil && costs.Steps[i].Mean.Bounded() {
			step.Cost = &costs.Steps[i].Mean
		}
		for n, c := range s.Choices {
			choice := ReplyChoice{Decision: wording.Decision(c.Decision), Readers: len(c.Replies)}
			if costs != nil {
				if of := &costs.Steps[i].Choices[n]; of.Cost.Bounded() {
					choice.Cost, choice.OneRack = &of.Cost, of.OneRack
				}
			}
			step.Choices = append(step.Choices, choice)
		}
		j.Steps = append(j.Steps, step)
	}
	if t.Over > 0 {
		j.Clean = &t.Clean
	}
	if t.Over > 1 {
		j.Away, j.Spare, j.Options = &t.Away, &t.Spare, &t.Options
	}
	if costs != nil {
		j.Costs = replyCostsOf(replies, t, costs)
	}
	return j
}

// replyKey is a step as programs read it.
func replyKey(s *reply.Step) string {
	if s.Phase == charleston.Voting {
		return "vote"
	}
	return s.Step.Key()
}

func replyCostsOf(replies []reply.Reply, t *reply.Tally, costs *reply.Costs) *ReplyCosts {
	j := &ReplyCosts{Readers: []ReplyCost{}}
	if costs.Mean.Bounded() {
		j.Mean = &costs.Mean
	}
	for _, r := range costs.Readers {
		j.Readers = append(j.Readers, ReplyCost{replies[r.Reply].Name, replies[r.Reply].Code, r.Cost})
	}
	if d := costs.Dearest; d != nil {
		choice := &t.Steps[d.Step].Choices[d.Choice]
		j.Dearest = &ReplyDearest{replyKey(&t.Steps[d.Step]), wording.Decision(choice.Decision), len(choice.Replies), d.Sum}
	}
	return j
}
