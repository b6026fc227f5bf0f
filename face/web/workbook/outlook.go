package workbook

import (
	"context"
	"crypto/sha256"
	"fmt"
	"net/http"
	"strconv"

	"secondpass/advice"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/face/web/address"
	"secondpass/face/web/live"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/store"
)

// routeLive is what is simulated while somebody watches.
func (s *Area) routeLive(mux *http.ServeMux) {
	mux.HandleFunc("POST /exercises/{id}/outlook", s.Handle(s.startOutlook))
	mux.HandleFunc("GET /exercises/{id}/outlook/live", s.Handle(s.liveOutlook))
	mux.HandleFunc("GET /exercises/{id}/routes/{route}/advice", s.Handle(s.showAdvice))
	mux.HandleFunc("POST /exercises/{id}/routes/{route}/advice", s.Handle(s.startAdvice))
	mux.HandleFunc("GET /exercises/{id}/routes/{route}/advice/live", s.Handle(s.liveAdvice))
}

// outlookGames is how many games of each route one start plays; each "go on" plays as many more.
const outlookGames = 4096

// outlookTuned is the number of games near which the live intervals are narrowest. It is fixed before anybody
// looks.
const outlookTuned = 4096

// outlookPart is chance and points of the routes side by side as far as they are known.
type outlookPart struct {
	ID    int64
	Query string
	Seed  uint64
	live.Shown
	Rows    []outlookRow
	Pairs   []string // what the differences of a row are between
	Games   int
	Started bool
}

// outlookRow is one figure of each route on a common scale.
type outlookRow struct {
	Name, Scale string
	Cells       []view.Figure
	Gaps        []string
	Verdicts    []string
}

// outlookFound is what the job publishes.
type outlookFound struct {
	run   *advice.OutlookRun
	looks []advice.Outlook
	gaps  []advice.OutlookGap
}

// routeKey names the decisions of a route up to a place, and all that they depend on.
func routeKey(e *exercise.Exercise, r *exercise.Route, upto int) string {
	cut := r.Upto(upto)
	h := sha256.Sum256(fmt.Appendf(nil, "%q %v %v %v %v %v %v %v %v %v", e.Card.Source, e.Set, e.House, e.Seat, e.Seed, e.Deal, e.Incoming, e.Players, cut.Decisions, cut.Play))
	return fmt.Sprintf("%x", h[:12])
}

func outlookKey(x *store.Saved, shown []int) string {
	key := "outlook " + strconv.Itoa(int(x.ID))
	for _, i := range shown {
		key += " " + routeKey(x.Exercise, x.Routes[i], x.Routes[i].Len())
	}
	return key
}

func (s *Area) outlookPart(x *store.Saved, shownRoutes []int) outlookPart {
	now := s.jobs.Now(outlookKey(x, shownRoutes))
	return outlookOf(x, shownRoutes, now)
}

func outlookOf(x *store.Saved, shownRoutes []int, now live.Shown) outlookPart {
	p := outlookPart{ID: x.ID, Seed: x.Seed, Shown: now, Started: now.State != ""}
	for i, n := range shownRoutes {
		if i > 0 {
			p.Query += ","
		}
		p.Query += x.Routes[n].ID
		if i > 0 {
			p.Pairs = append(p.Pairs, x.Routes[n].ID+" less "+x.Routes[shownRoutes[0]].ID)
		}
	}
	found, ok := now.Data.(*outlookFound)
	if !ok || found.looks == nil {
		return p
	}
	p.Games = found.looks[0].Chance.N
	chance, points := outlookRow{Name: "Chance to win"}, outlookRow{Name: "Points a game"}
	var chances []stat.Interval[unit.Chance]
	var means []stat.Interval[unit.NetPoints]
	for _, l := range found.looks {
		chances, means = append(chances, l.Chance), append(means, l.Points)
	}
	chance.Cells, chance.Scale = view.PercentFigures(chances)
	points.Cells, points.Scale = view.PointFigures(means)
	drawn := view.ClassesOf(x.Exercise, shownRoutes)
	for i := range chance.Cells {
		chance.Cells[i].Class, points.Cells[i].Class = drawn[i], drawn[i]
		letter := x.Routes[shownRoutes[i]].ID
		chance.Cells[i].Of, points.Cells[i].Of = letter, letter
	}
	for _, g := range found.gaps {
		if g.First != found.looks[0].Route {
			continue
		}
		chance.Gaps = append(chance.Gaps, view.ChanceGap(g.Chance))
		chance.Verdicts = append(chance.Verdicts, verdict(g.Chance, "wins more often", "wins less often"))
		points.Gaps = append(points.Gaps, view.PointGap(g.Points))
		points.Verdicts = append(points.Verdicts, verdict(g.Points, "earns more", "earns less"))
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

// startOutlook starts the games, goes on with them, or stops them.
func (s *Area) startOutlook(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	x, err := address.Exercise(s.store, r)
	if err != nil {
		return err
	}
	picked, err := shownRoutes(x.Exercise, r.PostForm.Get("routes"))
	if err != nil {
		return err
	}
	key := outlookKey(x, picked)
	if r.PostForm.Get("act") == "stop" {
		s.jobs.Halt(key)
	} else {
		counsel, err := s.ready.Counsel(x.Exercise)
		if err != nil {
			return err
		}
		var routes []*exercise.Route
		for _, i := range picked {
			routes = append(routes, x.Routes[i])
		}
		run, err := counsel.NewOutlookRun(x.Exercise, routes)
		if err != nil {
			return page.Refused("%s.", wording.Capital(err.Error()))
		}
		s.jobs.Start(key, func(_ int, before any) live.Work { return playOutlook(run, before) })
	}
	return page.SeeOther(w, r, view.SheetPath(x.ID)+"?routes="+r.PostForm.Get("routes")+"#comparison")
}

// playOutlook plays more games, in the run of before where there is one.
func playOutlook(run *advice.OutlookRun, before any) live.Work {
	if found, ok := before.(*outlookFound); ok {
		run = found.run
	}
	return func(ctx context.Context, publish func(any)) error {
		tell := func(int) {
			looks, gaps := run.WatchedLooks(outlookTuned)
			publish(&outlookFound{run, looks, gaps})
		}
		return run.Play(ctx, run.Played()+outlookGames, tell)
	}
}

func (s *Area) liveOutlook(w http.ResponseWriter, r *http.Request) error {
	x, err := address.Exercise(s.store, r)
	if err != nil {
		return err
	}
	picked, err := shownRoutes(x.Exercise, r.FormValue("routes"))
	if err != nil {
		return err
	}
	j, err := s.jobs.Watched(outlookKey(x, picked))
	if err != nil {
		return err
	}
	return page.Follow[live.Shown](w, r, j, func(now live.Shown) ([]byte, error) {
		return s.Text("sheet", "outlook", outlookOf(x, picked, now))
	})
}
