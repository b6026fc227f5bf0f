package advice

import (
	"context"

	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/rules/table"
)

// PlayEntry is one decision of the play in the ledger of a [Review].
type PlayEntry struct {
	Action, Best table.Action
	// Number is the place of the decision among all of the route's, as [Route.Choice] counts.
	Number int
	Worth
}

// reviewPlay judges the decisions of the play of a route by whole games.
func (c *Counsel) reviewPlay(ctx context.Context, e *exercise.Exercise, r *exercise.Route, rev *Review, budget Budget, watch func(done, of int)) error {
	ahead, err := c.inPlay(ctx, e.Seat)
	if err != nil {
		return err
	}
	own := ahead.Worker()
	for n := len(r.Decisions); n < r.Len(); n++ {
		part := r.Upto(n)
		at, err := e.Replay(&part)
		if err != nil {
			return err
		}
		taken := r.Choice(n).Action
		state := at.Game.State()
		if passedOver(own, &state, taken) {
			continue
		}
		entry, err := c.judgeAction(ctx, ahead, &state, taken, budget)
		if err != nil || ctx.Err() != nil {
			return err
		}
		entry.Number = n
		if entry.drawing, err = c.beforeDraw(ctx, ahead, &state, entry.Taken.N, budget); err != nil || ctx.Err() != nil {
			return err
		}
		rev.Play = append(rev.Play, entry)
		if watch != nil {
			watch(n+1, r.Len())
		}
	}
	return nil
}

// judgeAction values one action in play and the best one found.
func (c *Counsel) judgeAction(ctx context.Context, ahead *sim.Lookahead, state *table.State, taken table.Action, budget Budget) (PlayEntry, error) {
	entry := PlayEntry{Action: taken, Best: taken}
	w, err := c.playRace(ctx, state, taken.Seat, []table.Action{taken}, budget, nil)
	if err != nil {
		return entry, err
	}
	w.finalists, w.fixed = 1, true
	if len(w.names) == 1 { // nothing was to be chosen
		games, err := w.games()
		if err != nil {
			return entry, err
		}
		value, err := c.valueOf(ctx, ahead, w.at, taken.String(), budget.enough(max(leastValue, games/reviewShare), w.at), c.played(state, taken))
		entry.only(value)
		return entry, err
	}
	v, err := w.run(ctx)
	if err != nil {
		return entry, err
	}
	all := make([]Standing, len(v.Judged))
	for i := range v.Judged {
		all[i] = v.Judged[i].Standing
	}
	entry.Best = v.Judged[entry.weigh(all, func(i int) bool { return v.Judged[i].Action == taken })].Action
	return entry, nil
}

// theDraw is the name by which the draw of a tile is valued.
const theDraw = "the draw"

// beforeDraw is the value before the tile was drawn with which a decision in play begins, by so many games or as many as are kept; nil
// where none was.
func (c *Counsel) beforeDraw(ctx context.Context, ahead *sim.Lookahead, state *table.State, games int, budget Budget) (*stat.Interval[unit.Chance], error) {
	before, ok := state.Undrawn()
	if !ok {
		return nil, nil
	}
	at := c.inGame(&before)
	value, err := c.valueOf(ctx, ahead, at, theDraw, budget.enough(games, at), func(w *sim.Ahead, g uint64) (sim.Whole, error) {
		r, err := w.Drawn(&before, c.Seed, g)
		return sim.WholeOf(r, before.Turn()), err
	})
	return &value, err
}
