package advice

import (
	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// Recalled is a review by the games that are kept.
type Recalled struct {
	*Review
	// Games is the fewest games by which the best of a decision was found, 0 where nothing was to be chosen. Part says that the ledger ends before the route does.
	Games int
	Part  bool
}

// RecallReview is the review of a route by the best decisions that were found and the games that are kept, each decision at as many
// games as there are; nothing is played. Where they do not go on to the end the ledger is cut there. Review is nil where not
// even the first decisions are kept.
func (c *Counsel) RecallReview(e *exercise.Exercise, r *exercise.Route) (Recalled, error) {
	t, err := e.Replay(r)
	if err != nil {
		return Recalled{}, err
	}
	rec := Recalled{Review: &Review{}}
	whole := true
	for _, s := range t.Snapshots {
		if whole = c.recallEntry(&rec, s.View, s.Decision); !whole {
			break
		}
	}
	if whole && t.Game != nil {
		if whole, err = c.recallPlay(&rec, e, r); err != nil {
			return Recalled{}, err
		}
	}
	worths := rec.Worths()
	if len(worths) == 0 {
		return Recalled{}, nil
	}
	if whole {
		end, ok := c.recallEnd(e.Seat, r, &t)
		if ok {
			rec.close(end)
			return rec, nil
		}
	}
	rec.Part, rec.Review = true, rec.cut()
	return rec, nil
}

// recallEntry adds a decision of the passing; ok is false where its games are not kept.
func (c *Counsel) recallEntry(rec *Recalled, v charleston.View, d exercise.Decision) (ok bool) {
	en := Entry{Decision: d, Best: d.Action(v.Seat)}
	actions, err := c.legal(&v)
	if err != nil {
		return false
	}
	at := c.decided(&v)
	best, ok := en.recall(at, named(en.Best), len(actions) > 1)
	if !ok {
		return false
	}
	for _, a := range actions {
		if named(a) == best {
			en.Best = a
		}
	}
	rec.Entries = append(rec.Entries, en)
	rec.found(at)
	return true
}

// recallPlay adds the decisions of the play, as far as they are kept; ok is false where they do not go on to its end.
func (c *Counsel) recallPlay(rec *Recalled, e *exercise.Exercise, r *exercise.Route) (ok bool, err error) {
	own := c.ownAhead(e.Seat).Worker()
	for n := len(r.Decisions); n < r.Len(); n++ {
		part := r.Upto(n)
		t, err := e.Replay(&part)
		if err != nil {
			return false, err
		}
		state, taken := t.Game.State(), r.Choice(n).Action
		if passedOver(own, &state, taken) {
			continue
		}
		en := PlayEntry{Action: taken, Best: taken, Number: n}
		at, actions := c.inGame(&state), state.Legal(e.Seat)
		best, ok := en.recall(at, taken.String(), len(actions) > 1)
		if !ok {
			return false, nil
		}
		for _, a := range actions {
			if a.String() == best {
				en.Best = a
			}
		}
		if before, drew := state.Undrawn(); drew {
			value, ok := recallValue(c.inGame(&before), theDraw)
			if !ok {
				return false, nil
			}
			en.drawing = &value
		}
		rec.Play = append(rec.Play, en)
		rec.found(at)
	}
	return true, nil
}

// passedOver says that a discard was let go that the counsel's player would have let go: no decision of the ledger.
func passedOver(own *sim.Ahead, state *table.State, taken table.Action) bool {
	return taken.Kind == table.Decline && own.DecidePlay(state, taken.Seat).Kind == table.Decline
}

// found takes down by how many games the best of a decision was found.
func (rec *Recalled) found(at *moment) {
	if n := at.picked.Games; n > 0 && (rec.Games == 0 || n < rec.Games) {
		rec.Games = n
	}
}

// recall is the worth of what was taken by the games that are kept, beside the best that was found, whose name it returns; ok is false
// where there are too few games or, though there was a choice, none was found.
func (w *Worth) recall(at *moment, taken string, choice bool) (best string, ok bool) {
	best = taken
	if choice {
		if best = at.picked.Best; best == "" {
			return "", false
		}
	}
	games := [][]sim.Whole{at.had(best), at.had(taken)}
	n := min(len(games[0]), len(games[1]))
	if n < leastValue {
		return "", false
	}
	t := sim.NewValueTally(2)
	for g := range n {
		t.Add([]sim.Whole{games[0][g], games[1][g]})
	}
	if best == taken {
		w.only(t.Each[1].Chance())
		return best, true
	}
	w.Before, w.Taken, w.Cost = t.Each[0].Chance(), t.Each[1].Chance(), t.Less(0, 1)
	return best, true
}

// recallEnd is the value at the end of a route as [Counsel.endOf] has it; ok is false where its games are not kept.
func (c *Counsel) recallEnd(seat charleston.Seat, r *exercise.Route, t *exercise.Trail) (value stat.Interval[unit.Chance], ok bool) {
	end := c.ending(c.ownAhead(seat).Worker(), seat, r, t)
	if end.result != nil {
		return *end.result, true
	}
	return recallValue(end.at, end.name)
}

// recallValue is the value of something at a moment by all games that are kept; ok is false where these are too few.
func recallValue(at *moment, name string) (value stat.Interval[unit.Chance], ok bool) {
	var v sim.Value
	for _, one := range at.had(name) {
		v.Add(one)
	}
	return v.Chance(), v.Count() >= leastValue
}
