package workbook

import (
	"context"
	"crypto/sha256"
	"fmt"
	"net/http"
	"strconv"

	"secondpass/advice"
	"secondpass/exercise"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/store"
	"secondpass/work/queue"
)

// routeLive is what is simulated while somebody watches.
func (s *Area) routeLive(mux page.Routes) {
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

// routeKey names the decisions of a route up to a place, and all that they depend on.
func routeKey(e *exercise.Exercise, r *exercise.Route, upto int) string {
	cut := r.Upto(upto)
	h := sha256.Sum256(fmt.Appendf(nil, "%q %v %v %v %v %v %v %v %v %v %v", e.Card.Source, e.Set, e.House, e.Seat, e.Seed, e.Deal, e.Incoming, e.Players, cut.Decisions, cut.Play, cut.Unseen))
	return fmt.Sprintf("%x", h[:12])
}

func outlookKey(x *store.Saved, shown []int) string {
	key := "outlook " + strconv.Itoa(int(x.ID))
	for _, i := range shown {
		key += " " + routeKey(x.Exercise, x.Routes[i], x.Routes[i].Len())
	}
	return key
}

func (s *Area) outlookPart(x *store.Saved, shownRoutes []int) view.OutlookPart {
	return view.NewOutlookPart(numberedOf(x), shownRoutes, s.outlookNow(x, shownRoutes))
}

// outlookNow is what was simulated of the routes: while that goes on how it stands, else whatever has the most games.
func (s *Area) outlookNow(x *store.Saved, shownRoutes []int) queue.Shown {
	now := s.jobs.Now(outlookKey(x, shownRoutes))
	if now.Active() {
		return now
	}
	if kept := s.recalledOutlook(x, shownRoutes); outlookPlayed(kept.Data) > outlookPlayed(now.Data) {
		return kept
	}
	return now
}

// outlookPlayed is the number of games of what a job has published.
func outlookPlayed(data any) int {
	if found, ok := data.(*view.OutlookFound); ok {
		return found.Run.Played()
	}
	return 0
}

// recalledOutlook is what is kept of games that were played before the workbook was started, or by others, as a simulation that
// stands; nothing where no games are kept.
func (s *Area) recalledOutlook(x *store.Saved, picked []int) queue.Shown {
	var routes []*exercise.Route
	for _, i := range picked {
		routes = append(routes, x.Routes[i])
	}
	run, _, err := s.desk.Outlook(x.Exercise, routes, usually)
	if err != nil {
		return queue.Shown{} // which is said when it is asked for
	}
	if run.Recall(); run.Played() == 0 {
		return queue.Shown{}
	}
	return queue.Shown{State: queue.Stopped, Data: outlookFound(run)}
}

func outlookFound(run *advice.OutlookRun) *view.OutlookFound {
	looks, gaps := run.WatchedLooks(outlookTuned)
	return &view.OutlookFound{Run: run, Looks: looks, Gaps: gaps}
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
		var routes []*exercise.Route
		for _, i := range picked {
			routes = append(routes, x.Routes[i])
		}
		run, _, err := s.desk.Outlook(x.Exercise, routes, usually)
		if err != nil {
			return page.Refused("%s.", wording.Capital(err.Error()))
		}
		run.Recall()
		if err := s.jobs.Start(key, func(_ int, before any) queue.Work { return playOutlook(run, before) }); err != nil {
			return err
		}
	}
	return page.Back(w, r, view.SheetPath(x.ID)+"?routes="+r.PostForm.Get("routes")+"#comparison")
}

// playOutlook plays more games, in the run of before where that has more.
func playOutlook(run *advice.OutlookRun, before any) queue.Work {
	if found, ok := before.(*view.OutlookFound); ok && found.Run.Played() > run.Played() {
		run = found.Run
	}
	return func(ctx context.Context, publish func(any)) error {
		tell := func(int) { publish(outlookFound(run)) }
		err := run.Play(ctx, max(run.Played()+outlookGames, run.Kept()), tell)
		run.Recall() // where it was stopped a few games more are kept than were told of
		tell(run.Played())
		return err
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
	watched := s.watched(outlookKey(x, picked), func() queue.Shown { return s.recalledOutlook(x, picked) })
	return page.Follow(w, r, watched, func(now queue.Shown) ([]byte, error) {
		part := view.NewOutlookPart(numberedOf(x), picked, now)
		part.Back = r.FormValue("back")
		return s.Text("sheet", "outlook", part)
	})
}

// watched is the simulation of a key, or what is kept of it where this program does not know it.
func (s *Area) watched(key string, kept func() queue.Shown) page.Watched[queue.Shown] {
	if j := s.jobs.Find(key); j != nil {
		return j
	}
	return page.Still[queue.Shown]{Now: kept()}
}
