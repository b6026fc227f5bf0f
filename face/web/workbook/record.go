package workbook

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"

	"secondpass/advice"
	"secondpass/exercise"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/store"
	"secondpass/teach/drill"
	"secondpass/work/queue"
)

// routeRecord is a route that counts in a student's results.
func (s *Area) routeRecord(mux page.Routes) {
	mux.HandleFunc("GET /exercises/{id}/routes/{route}/record", s.Handle(s.showRecord))
	mux.HandleFunc("POST /exercises/{id}/routes/{route}/record", s.Handle(s.startRecord))
	mux.HandleFunc("GET /exercises/{id}/routes/{route}/record/live", s.Handle(s.liveRecord))
}

// recordPage is the form, and how far the record is.
type recordPage struct {
	ID       int64
	Name     string
	Route    view.RouteHead
	Over     bool
	Students []drill.Student
	Student  string
	Live     recordPart
}

// recordPart is the part that changes while one watches.
type recordPart struct {
	Path, Student, Progress string
	Watch                   string // where it is to be watched
	queue.Shown
	Started  bool
	Done, Of int
	Kept     string
}

// recordFound is what the job publishes.
type recordFound struct {
	done, of int
	Cards    string // what was kept, once it was
}

func recordKey(x *store.Saved, route *exercise.Route, st *drill.Student) string {
	return fmt.Sprintf("record %d %q %s", st.ID, st.Name, reviewKey(x, route)) // the number may come again after a deletion
}

// recordedStudent is the student that a request names.
func (s *Area) recordedStudent(name string) (drill.Student, error) {
	st, err := s.store.Student(name)
	if errors.Is(err, store.ErrNoStudent) {
		return st, page.NotFound("There is no student %s; add one under Practice.", name)
	}
	return st, err
}

func (s *Area) showRecord(w http.ResponseWriter, r *http.Request) error {
	x, route, _, err := address.Route(s.store, r)
	if err != nil {
		return err
	}
	p := recordPage{ID: x.ID, Name: x.Exercise.Name, Student: r.FormValue("student")}
	_, p.Route = view.HeadsOf(x.ID, x.Exercise, route.ID)
	if _, p.Over, err = drill.Ended(x.Exercise, route, s.store.Now()); err != nil {
		return err
	}
	if p.Students, err = s.store.Students(); err != nil {
		return err
	}
	if p.Student != "" {
		st, err := s.recordedStudent(p.Student)
		if err != nil {
			return err
		}
		p.Live = recordPartOf(x, route, &st, s.jobs.Now(recordKey(x, route, &st)))
	} else if st, err := s.practising(r); err == nil {
		p.Student = st.Name
	}
	s.Render(w, http.StatusOK, "record", page.Page{Title: "Record for a student", Section: "Exercises", Data: p})
	return nil
}

func recordPartOf(x *store.Saved, route *exercise.Route, st *drill.Student, now queue.Shown) recordPart {
	p := recordPart{Path: view.StepPath(x.ID, route.ID) + "/record", Student: st.Name, Progress: view.ProgressPath(st.Name), Shown: now, Started: now.State != ""}
	p.Watch = p.Path + "/live?student=" + url.QueryEscape(st.Name)
	if found, ok := now.Data.(*recordFound); ok {
		p.Done, p.Of, p.Kept = found.done, found.of, found.Cards
	}
	return p
}

// startRecord reviews the route, unless it was, and keeps what its decisions cost and how its passing ended.
func (s *Area) startRecord(w http.ResponseWriter, r *http.Request) error {
	x, route, _, err := address.RouteForm(s.store, r)
	if err != nil {
		return err
	}
	st, err := s.recordedStudent(r.PostForm.Get("student"))
	if err != nil {
		return err
	}
	_, over, err := drill.Ended(x.Exercise, route, s.store.Now())
	if err != nil {
		return err
	}
	key := recordKey(x, route, &st)
	switch {
	case r.PostForm.Get("act") == "stop":
		s.jobs.Halt(key)
	case !over:
		return page.Refused("The passing of route %s is not over. Walk it to its end first.", route.Name)
	default:
		if err := s.jobs.Start(key, func(int, any) queue.Work { return s.record(x, route, &st) }); err != nil {
			return err
		}
	}
	return page.SeeOther(w, r, view.StepPath(x.ID, route.ID)+"/record?student="+url.QueryEscape(st.Name))
}

func (s *Area) record(x *store.Saved, route *exercise.Route, st *drill.Student) queue.Work {
	return func(ctx context.Context, publish func(any)) error {
		rev, err := s.reviewed(ctx, x, route, publish)
		if err != nil {
			return err
		}
		kept, err := s.desk.Record(st.Name, x, route, rev)
		if err != nil {
			return err
		}
		publish(&recordFound{kept, kept, wording.Plural(kept, "decision") + " and how the Charleston ended are kept for " + st.Name + "."})
		return nil
	}
}

// reviewed is the last review of a route that came to its end, or a new one.
func (s *Area) reviewed(ctx context.Context, x *store.Saved, route *exercise.Route, publish func(any)) (*advice.Review, error) {
	if rev := wholeReview(s.jobs.Now(reviewKey(x, route))); rev != nil {
		return rev, nil
	}
	publish(&recordFound{of: route.Len()})
	rev, err := s.desk.Review(ctx, x.Exercise, route, usually, advice.Budget{Games: reviewGames}, func(done, of int) { publish(&recordFound{done: done, of: of}) })
	return rev.Review, err
}

// wholeReview is the ledger of a review if it came to its end, else nil: what a stopped one had judged lacks decisions.
func wholeReview(now queue.Shown) *advice.Review {
	found, ok := now.Data.(*view.ReviewFound)
	if !ok || found.Part {
		return nil
	}
	return found.Ledger
}

func (s *Area) liveRecord(w http.ResponseWriter, r *http.Request) error {
	x, route, _, err := address.Route(s.store, r)
	if err != nil {
		return err
	}
	st, err := s.recordedStudent(r.FormValue("student"))
	if err != nil {
		return err
	}
	j, err := s.jobs.Watched(recordKey(x, route, &st))
	if err != nil {
		return err
	}
	return page.Follow[queue.Shown](w, r, j, func(now queue.Shown) ([]byte, error) {
		return s.Text("record", "record-live", recordPartOf(x, route, &st, now))
	})
}
