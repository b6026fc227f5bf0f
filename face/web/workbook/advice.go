package workbook

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"secondpass/advice"
	"secondpass/desk"
	"secondpass/exercise"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/store"
	"secondpass/work/queue"
)

func (s *Area) momentOf(r *http.Request) (*view.Moment, error) {
	x, route, t, err := address.Route(s.store, r)
	if err != nil {
		return nil, err
	}
	m := &view.Moment{Exercise: numberedOf(x), Route: route, At: route.Len(), Trail: t}
	if text := r.FormValue("at"); text != "" {
		if m.At, err = strconv.Atoi(text); err != nil || m.At < 0 || m.At > route.Len() {
			return nil, page.NotFound("Route %s has no decision number %q.", route.Name, text)
		}
	}
	if m.At < route.Len() {
		cut := route.Upto(m.At)
		if m.Trail, err = x.Replay(&cut); err != nil {
			return nil, err
		}
		c := route.Choice(m.At)
		m.Taken = &c
	}
	if m.Trail.Game == nil && m.Trail.Now.Phase() == charleston.Over || m.Trail.Game != nil && m.Trail.Game.Over() {
		return nil, page.Refused("Nothing is to be decided here: the route has come to its end. Ask at one of its steps.")
	}
	if m.Own, err = view.ReadOwnPass(r.Form, m); err != nil {
		return nil, page.Refused("Your own pass cannot be judged: %s.", err)
	}
	return m, nil
}

func momentKey(m *view.Moment) string {
	return fmt.Sprintf("advice %d %s %v", m.Exercise.ID, routeKey(m.Exercise.Exercise, m.Route, m.At), m.Named())
}

func (s *Area) showAdvice(w http.ResponseWriter, r *http.Request) error {
	m, err := s.momentOf(r)
	if err != nil {
		return err
	}
	p := view.NewAdvicePage(m)
	p.Live = view.NewAdvicePart(m, s.adviceNow(m))
	s.Render(w, http.StatusOK, "advice", page.Page{Title: "Advice: " + p.Heading, Section: "Exercises", Wide: true, Data: p})
	return nil
}

func (s *Area) startAdvice(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	m, err := s.momentOf(r)
	if err != nil {
		return err
	}
	if r.PostForm.Get("act") == "stop" {
		s.jobs.Halt(momentKey(m))
	} else {
		if err := s.jobs.Start(momentKey(m), func(round int, _ any) queue.Work {
			return s.advise(m, advice.Budget{Games: desk.AdviceGames << (2 * min(round, 6)), Kept: true})
		}); err != nil {
			return err
		}
	}
	return page.SeeOther(w, r, m.Path()+"/advice?"+m.AdviceQuery())
}

// usually is how judgements are asked for: by the exercise's own players and seed. Where a card is judged for the first time the
// page says so.
var usually = desk.Judge{Waits: func(ctx context.Context) { queue.Note(ctx, wording.FirstTime) }}

// adviceNow is the advice of a moment as far as it is known: as it is played now, or as the route keeps it.
func (s *Area) adviceNow(m *view.Moment) queue.Shown {
	if now := s.jobs.Now(momentKey(m)); now.State != "" {
		return now
	}
	return view.RecalledAdvice(m)
}

// keepAdviceEvery is how often a route is given the advice that is being played, so that little of it is lost with the program.
const keepAdviceEvery = 3 * time.Second

// advise judges the decision of a moment; each "go on" has four times the budget. The route keeps what it comes to.
func (s *Area) advise(m *view.Moment, budget advice.Budget) queue.Work {
	return func(ctx context.Context, publish func(any)) error {
		kept := time.Now()
		var last *exercise.Advised
		show := func(a desk.Answer) {
			if a.Verdict != nil {
				last = a.Verdict.Kept(a.Seed)
				publish(a.Verdict)
			} else {
				last = a.Advice.Kept(a.Seed)
				publish(a.Advice)
			}
			if last != nil && time.Since(kept) > keepAdviceEvery {
				kept = time.Now()
				s.keepAdvice(m, last)
			}
		}
		q := desk.Question{Exercise: m.Exercise.Exercise, View: m.Trail.Now.View(), Game: m.Trail.Game, Named: m.Named(), By: usually, Budget: budget}
		a, err := s.desk.Advise(ctx, q, show)
		if err == nil {
			show(a)
		}
		if last != nil {
			s.keepAdvice(m, last)
		}
		return err
	}
}

// keepAdvice lets the route keep advice on a moment, unless it has become another one meanwhile. What cannot be kept now is played
// again when it is asked for, so that nobody need be told.
func (s *Area) keepAdvice(m *view.Moment, a *exercise.Advised) {
	for range 3 {
		x, err := s.store.Load(strconv.Itoa(int(m.Exercise.ID)))
		if err != nil {
			return
		}
		route, err := x.RouteAt(m.Route.ID)
		if err != nil || route.Len() < m.At || routeKey(x.Exercise, route, m.At) != routeKey(m.Exercise.Exercise, m.Route, m.At) {
			return
		}
		if x.KeepAdvice(route.Name, m.At, a) != nil {
			return
		}
		if err = s.store.Save(x); !errors.Is(err, store.ErrChanged) {
			return
		}
	}
}

func (s *Area) liveAdvice(w http.ResponseWriter, r *http.Request) error {
	m, err := s.momentOf(r)
	if err != nil {
		return err
	}
	watched := s.watched(momentKey(m), func() queue.Shown { return view.RecalledAdvice(m) })
	return page.Follow(w, r, watched, func(now queue.Shown) ([]byte, error) {
		return s.Text("advice", "advice-live", view.NewAdvicePart(m, now))
	})
}
