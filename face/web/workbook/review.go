package workbook

import (
	"cmp"
	"context"
	"fmt"
	"net/http"

	"secondpass/advice"
	"secondpass/desk"
	"secondpass/exercise"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/store"
	"secondpass/work/queue"
)

// reviewGames is the budget of the first review for each decision; each "go on" has four times as many.
const reviewGames = desk.ReviewGames

// routeReview is the ledger of what a route's decisions and its luck were worth.
func (s *Area) routeReview(mux page.Routes) {
	mux.HandleFunc("GET /exercises/{id}/routes/{route}/review", s.Handle(s.showReview))
	mux.HandleFunc("POST /exercises/{id}/routes/{route}/review", s.Handle(s.startReview))
	mux.HandleFunc("GET /exercises/{id}/routes/{route}/review/live", s.Handle(s.liveReview))
}

func reviewKey(x *store.Saved, route *exercise.Route) string {
	return fmt.Sprintf("review %d %s", x.ID, routeKey(x.Exercise, route, route.Len()))
}

func (s *Area) showReview(w http.ResponseWriter, r *http.Request) error {
	x, route, t, err := address.Route(s.store, r)
	if err != nil {
		return err
	}
	p := view.NewReviewPage(numberedOf(x), route)
	if p.Live, err = view.NewReviewPart(numberedOf(x), route, &t, reviewGames, s.reviewNow(x, route)); err != nil {
		return err
	}
	s.Render(w, http.StatusOK, "review", page.Page{Title: p.Heading + ", " + x.Exercise.Name, Section: "Exercises", Data: p})
	return nil
}

// reviewNow is the review of a route: while it is made how it stands, else by all games that are kept, those too that were played
// before the workbook was started, or for advice.
func (s *Area) reviewNow(x *store.Saved, route *exercise.Route) queue.Shown {
	now := s.jobs.Now(reviewKey(x, route))
	if now.Active() || len(route.Decisions) == 0 {
		return now
	}
	rec, err := s.desk.RecallReview(x.Exercise, route, usually)
	if err != nil || rec.Review == nil { // which is said when it is asked for
		return now
	}
	found := &view.ReviewFound{Done: len(rec.Worths()), Of: route.Len(), Games: cmp.Or(rec.Games, reviewGames), Ledger: rec.Review, LedgerGames: cmp.Or(rec.Games, reviewGames), Part: rec.Part}
	if last, ok := now.Data.(*view.ReviewFound); ok && last.Ledger != nil && (found.Part || found.LedgerGames < last.LedgerGames) {
		return now // the games were not kept
	}
	if now.Data = found; now.State == "" {
		now.State = queue.Stopped
	}
	return now
}

// startReview starts the review, goes on with more games, or stops it.
func (s *Area) startReview(w http.ResponseWriter, r *http.Request) error {
	x, route, _, err := address.RouteForm(s.store, r)
	if err != nil {
		return err
	}
	key := reviewKey(x, route)
	switch {
	case len(route.Decisions) == 0:
		return page.Refused("Route %s has no decision of the passing to review. Pass first.", route.Name)
	case r.PostForm.Get("act") == "stop":
		s.jobs.Halt(key)
	default:
		before := s.reviewNow(x, route).Data
		if err := s.jobs.Start(key, func(int, any) queue.Work { return s.judge(x.Exercise, route, before) }); err != nil {
			return err
		}
	}
	return page.SeeOther(w, r, view.StepPath(x.ID, route.ID)+"/review")
}

// judge reviews a route; where a review came to its end before, with four times its games.
func (s *Area) judge(e *exercise.Exercise, route *exercise.Route, before any) queue.Work {
	found := view.ReviewFound{Of: route.Len(), Games: reviewGames}
	if last, ok := before.(*view.ReviewFound); ok && last.Ledger != nil {
		found.Ledger, found.LedgerGames, found.Part = last.Ledger, last.LedgerGames, last.Part
		if !last.Part {
			found.Games = 4 * last.LedgerGames
		}
	}
	return func(ctx context.Context, publish func(any)) error {
		show := func() {
			now := found
			publish(&now)
		}
		show()
		rev, err := s.desk.Review(ctx, e, route, usually, advice.Budget{Games: found.Games, Kept: true}, func(done, of int) {
			found.Done, found.Of = done, of
			show()
		})
		if err == nil {
			found.Ledger, found.LedgerGames, found.Part, found.Done = rev.Review, found.Games, false, found.Of
		} else if rev.Review != nil && (found.Ledger == nil || found.Part) {
			found.Ledger, found.LedgerGames, found.Part = rev.Review, found.Games, true
		}
		show()
		return err
	}
}

func (s *Area) liveReview(w http.ResponseWriter, r *http.Request) error {
	x, route, t, err := address.Route(s.store, r)
	if err != nil {
		return err
	}
	watched := s.watched(reviewKey(x, route), func() queue.Shown { return s.reviewNow(x, route) })
	return page.Follow(w, r, watched, func(now queue.Shown) ([]byte, error) {
		part, err := view.NewReviewPart(numberedOf(x), route, &t, reviewGames, now)
		if err != nil {
			return nil, err
		}
		return s.Text("review", "review-live", part)
	})
}
