package class

import (
	"secondpass/advice"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/teach/drill"
)

// Cost is what playing on made of one choice.
type Cost struct {
	Choice Choice `json:"choice"`
	// Best is the first of all, Even says that no difference from the best is shown.
	Best bool `json:"best,omitempty"`
	Even bool `json:"even,omitempty"`
	// Final ones were played to the end, so that Chance and Behind hold; of others Short is the number of games so far.
	Final bool `json:"final,omitempty"`
	Short int  `json:"short,omitempty"`
	// Keyed is a cost by the key of a drill, or by its games: Even ones are right, and Final.
	Keyed bool `json:"keyed,omitempty"`
	// Chance is the chance to win, Behind what it is less than the best one's, 0..1 with 95 % intervals.
	Chance stat.Interval[unit.Chance]           `json:"chance"`
	Behind stat.Interval[unit.ChanceDifference] `json:"behind"`
	// Reason is what can be seen of it; nil where nothing stands against it, and in judgements of earlier programs.
	Reason *Reason `json:"reason,omitempty"`
}

// Judgement is what playing on made of the choices of a round.
type Judgement struct {
	Games int    `json:"games"`
	Whole int    `json:"whole"`
	Seed  uint64 `json:"seed"`
	// Stopped says that it was not played to the end: of the choices asked for it has then what they cost, and none is best or even.
	Stopped bool   `json:"stopped,omitempty"`
	Costs   []Cost `json:"costs"`
}

// Over says whether a judgement was played to the end; nil, which is none, was not.
func (j *Judgement) Over() bool { return j != nil && !j.Stopped }

// evenKept is how many of the best are kept of an advice besides what the class chose.
const evenKept = 8

// Judge reads an advice: the best choices that are not separable, and those asked for, best first, each with what why says
// of the candidate at its place. Where games are still to be played it is one that was stopped: what comes first then may not come
// first at the end, and what is not shown to be worse yet may be, so that only what is shown already is said.
func Judge(a *advice.Advice, seed uint64, asked []Choice, why func(place int) *Reason) Judgement {
	j := Judgement{Games: a.Games, Whole: a.Whole, Seed: seed, Stopped: a.Stopped == "" || a.Stopped == advice.Interrupted}
	wanted := map[Choice]bool{}
	for _, c := range asked {
		wanted[c.Bare()] = true
	}
	for place := range a.Candidates {
		o := &a.Candidates[place]
		c := ChoiceOf(o.Action)
		cost := Cost{Choice: c, Final: o.Final, Short: o.Short, Chance: o.Chance, Behind: o.Behind}
		if !j.Stopped {
			cost.Best, cost.Even = place == 0, o.Even
		}
		if !j.Stopped || cost.Behind.Low > 0 {
			cost.Reason = why(place)
		}
		if wanted[c] || cost.Best || cost.Even && o.Final && place < evenKept {
			j.Costs = append(j.Costs, cost)
		}
	}
	return j
}

// KeyedCost is what a drill says of a choice.
func KeyedCost(c Choice, best bool, a drill.Answer, reason *Reason) Cost {
	return Cost{Choice: c, Best: best, Even: a.Right, Final: true, Keyed: true, Chance: a.Chance, Behind: a.Cost, Reason: reason}
}

// Of is the cost of a choice; false where it was not judged.
func (j *Judgement) Of(c Choice) (Cost, bool) {
	if j == nil {
		return Cost{}, false
	}
	for i := range j.Costs {
		if j.Costs[i].Choice == c.Bare() {
			return j.Costs[i], true
		}
	}
	return Cost{}, false
}
