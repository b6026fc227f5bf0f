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

// Outlook is what a route's rack at the end of the passing is worth in play.
type Outlook struct {
	Route *exercise.Route
	// Chance is the share of games won, Points the mean net points, over whole games.
	Chance stat.Interval[unit.Chance]
	Points stat.Interval[unit.NetPoints]
}

// OutlookGap is the second route less the first on the same games.
type OutlookGap struct {
	First, Second *exercise.Route
	Chance        stat.Interval[unit.ChanceDifference]
	Points        stat.Interval[unit.NetPoints]
}

// outlooks adds up whole games of several routes: 1 for a game won and 0 else, and net points.
type outlooks struct{ Wins, Points *stat.Paired }

func newOutlooks(n int) *outlooks { return &outlooks{stat.NewPaired(n), stat.NewPaired(n)} }

// Merge adds the games that follow.
func (o *outlooks) Merge(next *outlooks) {
	o.Wins.Merge(next.Wins)
	o.Points.Merge(next.Points)
}

// OutlookRun plays whole games from the end of each route's passing: what the seat does not see is laid out
// afresh in every game, with the same random numbers for all routes. It can be stopped and gone on with, and is
// for one goroutine at a time.
type OutlookRun struct {
	routes  []*exercise.Route
	views   []charleston.View
	counsel *Counsel
	ahead   *sim.Lookahead
	seed    uint64
	total   *outlooks
	played  int
}

// NewOutlookRun prepares the games. Routes that have not come to the end of the passing are an error.
func (c *Counsel) NewOutlookRun(e *exercise.Exercise, routes []*exercise.Route) (*OutlookRun, error) {
	o := &OutlookRun{routes: routes, views: make([]charleston.View, len(routes)), counsel: c, ahead: c.ownAhead(e.Seat), seed: c.Seed, total: newOutlooks(len(routes))}
	for i, r := range routes {
		t, err := e.Replay(r)
		if err != nil {
			return nil, err
		}
		if t.Now.Phase() != charleston.Over {
			return nil, fmt.Errorf("route %s has not come to the end of the passing", r.Name)
		}
		o.views[i] = t.Now.View()
	}
	return o, nil
}

// Play goes on until so many games are played in all or ctx ends; games that were played are kept. watch, which
// may be nil, is told how many games have been
// played in all, each time more have been added.
func (o *OutlookRun) Play(ctx context.Context, games int, watch func(played int)) error {
	if o.ahead.Beliefs == nil {
		if err := o.counsel.Believe(ctx, o.ahead); err != nil {
			return err
		}
	}
	played, err := sim.Run(ctx, o.played, games, o.total, func() func(sim.Shard) (*outlooks, error) {
		w := o.ahead.Worker()
		return func(s sim.Shard) (*outlooks, error) { return playOutlooks(w, o.views, o.seed, s) }
	}, func(played int) bool {
		o.played = played
		if watch != nil {
			watch(played)
		}
		return false
	})
	o.played = max(o.played, played)
	return err
}

// Played is the number of games so far, of each route.
func (o *OutlookRun) Played() int { return o.played }

// Looks is what the games so far make of each route, and of every two of them; nil before the first game. The
// intervals are those for a number of games fixed in advance: Wilson's, Student's t, and Newcombe's for pairs.
func (o *OutlookRun) Looks() ([]Outlook, []OutlookGap) {
	if o.played == 0 {
		return nil, nil
	}
	return o.looks(stat.Wilson, stat.MeanT[unit.NetPoints], func(a, b int) stat.Interval[unit.ChanceDifference] {
		both, onlyA, onlyB, neither := o.total.Wins.Shares(a, b)
		return stat.PairedProportions(both, onlyA, onlyB, neither)
	})
}

// WatchedLooks is like Looks with intervals that stay valid when somebody watches and stops at will. They are
// narrowest near nOpt games, which must not be chosen after looking.
func (o *OutlookRun) WatchedLooks(nOpt int) (looks []Outlook, gaps []OutlookGap) {
	if o.played == 0 {
		return nil, nil
	}
	return o.looks(
		func(won, games int) stat.Interval[unit.Chance] { return stat.BernoulliCS(won, games, nOpt) },
		func(s stat.Sample) stat.Interval[unit.NetPoints] { return stat.AsymptoticCS[unit.NetPoints](s, nOpt) },
		func(a, b int) stat.Interval[unit.ChanceDifference] {
			return stat.AsymptoticCS[unit.ChanceDifference](o.total.Wins.Less(a, b), nOpt)
		})
}

// looks are the routes and every two of them by given intervals: of a share, of a mean, and of the difference of the shares
// of two routes, first less second.
func (o *OutlookRun) looks(share func(won, games int) stat.Interval[unit.Chance], mean func(stat.Sample) stat.Interval[unit.NetPoints],
	less func(a, b int) stat.Interval[unit.ChanceDifference]) (looks []Outlook, gaps []OutlookGap) {
	for a, r := range o.routes {
		looks = append(looks, Outlook{r, share(int(o.total.Wins.Each[a].Sum), o.played), mean(o.total.Points.Each[a])})
		for b := a + 1; b < len(o.routes); b++ {
			gaps = append(gaps, OutlookGap{r, o.routes[b], less(b, a), mean(o.total.Points.Less(b, a))})
		}
	}
	return looks, gaps
}

func playOutlooks(w *sim.Ahead, views []charleston.View, seed uint64, s sim.Shard) (*outlooks, error) {
	part := newOutlooks(len(views))
	wins, points := make([]int, len(views)), make([]int, len(views))
	for g := s.First; g < s.First+s.Count; g++ {
		for i := range views {
			r, err := w.Out(&views[i], seed, uint64(g))
			if err != nil {
				return nil, err
			}
			wins[i], points[i] = 0, r.Net[views[i].Seat]
			if r.Ending.Won() && r.Winner == views[i].Seat {
				wins[i] = 1
			}
		}
		part.Wins.Add(wins)
		part.Points.Add(points)
	}
	return part, nil
}
