package workbook

import (
	"context"
	"fmt"
	"net/http"
	"strconv"

	"secondpass/advice"
	"secondpass/desk"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
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
	p.Live = view.NewAdvicePart(m, s.jobs.Now(momentKey(m)))
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
		s.jobs.Start(momentKey(m), func(round int, _ any) queue.Work {
			return s.advise(m, advice.Budget{Games: desk.AdviceGames << (2 * min(round, 6)), Kept: true})
		})
	}
	return page.SeeOther(w, r, m.Path()+"/advice?at="+strconv.Itoa(m.At))
}

// usually is how judgements are asked for: by the exercise's own players and seed. Where a card is judged for the first time the
// page says so.
var usually = desk.Judge{Waits: func(ctx context.Context) { queue.Note(ctx, wording.FirstTime) }}

// advise judges the decision of a moment; each "go on" has four times the budget.
func (s *Area) advise(m *view.Moment, budget advice.Budget) queue.Work {
	return func(ctx context.Context, publish func(any)) error {
		show := func(a desk.Answer) {
			if a.Verdict != nil {
				publish(a.Verdict)
			} else {
				publish(a.Advice)
			}
		}
		q := desk.Question{Exercise: m.Exercise.Exercise, View: m.Trail.Now.View(), Game: m.Trail.Game, Named: m.Named(), By: usually, Budget: budget}
		a, err := s.desk.Advise(ctx, q, show)
		if err == nil {
			show(a)
		}
		return err
	}
}

func (s *Area) liveAdvice(w http.ResponseWriter, r *http.Request) error {
	m, err := s.momentOf(r)
	if err != nil {
		return err
	}
	j, err := s.jobs.Watched(momentKey(m))
	if err != nil {
		return err
	}
	return page.Follow[queue.Shown](w, r, j, func(now queue.Shown) ([]byte, error) {
		return s.Text("advice", "advice-live", view.NewAdvicePart(m, now))
	})
}
