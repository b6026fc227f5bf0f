package experiment

import (
	"slices"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
)

// OwnTally is what stands beside a measure of others: what the studied seat itself won. It is of the same deals.
type OwnTally struct {
	// Wins has, deal by deal, the measure and whether the seat won, or the differences of both.
	Wins stat.Joint[unit.Count] `json:"wins"`
	// Points are the seat's net points.
	Points stat.IntMoments[unit.NetPoints] `json:"points"`
}

// ownTally is an empty one for a measure of others, where games are played to their end, and nil for any other measure.
func ownTally(m Measure, plays bool) *OwnTally {
	if !plays || !m.othersWin() && m.Of != UsedByReceiver {
		return nil
	}
	return &OwnTally{}
}

// othersWin says whether the measure is what others win.
func (m Measure) othersWin() bool { return m.Of == Win && m.Who > 0 }

func (o *OwnTally) add(value, won, points int) {
	if o == nil {
		return
	}
	o.Wins.Add(value, won)
	o.Points.Add(points)
}

// merge adds the deals that follow; one of a result of an earlier program, which has none, stays none.
func (o *OwnTally) merge(next *OwnTally) {
	if o == nil || next == nil {
		return
	}
	o.Wins.Merge(next.Wins)
	o.Points.Merge(next.Points)
}

// sums are all sums in it.
func (o *OwnTally) sums() []stat.IntMoments[Amount] {
	if o == nil {
		return nil
	}
	return []stat.IntMoments[Amount]{stat.IntMoments[Amount](o.Wins.First()), stat.IntMoments[Amount](o.Wins.Second()), stat.IntMoments[Amount](o.Points)}
}

// hasOwn says whether any way has an OwnTally, withoutOwn is the tally with none.
func (t *Tally) hasOwn() bool {
	return slices.ContainsFunc(t.Ways, func(w WayTally) bool { return w.Own != nil })
}

func (t *Tally) withoutOwn() *Tally {
	without := *t
	without.Ways, without.Pairs = slices.Clone(t.Ways), slices.Clone(t.Pairs)
	for i := range without.Ways {
		without.Ways[i].Own = nil
	}
	for i := range without.Pairs {
		without.Pairs[i].Own = nil
	}
	return &without
}

// Own is what the studied seat itself did, beside a measure of others.
type Own struct {
	// Wins is the share of deals that it won, Points its net points: of one way, or a difference of two. The intervals stay
	// valid under peeking.
	Wins, Points stat.Interval[Amount]
	// Rest is, for a difference, that in the share which the others win of the games that the seat does not win. Where the seat
	// wins more often, the others win less often by that alone.
	Rest *stat.Interval[Amount]
	// Explains says that there is a difference, but that none is left in Rest.
	Explains bool
}

// own is that of one way.
func (r *Result) own(t *OwnTally) *Own {
	if t == nil || t.Wins.N == 0 {
		return nil
	}
	wins := t.Wins.Second()
	return &Own{Wins: stat.As[Amount](stat.BernoulliCS(int(wins.Sum), wins.Count(), r.Settings.Tuned)), Points: r.ownPoints(t.Points, 1, 1)}
}

// ownPoints is the mean of net points of one way, or of the difference of two, for one of several statements.
func (r *Result) ownPoints(points stat.IntMoments[unit.NetPoints], ways float64, several int) stat.Interval[Amount] {
	if i := stat.AsymptoticCSOf[Amount](points, r.Settings.Tuned, several); i.Bounded() {
		return i
	}
	g := newGauge(Measure{Of: Points}, r.card)
	return stat.BoundedCSOf[Amount](points, ways*g.span(r.card), r.Settings.Tuned, several)
}

// ownDifference is what the seat itself did otherwise in a way than in the other, beside the difference of the measure.
//
// The others' share of the games that the seat does not win is O/(1-S), with the means O of the measure and S of the seat's own
// wins. Where it is q in the first way and the same in the other, dO + q dS, a mean over the deals, is 0; it is told as a share of
// such games, divided by 1-S of the way. That q is itself from the games adds a part of the size of dS, which is left out.
func (r *Result) ownDifference(of Measure, pair, first, way *OwnTally, difference stat.Interval[Amount]) *Own {
	if pair == nil || first == nil || way == nil || pair.Wins.N == 0 {
		return nil
	}
	several := r.together()
	o := &Own{Points: r.ownPoints(pair.Points, 2, several)}
	bounded := func(s stat.Sample, span float64) stat.Interval[Amount] {
		if i := stat.AsymptoticCSOf[Amount](s, r.Settings.Tuned, several); i.Bounded() {
			return i
		}
		return stat.BoundedCSOf[Amount](s, span, r.Settings.Tuned, several)
	}
	o.Wins = bounded(pair.Wins.Second(), 2).Within(-1, 1)
	if !of.othersWin() {
		return o
	}
	left, leftFirst := 1-way.Wins.Second().Mean(), 1-first.Wins.Second().Mean()
	if left == 0 || leftFirst == 0 {
		return o
	}
	q := first.Wins.First().Mean() / leftFirst
	rest := stat.Over[Amount](bounded(pair.Wins.Mixed(q/(1+q)), 2), left/(1+q)).Within(-1, 1)
	o.Rest = &rest
	o.Explains = difference.Bounded() && !difference.Holds(0) && rest.Holds(0)
	return o
}
