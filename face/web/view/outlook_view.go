package view

import (
	"secondpass/advice"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/work/queue"
)

// OutlookPart is chance and points of the routes side by side as far as they are known.
type OutlookPart struct {
	ID    int64
	Query string
	// Back is the page that it stands on where that is not the sheet.
	Back string
	Seed uint64
	queue.Shown
	Rows  []outlookRow
	Pairs []string // what the differences of a row are between
	// Routes are the heads of the columns, as in the comparison above; Many as there.
	Routes  []RouteHead
	Many    bool
	Games   int
	Started bool
}

// outlookRow is one figure of each route on a common scale.
type outlookRow struct {
	Name, Scale string
	Cells       []Figure
	Gaps        []string
	Verdicts    []string
}

// GapAt is how a route stands beside the first one, in figures and words; "" of the first.
func (r outlookRow) GapAt(i int) string {
	if i == 0 || i > len(r.Gaps) {
		return ""
	}
	return r.Gaps[i-1] + ": " + r.Verdicts[i-1]
}

// OutlookFound is what the job publishes.
type OutlookFound struct {
	Run   *advice.OutlookRun
	Looks []advice.Outlook
	Gaps  []advice.OutlookGap
}

func NewOutlookPart(x Exercise, shownRoutes []int, now queue.Shown) OutlookPart {
	p := OutlookPart{ID: x.ID, Seed: x.Seed, Shown: now, Started: now.State != ""}
	p.Many = len(shownRoutes) > differing
	for i, n := range shownRoutes {
		p.Routes = append(p.Routes, HeadOf(x.ID, x.Exercise, n))
		if i > 0 {
			p.Query += ","
		}
		p.Query += x.Routes[n].ID
		if i > 0 {
			p.Pairs = append(p.Pairs, besides(x.Routes[n].ID, x.Routes[shownRoutes[0]].ID))
		}
	}
	found, ok := now.Data.(*OutlookFound)
	if !ok || found.Looks == nil {
		return p
	}
	p.Games = found.Looks[0].Chance.N
	chance, points := outlookRow{Name: "Chance to win"}, outlookRow{Name: "Net points"}
	var chances []stat.Interval[unit.Chance]
	var means []stat.Interval[unit.NetPoints]
	for _, l := range found.Looks {
		chances, means = append(chances, l.Chance), append(means, l.Points)
	}
	chance.Cells, chance.Scale = PercentFigures(chances)
	points.Cells, points.Scale = PointFigures(means)
	drawn := ClassesOf(x.Exercise, shownRoutes)
	for i := range chance.Cells {
		chance.Cells[i].Class, points.Cells[i].Class = drawn[i], drawn[i]
		letter := x.Routes[shownRoutes[i]].ID
		chance.Cells[i].Of, points.Cells[i].Of = letter, letter
	}
	for _, g := range found.Gaps {
		if g.First != found.Looks[0].Route {
			continue
		}
		chance.Gaps = append(chance.Gaps, ChanceGap(g.Chance))
		chance.Verdicts = append(chance.Verdicts, verdict(g.Chance, g.Second.ID+" wins more often", g.Second.ID+" wins less often"))
		points.Gaps = append(points.Gaps, PointGap(g.Points))
		points.Verdicts = append(points.Verdicts, verdict(g.Points, g.Second.ID+" earns more", g.Second.ID+" earns less"))
	}
	p.Rows = []outlookRow{chance, points}
	return p
}

// verdict says what a difference shows; an interval that holds 0 shows none.
func verdict[U unit.Unit](i stat.Interval[U], more, less string) string {
	switch {
	case !i.Bounded() || i.Holds(0):
		return "no difference shown"
	case i.Value > 0:
		return more
	}
	return less
}
