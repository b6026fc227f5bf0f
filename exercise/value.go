package exercise

import (
	"context"
	"fmt"

	"secondpass/charleston"
	"secondpass/internal/stat"
	"secondpass/sim"
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

// Outlooks plays whole games from the end of each route's passing: what the seat does not see is laid
// out afresh in every game, with the same random numbers for all routes. Routes that have not come to the
// end are an error. A stopped run keeps the games it has. progress may be nil.
func (c *Counsel) Outlooks(ctx context.Context, e *Exercise, routes []*Route, games int, progress func(played int)) ([]Outlook, []OutlookGap, error) {
	views := make([]charleston.View, len(routes))
	for i, r := range routes {
		t, err := e.Replay(r)
		if err != nil {
			return nil, nil, err
		}
		if t.Now.Phase() != charleston.Over {
			return nil, nil, fmt.Errorf("route %s has not come to the end of the passing", r.Name)
		}
		views[i] = t.Now.View()
	}
	ahead := c.ownAhead(e.Seat)
	total := newOutlooks(len(routes))
	played, err := sim.Run(ctx, 0, games, total, func() func(sim.Shard) (*outlooks, error) {
		w := ahead.Worker()
		return func(s sim.Shard) (*outlooks, error) { return playOutlooks(w, views, c.Seed, s) }
	}, func(played int) bool {
		if progress != nil {
			progress(played)
		}
		return false
	})
	if err != nil || played == 0 {
		return nil, nil, err
	}
	looks, gaps := total.results(routes, played)
	return looks, gaps, nil
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
