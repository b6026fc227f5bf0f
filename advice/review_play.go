package advice

import (
	"context"
	"fmt"

	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// PlayEntry is one decision of the play in the ledger of a [Review].
type PlayEntry struct {
	Action, Best table.Action
	// Number is the place of the decision among all of the route's, as [Route.Choice] counts.
	Number int
	Worth
}

// reviewPlay judges the play of a route by whole games and goes on with the ledger: from the value at its
// first decision to the result, or to the value where the route stands.
func (c *Counsel) reviewPlay(ctx context.Context, e *exercise.Exercise, r *exercise.Route, t *exercise.Trail, rev *Review, budget Budget, watch func(done, of int)) error {
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
		would := own.DecidePlay(&state, e.Seat)
		if taken.Kind == table.Decline && would.Kind == table.Decline {
			continue
		}
		entry, err := c.judgeAction(ctx, ahead, &state, taken, would, budget)
		if err != nil {
			return err
		}
		if ctx.Err() != nil {
			rev.cutPlay()
			return fmt.Errorf("the review was stopped after %d of %d decisions", n, r.Len())
		}
		entry.Number = n
		rev.Play = append(rev.Play, entry)
		if watch != nil {
			watch(n+1, r.Len())
		}
	}
	if len(rev.Play) == 0 {
		return nil
	}
	end, err := c.endOfPlay(ctx, ahead, t.Game, e.Seat, budget)
	if err != nil {
		return err
	}
	if ctx.Err() != nil {
		rev.cutPlay()
		return fmt.Errorf("the review was stopped before its end")
	}
	rev.closePlay(end)
	return nil
}

// closePlay goes on with a ledger that is closed at the end of the passing: through the play to a value.
func (rev *Review) closePlay(end stat.Interval[unit.Chance]) {
	rev.Remainder += rev.Play[0].Before.Value.Less(rev.End.Value)
	rev.End = end
	var worths []*Worth
	for i := range rev.Play {
		worths = append(worths, &rev.Play[i].Worth)
	}
	rev.close(worths, end)
}

// cutPlay closes a ledger whose last decision judged in the play has no value after it: it ends before that one.
func (rev *Review) cutPlay() {
	last := len(rev.Play) - 1
	if last < 0 {
		return
	}
	end := rev.Play[last].Before
	if rev.Play = rev.Play[:last]; last > 0 {
		rev.closePlay(end)
	}
}

// judgeAction values one action in play, the counsel's own, and the best.
func (c *Counsel) judgeAction(ctx context.Context, ahead *sim.Lookahead, state *table.State, taken, would table.Action, budget Budget) (PlayEntry, error) {
	entry := PlayEntry{Action: taken}
	v, err := c.judgePlay(ctx, state, taken.Seat, []table.Action{taken, would}, budget, nil)
	if err != nil {
		return entry, err
	}
	entry.Best, entry.BestValue = v.Judged[0].Action, v.Judged[0].Chance
	for _, j := range v.Judged {
		if j.Action == taken {
			entry.Taken, entry.Cost = j.Chance, j.Behind
			entry.Cost.N = j.Chance.N
		}
		if j.Action == would {
			entry.Before = j.Chance
		}
	}
	if len(v.Judged) == 1 {
		m, err := ahead.Wins(ctx, taken.Seat, leastMean, func(w *sim.Ahead, g uint64) (table.Result, error) { return w.Play(state, taken, c.Seed, g) })
		if err != nil {
			return entry, err
		}
		entry.Before, entry.Taken, entry.BestValue = m, m, m
	}
	games := max(leastMean, entry.Taken.N)
	entry.Expected, err = ahead.Wins(ctx, taken.Seat, games, func(w *sim.Ahead, g uint64) (table.Result, error) {
		return w.NextPlay(state, taken, c.Seed+2, g)
	})
	entry.rest()
	return entry, err
}

// endOfPlay is the value at the end: the result of a finished game, else that of the decision at hand.
func (c *Counsel) endOfPlay(ctx context.Context, ahead *sim.Lookahead, g *exercise.Game, seat charleston.Seat, budget Budget) (stat.Interval[unit.Chance], error) {
	if g.Over() {
		won := unit.Chance(0)
		if r := g.Result(); r.Ending.Won() && r.Winner == seat {
			won = 1
		}
		return stat.Exact(won, 1), nil
	}
	state := g.State()
	would := ahead.Worker().DecidePlay(&state, seat)
	return ahead.Wins(ctx, seat, max(leastMean, budget.Games/sim.Finalists), func(w *sim.Ahead, n uint64) (table.Result, error) {
		return w.Play(&state, would, c.Seed, n)
	})
}
