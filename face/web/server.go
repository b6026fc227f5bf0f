package web

import (
	"context"
	"embed"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"slices"
	"time"

	"secondpass/desk"
	"secondpass/face/web/cards"
	"secondpass/face/web/experiments"
	"secondpass/face/web/live"
	"secondpass/face/web/liveclass"
	"secondpass/face/web/page"
	"secondpass/face/web/practice"
	"secondpass/face/web/ready"
	"secondpass/face/web/view"
	"secondpass/store"
)

//go:embed templates
var templateFiles embed.FS

// jobsAtOnce is how many simulations run side by side: each takes all cores, so more would only share them.
const jobsAtOnce = 2

// bar is the sections of the workbook.
var bar = []page.Section{{Name: "Exercises", Path: "/exercises"}, {Name: "Drills", Path: "/drills"}, {Name: "Lessons", Path: "/lessons"}, {Name: "Experiments", Path: "/experiments"}, {Name: "Live class", Path: "/classes"}, {Name: "Cards", Path: "/cards"}, {Name: "Help", Path: "/help"}}

// statuses is what errors of the store mean to a reader.
var statuses = []page.Known{
	{Err: store.ErrNotFound, Status: http.StatusNotFound}, {Err: store.ErrNoDrill, Status: http.StatusNotFound}, {Err: store.ErrNoStudent, Status: http.StatusNotFound},
	{Err: live.ErrNothing, Status: http.StatusNotFound}, {Err: store.ErrNoLesson, Status: http.StatusNotFound}, {Err: store.ErrNameTaken, Status: http.StatusUnprocessableEntity}, {Err: store.ErrChanged, Status: http.StatusConflict}, {Err: store.ErrInClass, Status: http.StatusConflict},
	{Err: store.ErrFull, Status: http.StatusInsufficientStorage}, {Err: store.ErrBusy, Status: http.StatusServiceUnavailable}, {Err: store.ErrReadOnly, Status: http.StatusServiceUnavailable},
	{Err: store.ErrDamaged, Status: http.StatusServiceUnavailable}, {Err: store.ErrDisk, Status: http.StatusServiceUnavailable},
}

// Server is the workbook over a store of exercises and a folder of cards. Its methods may be called by several
// goroutines.
type Server struct {
	*page.Pages
	store   store.Store
	cards   store.Cards
	tunings store.Tunings
	desk    *desk.Desk
	Jobs    *live.Jobs
	Cards   *ready.Cards
	// address is where it listens, as host:port; "" before Serve.
	address string
	// Classes is the live classes, with the listener by which phones join them.
	Classes *liveclass.Classes
	// long counts results of experiments and card reports, one at a time and apart from the short simulations.
	long *live.Jobs
	// areas are the parts of the workbook that stand on their own.
	areas    []interface{ Route(*http.ServeMux) }
	practice *practice.Area
}

// New makes the server. The store and the files are shared with the command line; log takes what went wrong
// inside.
func New(s store.Store, kept store.Files, log *slog.Logger) (*Server, error) {
	site, err := page.New(log, bar, slices.Concat(statuses, liveclass.Known)...)
	if err != nil {
		return nil, err
	}
	files, err := fs.Sub(templateFiles, "templates")
	if err != nil {
		return nil, err
	}
	p, err := site.Pages(files, view.Parts())
	if err != nil {
		return nil, err
	}
	w := &Server{Pages: p, store: s, cards: kept.Cards, tunings: kept.Tunings, desk: &desk.Desk{Store: s, Files: kept}, Jobs: live.NewJobs(jobsAtOnce, site.Readers), Cards: ready.New(kept.Tunings), long: live.NewJobs(1, site.Readers)}
	aboutExperiments, err := experiments.New(site, kept, w.long)
	if err != nil {
		return nil, err
	}
	aboutCards, err := cards.New(site, s, kept, w.long)
	if err != nil {
		return nil, err
	}
	if w.practice, err = practice.New(site, s, w.desk, w.Jobs, w.Cards); err != nil {
		return nil, err
	}
	w.areas = append(w.areas, aboutExperiments, aboutCards, w.practice)
	w.Classes, err = liveclass.New(site, s, w.Jobs, w.Cards, func() string { return w.address })
	return w, err
}

// Serve answers on a listener until ctx ends, then finishes what it is doing within a few seconds.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	s.address = l.Addr().String()
	s.ServedAt(s.address)
	server := &http.Server{Handler: s.Handler(), ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 30 * time.Second,
		IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 64 << 10, ErrorLog: slog.NewLogLogger(s.Log.Handler(), slog.LevelWarn),
		BaseContext: func(net.Listener) context.Context { return ctx }}
	done := make(chan error, 1)
	go func() { done <- server.Serve(l) }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	}
	s.Jobs.StopAll()
	s.long.StopAll()
	defer s.long.Drain()
	defer s.Classes.Close()
	s.Classes.CloseDoor()
	end, cancel := context.WithTimeout(context.Background(), 3*time.Second)
	defer cancel()
	if err := server.Shutdown(end); err != nil {
		return server.Close()
	}
	return nil
}

// Handler is the whole workbook.
func (s *Server) Handler() http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET /assets/", page.Assets())
	mux.Handle("GET /{$}", http.RedirectHandler("/exercises", http.StatusSeeOther))
	s.routeExercises(mux)
	s.routeSteps(mux)
	s.routeSheet(mux)
	s.routePlay(mux)
	s.routeReview(mux)
	s.routeLive(mux)
	s.routeHelp(mux)
	s.routePictures(mux)
	s.Classes.Route(mux)
	s.routeRecord(mux)
	for _, a := range s.areas {
		a.Route(mux)
	}
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		s.Fail(w, r, page.NotFound("There is no page %s. Begin at the exercises.", r.URL.Path))
	})
	return s.GuardHost(s.Visits(page.Guard(mux)))
}
