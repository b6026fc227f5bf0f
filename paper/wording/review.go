package wording

import (
	"secondpass/advice"
	"secondpass/exercise"
	"secondpass/rules/table"
	"secondpass/teach/drill"
)

// EntryWhy is what sets a decision of the passing apart from the best one found, on a route's trail; nil where it is the best, or where
// no cost is shown: a reason would then explain what is perhaps not so.
func EntryWhy(e *exercise.Exercise, t *exercise.Trail, rev *advice.Review, i int) Phrase {
	en := &rev.Entries[i]
	if en.Cost.Low <= 0 || en.Decision.Action(e.Seat) == en.Best || i >= len(t.Snapshots) {
		return nil
	}
	return costWhy(en.Contrast(e.Card, t.Snapshots[i].View), Action(en.Best))
}

// PlayWhy is the same for a decision of the play.
func PlayWhy(e *exercise.Exercise, r *exercise.Route, en *advice.PlayEntry) (Phrase, error) {
	if en.Cost.Low <= 0 || en.Action == en.Best {
		return nil, nil
	}
	upto := r.Upto(en.Number)
	t, err := e.Replay(&upto)
	if err != nil || t.Game == nil {
		return nil, err
	}
	facts, err := advice.FactsOfPlay(t.Game.State(), e.Seat, []table.Action{en.Action, en.Best})
	if err != nil {
		return nil, err
	}
	return costWhy(advice.Contrast(&facts[0], &facts[1]), DrillChoice(drill.Choice{Play: en.Best})), nil
}

// costWhy words a contrast of what the games have shown to cost something. The games know more than can be seen: where that speaks for the
// decision, the phrase says so.
func costWhy(points []advice.Point, best string) Phrase {
	why := Reason(points, best)
	if advice.Balance(advice.Said(points)) > 0 {
		return append(phrase("What can be seen speaks for it, the games against it. "), why...)
	}
	return why
}
