package exercise

import (
	"context"
	"fmt"
	"math"
	"slices"

	"secondpass/charleston"
	"secondpass/internal/stat"
	"secondpass/sim"
)

// Review is what the decisions and the luck of a route's passing were worth.
//
// It is a ledger. Values are chances to win by short games with the counsel's player at the seat.
// With V(t) the value before decision t when that player decides, Q(t) the value of what was taken, and B(t) that of
// the best decision found:
//
// and M(t) the mean of V(t+1) over what could have come,
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
	// Start is the value of the deal, End that of the rack after the last decision.
	Start, End stat.Interval
	// Remainder is the sum of the rests.
	Remainder float64
	// Costliest is the place of the entry with the greatest cost that is shown to be one, -1 for none.
	Costliest int
}

// Entry is one decision of the ledger.
type Entry struct {
	Decision Decision
	// Before is the value before the decision, V(t); Taken is Q(t).
	Before, Taken stat.Interval
	// Best is the best decision found, its value, and Cost what was taken fell short of it, on the same games.
	Best      charleston.Action
	BestValue stat.Interval
	Cost      stat.Interval
	// Expected is M(t), the mean value over what could have come; Swing is the value after what came
	// less that.
	Expected, Swing stat.Interval
	Rest            float64
}

// Review judges every decision of a route's passing. budget is for each decision. watch, which may
// be nil, is told how many decisions are judged.
func (c *Counsel) Review(ctx context.Context, e *Exercise, r *Route, budget Budget, watch func(done, of int)) (*Review, error) {
	t, err := e.Replay(r)
	if err != nil {
		return nil, err
	}
	rev := &Review{Costliest: -1}
	views := views(e, t.Snapshots)
	for i, s := range t.Snapshots {
		entry, err := c.judge(ctx, views[i], s.Decision, budget)
		if err != nil {
			return nil, err
		}
		if ctx.Err() != nil {
			return nil, fmt.Errorf("the review was stopped after %d of %d decisions", i, len(t.Snapshots))
		}
		rev.Entries = append(rev.Entries, entry)
		if watch != nil {
			watch(i+1, len(t.Snapshots))
		}
	}
	if len(rev.Entries) == 0 {
		return nil, fmt.Errorf("route %s has no decision to review", r.Name)
	}
	if err := rev.close(ctx, c, &t, budget); err != nil {
		return nil, err
	}
	return rev, nil
}

// views is what the seat knew before each decision.
func views(e *Exercise, snapshots []Snapshot) []charleston.View {
	views := make([]charleston.View, 0, len(snapshots))
	v := charleston.View{Seat: e.Seat, Rules: e.House.Rules}
	for _, s := range snapshots {
		d := s.Decision
		v.Step, v.Phase, v.Rack, v.Exchange = d.Step, d.Phase, s.Before, 0
		if d.Phase == charleston.Giving {
			v.Exchange = d.Own.Len()
		}
		views = append(views, v)
		switch d.Phase {
		case charleston.Passing:
			v.Gave[d.Step], v.Came[d.Step], v.Blind[d.Step] = d.Own, d.Came, d.Count
		case charleston.Naming:
			v.Blind[d.Step] = d.Count
		case charleston.Giving:
			v.Gave[d.Step], v.Came[d.Step] = d.Own, d.Came
		}
	}
	return views
}

// action is a decision as an action of the seat.
func (d *Decision) action(seat charleston.Seat) charleston.Action {
	a := charleston.Action{Seat: seat}
	switch d.Phase {
	case charleston.Passing:
		a.Kind, a.Own, a.Count = charleston.Pass, d.Own, d.Count
	case charleston.Voting:
		a.Kind, a.Stop = charleston.Vote, d.Stop
	case charleston.Naming:
		a.Kind, a.Count = charleston.Name, d.Count
	case charleston.Giving:
		a.Kind, a.Own = charleston.Give, d.Own
	}
	return a
}

// judge values one decision, the counsel's own, and the best.
func (c *Counsel) judge(ctx context.Context, v charleston.View, d Decision, budget Budget) (Entry, error) {
	taken := d.action(v.Seat)
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
	e := Entry{Decision: d, Best: a.Options[0].Action, BestValue: a.Options[0].Chance}
	for i := range a.Options {
		o := &a.Options[i]
		if o.Action == taken {
			e.Taken, e.Cost = o.Chance, o.Behind
			e.Cost.N = o.Chance.N
		}
		if o.Action == own {
			e.Before = o.Chance
		}
	}
	if len(a.Options) == 1 { // nothing was to be chosen: one value serves for all
		if e, err = c.forced(ctx, q, e, budget); err != nil {
			return e, err
		}
	}
	m, err := q.lookahead().NextGames(ctx, v, taken, c.Seed+2, max(leastMean, e.Taken.N))
	e.Expected = scaled(stat.MeanT(m), 0)
	e.Rest = e.BestValue.Value - e.Before.Value + e.Expected.Value - e.Taken.Value
	return e, err
}

// leastMean is the fewest games for the mean over what could have come.
const leastMean = 128

// forced values the only legal decision.
func (c *Counsel) forced(ctx context.Context, q *question, e Entry, budget Budget) (Entry, error) {
	m, err := q.value(ctx, budget)
	e.Before, e.Taken, e.BestValue = m, m, m
	return e, err
}

// close adds the swings, the ends and the remainder.
func (rev *Review) close(ctx context.Context, c *Counsel, t *Trail, budget Budget) error {
	rev.Start = rev.Entries[0].Before
	end, err := c.valueOf(ctx, t.Now.View(), budget)
	if err != nil {
		return err
	}
	rev.End = end
	worst := 0.0
	for i := range rev.Entries {
		e := &rev.Entries[i]
		after := end
		if i+1 < len(rev.Entries) {
			after = rev.Entries[i+1].Before
		}
		e.Swing = less(after, e.Expected)
		rev.Remainder += e.Rest
		if e.Cost.Low > 0 && e.Cost.Value > worst {
			worst, rev.Costliest = e.Cost.Value, i
		}
	}
	return nil
}

// valueOf is the value of what a seat knows with the counsel's player deciding; at the end of the
// passing it is the estimate for the rack itself, which has no error of sampling.
func (c *Counsel) valueOf(ctx context.Context, v charleston.View, budget Budget) (stat.Interval, error) {
	if v.Phase == charleston.Over {
		p := c.Calibration.Chance(c.Own.New().Worth(v.Rack))
		return stat.Interval{Value: p, Low: p, High: p, N: 1}, nil
	}
	q, err := c.question(v)
	if err != nil {
		return stat.Interval{}, err
	}
	own := sim.Decide(c.Own.New(), &v)
	q.actions = []charleston.Action{own}
	return q.value(ctx, budget)
}

// less is the difference of two independent estimates; its interval squares and adds the distances of
// their ends. Source: G. Y. Zou, A. Donner, Construction of confidence limits about effect
// measures, Statistics in Medicine 27 (2008) 1693-1702.
func less(a, b stat.Interval) stat.Interval {
	d := a.Value - b.Value
	return stat.Interval{
		Value: d,
		Low:   d - math.Hypot(a.Value-a.Low, b.High-b.Value),
		High:  d + math.Hypot(a.High-a.Value, b.Value-b.Low),
		N:     min(a.N, b.N),
	}
}

// Balance is End less what Start, costs, swings and the remainder add up to: 0 but for rounding.
func (rev *Review) Balance() float64 {
	sum := rev.Start.Value + rev.Remainder
	for _, e := range rev.Entries {
		sum += e.Swing.Value - e.Cost.Value
	}
	return rev.End.Value - sum
}

// Costs are the places of the entries by their cost, the costliest first.
func (rev *Review) Costs() []int {
	order := make([]int, len(rev.Entries))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return compareFloat(rev.Entries[b].Cost.Value, rev.Entries[a].Cost.Value) })
	return order
}
