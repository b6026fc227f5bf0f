package exercise

import (
	"context"
	"fmt"

	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/rules/charleston"
)

// Outlook is what a route's rack at the end of the passing is worth in play.
type Outlook struct {
	Route *Route
	// Chance is the share of games won, Points the mean net points, over whole games.
	Chance, Points stat.Interval
}

// OutlookGap is the second route less the first on the same games.
type OutlookGap struct {
	First, Second  *Route
	Chance, Points stat.Interval
}

// outlooks adds up whole games of several routes.
type outlooks struct {
	wins, points []stat.IntMoments
	pairs        []outlookPair
}

type outlookPair struct {
	a, b   int
	cells  [4]int // both won, only a, only b, neither
	points stat.IntMoments
}

func newOutlooks(n int) *outlooks {
	o := &outlooks{wins: make([]stat.IntMoments, n), points: make([]stat.IntMoments, n)}
	for a := range n {
		for b := a + 1; b < n; b++ {
			o.pairs = append(o.pairs, outlookPair{a: a, b: b})
		}
	}
	return o
}

// Merge adds the games that follow.
func (o *outlooks) Merge(next *outlooks) {
	for i := range o.wins {
		o.wins[i].Merge(next.wins[i])
		o.points[i].Merge(next.points[i])
	}
	for i := range o.pairs {
		for c := range o.pairs[i].cells {
			o.pairs[i].cells[c] += next.pairs[i].cells[c]
		}
		o.pairs[i].points.Merge(next.pairs[i].points)
	}
}

func (o *outlooks) add(wins, points []int) {
	for i := range wins {
		o.wins[i].Add(wins[i])
		o.points[i].Add(points[i])
	}
	for i := range o.pairs {
		p := &o.pairs[i]
		p.cells[2*(1-wins[p.a])+1-wins[p.b]]++
		p.points.Add(points[p.b] - points[p.a])
	}
}

// OutlookRun plays whole games from the end of each route's passing: what the seat does not see is laid out
// afresh in every game, with the same random numbers for all routes. It can be stopped and gone on with, and is
// for one goroutine at a time.
type OutlookRun struct {
	routes []*Route
	views  []charleston.View
	ahead  *sim.Lookahead
	seed   uint64
	total  *outlooks
	played int
}

// NewOutlookRun prepares the games. Routes that have not come to the end of the passing are an error.
func (c *Counsel) NewOutlookRun(e *Exercise, routes []*Route) (*OutlookRun, error) {
	o := &OutlookRun{routes: routes, views: make([]charleston.View, len(routes)), ahead: c.ownAhead(e.Seat), seed: c.Seed, total: newOutlooks(len(routes))}
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
	return o.total.results(o.routes, o.played)
}

// WatchedLooks is like Looks with intervals that stay valid when somebody watches and stops at will. They are
// narrowest near nOpt games, which must not be chosen after looking.
func (o *OutlookRun) WatchedLooks(nOpt int) (looks []Outlook, gaps []OutlookGap) {
	if o.played == 0 {
		return nil, nil
	}
	for i, r := range o.routes {
		looks = append(looks, Outlook{r, stat.BernoulliCS(int(o.total.wins[i].Sum), o.played, nOpt), stat.AsymptoticCS(&o.total.points[i], nOpt)})
	}
	for _, p := range o.total.pairs {
		gaps = append(gaps, OutlookGap{o.routes[p.a], o.routes[p.b], stat.AsymptoticCS(p.chance(), nOpt), stat.AsymptoticCS(&p.points, nOpt)})
	}
	return looks, gaps
}

// chance is the second route's wins less the first's, game by game.
func (p *outlookPair) chance() stat.IntMoments {
	only := p.cells[2] - p.cells[1]
	n := 0
	for _, c := range p.cells {
		n += c
	}
	return stat.IntMoments{N: int64(n), Sum: int64(only), SumSq: int64(p.cells[1] + p.cells[2])}
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
		part.add(wins, points)
	}
	return part, nil
}

func (o *outlooks) results(routes []*Route, played int) (looks []Outlook, gaps []OutlookGap) {
	for i, r := range routes {
		looks = append(looks, Outlook{r, stat.Wilson(int(o.wins[i].Sum), played), stat.MeanT(&o.points[i])})
	}
	for _, p := range o.pairs {
		// Newcombe's difference is first less second; ours is second less first, hence the order of the cells.
		gaps = append(gaps, OutlookGap{routes[p.a], routes[p.b],
			stat.PairedProportions(p.cells[0], p.cells[2], p.cells[1], p.cells[3]), stat.MeanT(&p.points)})
	}
	return looks, gaps
}
