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

// Review is what the decisions and the luck of a route were worth.
//
// It is a ledger of values: chances to win with the counsel's player deciding from there on. With B(t) the value of the best
// decision found at decision t, and Q(t) that of what was taken,
//
//	cost(t) = B(t) - Q(t)        swing(t) = B(t+1) - Q(t)
//	Start = B(0), each decision ends with the value the next begins with, and the last with End:
//	Start - sum of costs + sum of swings = End
//
// The best is picked by other games than those that value it, so that it is not flattered: where there is nothing to gain
// costs average to 0. Swings are what came; where it comes from such players they average to 0, but for what laying out afresh
// what the seat does not see is off. In play, with D(t+1) the value before the tile is drawn with which decision t+1 begins,
//
//	swing(t) = others(t) + draw(t)        others(t) = D(t+1) - Q(t)        draw(t) = B(t+1) - D(t+1)
//
// so that what the others did is told from the luck of the tile.
//
// Method: the split of results into skill and luck by telescoping values at what a seat knows, as in advantage sum and AIVAT
// estimators (N. Burch et al., AIVAT, AAAI-18). These take the others' choices by the expectation over what their known strategies
// do with the tiles that they hold. Our players do one thing with the same tiles, so that this expectation is what they
// did: what is left of their choices is what these tell of their tiles, which is taken at what the seat knows, before and after.
type Review struct {
	Entries []Entry
	// Play are the decisions of the play that were judged: turns, claims, and discards let go that the
	// counsel's player would have claimed.
	Play []PlayEntry
	// Start is the value of the deal, End that of the rack after the last decision, or in play the result.
	Start, End stat.Interval[unit.Chance]
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
	// Before is the value that the decision begins with, that of the best one found; Taken is that of what was taken, and
	// After that of what it led to.
	Before, Taken, After stat.Interval[unit.Chance]
	// Cost is Before less Taken, on the same games; it may be below 0 by chance. Swing is After less Taken.
	Cost  stat.Interval[unit.ChanceDifference]
	Swing stat.Interval[unit.ChanceDifference]
	// Split says that a tile was drawn before the next decision. Then Others is the part of Swing that what the others did
	// brought up to the draw, and Draw the part of the tile.
	Split        bool
	Others, Draw stat.Interval[unit.ChanceDifference]
	// drawing is the value before the tile was drawn with which the decision begins, where one was.
	drawing *stat.Interval[unit.Chance]
}

// Review judges the decisions of a route, of its passing and of its play. budget is for each decision. watch,
// which may be nil, is told how many of the route's decisions are judged.
//
// A review that ctx stops gives an error and, where two decisions or more were judged, the ledger of all but the
// last of them, which ends with the value before that one.
func (c *Counsel) Review(ctx context.Context, e *exercise.Exercise, r *exercise.Route, budget Budget, watch func(done, of int)) (*Review, error) {
	t, err := e.Replay(r)
	if err != nil {
		return nil, err
	}
	rev := &Review{}
	stopped := func(done int) (*Review, error) {
		return rev.cut(), fmt.Errorf("the review was stopped after %d of %d decisions", done, r.Len())
	}
	for i, s := range t.Snapshots {
		entry, err := c.judge(ctx, s.View, s.Decision, budget)
		if ctx.Err() != nil {
			return stopped(i)
		}
		if err != nil {
			return nil, err
		}
		rev.Entries = append(rev.Entries, entry)
		if watch != nil {
			watch(i+1, r.Len())
		}
	}
	if len(rev.Entries) == 0 {
		return nil, fmt.Errorf("route %s has no decision of the passing to review", r.Name)
	}
	if t.Game != nil {
		if err := c.reviewPlay(ctx, e, r, rev, budget, watch); ctx.Err() == nil && err != nil {
			return nil, err
		}
	}
	if ctx.Err() != nil {
		return stopped(len(rev.Worths()))
	}
	end, err := c.endOf(ctx, e.Seat, r, &t, rev.Worths(), budget)
	if ctx.Err() != nil {
		return stopped(r.Len())
	}
	rev.close(end)
	return rev, err
}

// cut closes the ledger of a route whose last decision judged has no value after it: it ends before that one.
// It is nil where nothing is left.
func (rev *Review) cut() *Review {
	worths := rev.Worths()
	last := len(worths) - 1
	if last < 1 {
		return nil
	}
	end := worths[last].Before
	if plays := len(rev.Play); plays > 0 {
		rev.Play = rev.Play[:plays-1]
	} else {
		rev.Entries = rev.Entries[:last]
	}
	rev.close(end)
	return rev
}

// Worths are those of the passing and then of the play, in order.
func (rev *Review) Worths() []*Worth {
	var worths []*Worth
	for i := range rev.Entries {
		worths = append(worths, &rev.Entries[i].Worth)
	}
	for i := range rev.Play {
		worths = append(worths, &rev.Play[i].Worth)
	}
	return worths
}

const (
	// reviewShare is how many games of a decision's budget pick its best for one that values it and one that values what was
	// taken.
	reviewShare = 4
	// leastValue is the fewest games of a value.
	leastValue = 128
)

// judge values one decision and the best one found.
func (c *Counsel) judge(ctx context.Context, v charleston.View, d exercise.Decision, budget Budget) (Entry, error) {
	taken := d.Action(v.Seat)
	e := Entry{Decision: d, Best: taken}
	q, err := c.question(v)
	if err != nil {
		return e, err
	}
	if len(q.actions) == 1 { // nothing was to be chosen
		l, err := c.inPassing(ctx, v.Seat)
		if err != nil {
			return e, err
		}
		games, err := q.games(l, budget)
		if err != nil {
			return e, err
		}
		at := c.decided(&v)
		value, err := c.valueOf(ctx, l, at, named(taken), budget.enough(max(leastValue, games/reviewShare), at), q.whole(0))
		e.only(value)
		return e, err
	}
	q.finalists, q.share, q.fixed = 1, reviewShare, true
	a, err := q.ask(ctx, []charleston.Action{taken}, budget, nil)
	if err != nil {
		return e, err
	}
	all := make([]Standing, len(a.Candidates))
	for i := range a.Candidates {
		all[i] = a.Candidates[i].Standing
	}
	best := e.weigh(all, func(i int) bool { return a.Candidates[i].Action == taken })
	e.Best = a.Candidates[best].Action
	return e, nil
}

// weigh takes the values of what was taken and of the best one found from the final ones of a race, of which there are no
// others, and returns the place of the best.
func (w *Worth) weigh(all []Standing, taken func(i int) bool) (best int) {
	for i := range all {
		if s := &all[i]; s.Final && taken(i) {
			best = i
			w.only(s.Value.Chance())
		}
	}
	for i := range all {
		s := &all[i]
		if !s.Final || i == best {
			continue
		}
		w.Before = s.Value.Chance()
		// Of the two the one with the higher figure stands first.
		if w.Cost = all[max(i, best)].Behind; best < i {
			w.Cost = w.Cost.Negated()
		}
		return i
	}
	return best
}

// only is the worth of a decision that is its own best.
func (w *Worth) only(value stat.Interval[unit.Chance]) {
	w.Before, w.Taken = value, value
	w.Cost = stat.Exact(unit.ChanceDifference(0), value.N)
}

// close ends the ledger with a value, adds the swings, and looks for the costliest decision.
func (rev *Review) close(end stat.Interval[unit.Chance]) {
	rev.End, rev.Costliest = end, -1
	worst := unit.ChanceDifference(0)
	worths := rev.Worths()
	rev.Start = worths[0].Before
	for i, w := range worths {
		if w.After = end; i+1 < len(worths) {
			w.After = worths[i+1].Before
		}
		w.Swing = stat.Less(w.After, w.Taken)
		if i+1 < len(worths) && worths[i+1].drawing != nil {
			before := *worths[i+1].drawing
			w.Split, w.Others, w.Draw = true, stat.Less(before, w.Taken), stat.Less(w.After, before)
		}
		if w.Cost.Low > 0 && w.Cost.Value > worst {
			worst, rev.Costliest = w.Cost.Value, i
		}
	}
}

// ending is by what a route is valued at its end: a result, or games of something at a moment.
type ending struct {
	result *stat.Interval[unit.Chance]
	at     *moment
	name   string
	try    sim.Try
	// passing says that they begin before the end of the passing.
	passing bool
}

// ending is that of a route; own decides what the seat would do next.
func (c *Counsel) ending(own *sim.Ahead, seat charleston.Seat, r *exercise.Route, t *exercise.Trail) ending {
	switch {
	case t.Game != nil && t.Game.Over():
		won := unit.Chance(0)
		if r := t.Game.Result(); r.Ending.Won() && r.Winner == seat {
			won = 1
		}
		result := stat.Exact(won, 1)
		return ending{result: &result}
	case t.Game == nil && t.Now.Phase() != charleston.Over:
		v := t.Now.View()
		would := own.Decide(&v)
		return ending{at: c.decided(&v), name: named(would), passing: true,
			try: func(w *sim.Ahead, g uint64) (sim.Whole, error) { return w.Whole(&v, would, c.Seed, g) }}
	case t.Game == nil || r.Len() == len(r.Decisions): // a game that has begun by itself is no decision of the route
		v := t.Now.View()
		return ending{at: c.decided(&v), name: ended, try: c.out(&v)}
	}
	state := t.Game.State()
	would := own.DecidePlay(&state, seat)
	return ending{at: c.inGame(&state), name: would.String(), try: c.played(&state, would)}
}

// endOf is the value at the end of a route: the result of a finished game, else the share of whole games won from there, as
// many as valued the last decision, or as are kept.
func (c *Counsel) endOf(ctx context.Context, seat charleston.Seat, r *exercise.Route, t *exercise.Trail, worths []*Worth, budget Budget) (stat.Interval[unit.Chance], error) {
	end := c.ending(c.ownAhead(seat).Worker(), seat, r, t)
	if end.result != nil {
		return *end.result, nil
	}
	ahead := c.inPlay
	if end.passing {
		ahead = c.inPassing
	}
	l, err := ahead(ctx, seat)
	if err != nil {
		return stat.Interval[unit.Chance]{}, err
	}
	return c.valueOf(ctx, l, end.at, end.name, budget.enough(worths[len(worths)-1].Taken.N, end.at), end.try)
}

// out plays a whole game from the end of the passing.
func (c *Counsel) out(v *charleston.View) sim.Try {
	return func(w *sim.Ahead, g uint64) (sim.Whole, error) {
		r, err := w.Out(v, c.Seed, g)
		return sim.WholeOf(r, v.Seat), err
	}
}

// played plays a game to its end after an action.
func (c *Counsel) played(state *table.State, a table.Action) sim.Try {
	return func(w *sim.Ahead, g uint64) (sim.Whole, error) {
		r, err := w.Play(state, a, c.Seed, g)
		return sim.WholeOf(r, a.Seat), err
	}
}

// Sums adds up the costs and the swings of all decisions.
func (rev *Review) Sums() (costs, swings unit.ChanceDifference) {
	for _, w := range rev.Worths() {
		costs += w.Cost.Value
		swings += w.Swing.Value
	}
	return costs, swings
}

// Parts adds up what in play the others did and what tiles were drawn; the rest of the swings is not split.
func (rev *Review) Parts() (others, draws unit.ChanceDifference) {
	for _, w := range rev.Worths() {
		others += w.Others.Value
		draws += w.Draw.Value
	}
	return others, draws
}

// Balance is End less what Start, costs and swings add up to: 0 but for rounding.
func (rev *Review) Balance() unit.ChanceDifference {
	costs, swings := rev.Sums()
	return rev.End.Value.Less(rev.Start.Value) + costs - swings
}
