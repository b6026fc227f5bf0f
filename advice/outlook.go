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
type outlooks struct {
	Wins   *stat.Paired[unit.Count]
	Points *stat.Paired[unit.NetPoints]
}

func newOutlooks(n int) *outlooks {
	return &outlooks{stat.NewPaired[unit.Count](n), stat.NewPaired[unit.NetPoints](n)}
}

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
	at      []*moment
	counsel *Counsel
	ahead   *sim.Lookahead
	total   *outlooks
	played  int
}

// NewOutlookRun prepares the games. Routes that have not come to the end of the passing are an error.
func (c *Counsel) NewOutlookRun(e *exercise.Exercise, routes []*exercise.Route) (*OutlookRun, error) {
	o := &OutlookRun{routes: routes, views: make([]charleston.View, len(routes)), counsel: c, ahead: c.ownAhead(e.Seat), total: newOutlooks(len(routes))}
	for i, r := range routes {
		t, err := e.Replay(r)
		if err != nil {
			return nil, err
		}
		if t.Now.Phase() != charleston.Over {
			return nil, fmt.Errorf("route %s has not come to the end of the passing", r.Name)
		}
		o.views[i] = t.Now.View()
		o.at = append(o.at, c.decided(&o.views[i]))
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
	defer func() {
		for _, at := range o.at {
			at.keep()
		}
	}()
	played, err := sim.Run(ctx, o.played, games, o.total, func() func(sim.Shard) (*outlooks, error) {
		w := o.ahead.Worker()
		return func(s sim.Shard) (*outlooks, error) { return o.shard(w, s) }
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

// Kept is the greatest number of games that are kept of a route.
func (o *OutlookRun) Kept() int {
	most := 0
	for _, at := range o.at {
		most = max(most, at.most())
	}
	return most
}

// Recall takes in the games that are kept of every route, and plays none: so many as each of them has.
func (o *OutlookRun) Recall() {
	games := make([]*series, len(o.at))
	n := 0
	for i, at := range o.at {
		games[i] = at.what(ended)
		if had := len(games[i].games); i == 0 || had < n {
			n = had
		}
	}
	wins, points := make([]int, len(games)), make([]int, len(games))
	for g := o.played; g < n; g++ {
		for i, s := range games {
			wins[i], points[i] = counted(s.games[g])
		}
		o.total.Wins.Add(wins)
		o.total.Points.Add(points)
	}
	o.played = max(o.played, n)
}

// counted is what a game adds: whether it was won, and its net points.
func counted(one sim.Whole) (won, points int) { return int(one.Result / sim.Sure), one.Points }

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

// shard plays some games of every route.
func (o *OutlookRun) shard(w *sim.Ahead, s sim.Shard) (*outlooks, error) {
	part := newOutlooks(len(o.views))
	wins, points := make([]int, len(o.views)), make([]int, len(o.views))
	var tries []sim.Try
	for i := range o.views {
		tries = append(tries, o.at[i].try(ended, o.counsel.out(&o.views[i])))
	}
	for g := s.First; g < s.First+s.Count; g++ {
		for i, try := range tries {
			one, err := try(w, uint64(g))
			if err != nil {
				return nil, err
			}
			wins[i], points[i] = counted(one)
		}
		part.Wins.Add(wins)
		part.Points.Add(points)
	}
	return part, nil
}
