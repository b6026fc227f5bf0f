package advice

import (
	"context"
	"fmt"

	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/rules/charleston"
)

// Review is what the decisions and the luck of a route's passing were worth.
//
// It is a ledger. Values are chances to win by short games with the counsel's player at the seat.
// With V(t) the value before decision t when that player decides, Q(t) the value of what was taken, B(t) that of
// the best decision found, and M(t) the mean of V(t+1) over what could have come,
//
//	cost(t) = B(t) - Q(t)        swing(t) = V(t+1) - M(t)
//	rest(t) = B(t) - V(t) + M(t) - Q(t)
//	Start - sum of costs + sum of swings + sum of rests = End
//
// Swings are luck alone and average to 0 where the tiles come from such players. The rests are the
// remainder: what the best decisions found are better than the counsel's player's own, and how far Q, which
// never looks again, is from M, which lays out afresh at the next decision what the seat then does not see.
//
// Method: the split of results into skill and luck by telescoping values, as in advantage sum and
// AIVAT estimators (N. Burch et al., AIVAT, AAAI-18), without their correction for the others' choices.
type Review struct {
	Entries []Entry
	// Play are the decisions of the play that were judged: turns, claims, and discards let go that the
	// counsel's player would have claimed. Values are then shares of whole games.
	Play []PlayEntry
	// Start is the value of the deal, End that of the rack after the last decision.
	Start, End stat.Interval[unit.Chance]
	// Remainder is the sum of the rests and, where there is play, what the value at its start is off
	// the estimate at the end of the passing.
	Remainder unit.ChanceDifference
	// Costliest is the place of the decision with the greatest cost that is shown to be one, counted over
	// Entries and then Play; -1 for none.
	Costliest int
}

// Entry is one decision of the passing in the ledger.
type Entry struct {
	Decision exercise.Decision
	Best     charleston.Action
	Worth
}

// Worth is what the ledger says of one decision.
type Worth struct {
	// Before is the value before the decision, V(t); Taken is Q(t).
	Before, Taken stat.Interval[unit.Chance]
	// BestValue is the value of the best decision found, and Cost what was taken fell short of it, on the
	// same games.
	BestValue stat.Interval[unit.Chance]
	Cost      stat.Interval[unit.ChanceDifference]
	// Expected is M(t), the mean value over what could have come; Swing is the value after what came
	// less that.
	Expected stat.Interval[unit.Chance]
	Swing    stat.Interval[unit.ChanceDifference]
	Rest     unit.ChanceDifference
}

// Review judges the decisions of a route, of its passing and of its play. budget is for each decision. watch,
// which may be nil, is told how many of the route's decisions are judged. The best decision is picked by the games that
// give its value, so that costs come out a little too great on the whole.
//
// A review that ctx stops gives an error and, where two decisions or more were judged, the ledger of all but the
// last of them, which ends with the value before that one.
func (c *Counsel) Review(ctx context.Context, e *exercise.Exercise, r *exercise.Route, budget Budget, watch func(done, of int)) (*Review, error) {
	t, err := e.Replay(r)
	if err != nil {
		return nil, err
	}
	rev := &Review{Costliest: -1}
	for i, s := range t.Snapshots {
		entry, err := c.judge(ctx, s.View, s.Decision, budget)
		if err != nil {
			return nil, err
		}
		if ctx.Err() != nil {
			return rev.cut(), fmt.Errorf("the review was stopped after %d of %d decisions", i, len(t.Snapshots))
		}
		rev.Entries = append(rev.Entries, entry)
		if watch != nil {
			watch(i+1, r.Len())
		}
	}
	if len(rev.Entries) == 0 {
		return nil, fmt.Errorf("route %s has no decision of the passing to review", r.Name)
	}
	if rev.End, err = c.valueOf(ctx, t.Now.View(), budget); err != nil {
		return nil, err
	}
	if ctx.Err() != nil {
		return rev.cut(), fmt.Errorf("the review was stopped before its end")
	}
	rev.close(rev.passing(), rev.End)
	if t.Game != nil {
		err = c.reviewPlay(ctx, e, r, &t, rev, budget, watch)
	}
	return rev, err
}

// cut closes the ledger of a passing whose last decision judged has no value after it: it ends before that one.
// It is nil where nothing is left.
func (rev *Review) cut() *Review {
	last := len(rev.Entries) - 1
	if last < 1 {
		return nil
	}
	rev.End = rev.Entries[last].Before
	rev.Entries = rev.Entries[:last]
	rev.close(rev.passing(), rev.End)
	return rev
}

// passing are the worths of the passing in order.
func (rev *Review) passing() []*Worth {
	var worths []*Worth
	for i := range rev.Entries {
		worths = append(worths, &rev.Entries[i].Worth)
	}
	return worths
}

// judge values one decision, the counsel's own, and the best.
func (c *Counsel) judge(ctx context.Context, v charleston.View, d exercise.Decision, budget Budget) (Entry, error) {
	taken := d.Action(v.Seat)
	own := sim.Decide(c.Own.New(), &v)
	named := []charleston.Action{taken}
	if own != taken {
		named = append(named, own)
	}
	q, err := c.question(v)
	if err != nil {
		return Entry{}, err
	}
	a, err := q.ask(ctx, named, Budget{Games: budget.Games, Time: budget.Time, shortOnly: true}, nil)
	if err != nil {
		return Entry{}, err
	}
	e := Entry{Decision: d, Best: a.Candidates[0].Action, Worth: Worth{BestValue: a.Candidates[0].Chance}}
	for i := range a.Candidates {
		o := &a.Candidates[i]
		if o.Action == taken {
			e.Taken, e.Cost = o.Chance, o.Behind
			e.Cost.N = o.Chance.N
		}
		if o.Action == own {
			e.Before = o.Chance
		}
	}
	if len(a.Candidates) == 1 { // nothing was to be chosen: one value serves for all
		if e, err = c.forced(ctx, q, e, budget); err != nil {
			return e, err
		}
	}
	l, err := c.inPassing(ctx, v.Seat)
	if err != nil {
		return e, err
	}
	e.Expected, err = l.NextGames(ctx, v, taken, c.Seed+2, max(leastMean, e.Taken.N))
	e.rest()
	return e, err
}

// rest works out what the cost and the swing leave over.
func (w *Worth) rest() {
	w.Rest = w.BestValue.Value.Less(w.Before.Value) + w.Expected.Value.Less(w.Taken.Value)
}

// leastMean is the fewest games for the mean over what could have come.
const leastMean = 128

// forced values the only legal decision.
func (c *Counsel) forced(ctx context.Context, q *question, e Entry, budget Budget) (Entry, error) {
	m, err := q.value(ctx, q.actions[0], budget)
	e.Before, e.Taken, e.BestValue = m, m, m
	return e, err
}

// close adds the swings of decisions one after the other, of which the last led to a value, and their
// remainder, and looks for the costliest.
func (rev *Review) close(worths []*Worth, end stat.Interval[unit.Chance]) {
	if rev.Start.N == 0 {
		rev.Start = worths[0].Before
	}
	for i, w := range worths {
		after := end
		if i+1 < len(worths) {
			after = worths[i+1].Before
		}
		w.Swing = stat.Less(after, w.Expected)
		rev.Remainder += w.Rest
	}
	worst := unit.ChanceDifference(0)
	rev.Costliest = -1
	for i, w := range rev.all() {
		if w.Cost.Low > 0 && w.Cost.Value > worst {
			worst, rev.Costliest = w.Cost.Value, i
		}
	}
}

// all are the worths of the passing and then of the play.
func (rev *Review) all() []*Worth {
	worths := rev.passing()
	for i := range rev.Play {
		worths = append(worths, &rev.Play[i].Worth)
	}
	return worths
}

// valueOf is the value of what a seat knows with the counsel's player deciding; at the end of the
// passing it is the estimate for the rack itself, which has no error of sampling.
func (c *Counsel) valueOf(ctx context.Context, v charleston.View, budget Budget) (stat.Interval[unit.Chance], error) {
	if v.Phase == charleston.Over {
		level, err := c.Level(ctx)
		if err != nil {
			return stat.Interval[unit.Chance]{}, err
		}
		return stat.Exact(unit.Chance(level.Chance(c.Own.New(), &v)), 1), nil
	}
	q, err := c.question(v)
	if err != nil {
		return stat.Interval[unit.Chance]{}, err
	}
	return q.value(ctx, sim.Decide(c.Own.New(), &v), budget)
}

// Sums adds up the costs and the swings of all decisions.
func (rev *Review) Sums() (costs, swings unit.ChanceDifference) {
	for _, w := range rev.all() {
		costs += w.Cost.Value
		swings += w.Swing.Value
	}
	return costs, swings
}

// Balance is End less what Start, costs, swings and the remainder add up to: 0 but for rounding.
func (rev *Review) Balance() unit.ChanceDifference {
	costs, swings := rev.Sums()
	return rev.End.Value.Less(rev.Start.Value) + costs - swings - rev.Remainder
}
