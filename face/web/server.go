package web

import (
	"context"
	"embed"
	"errors"
	"log/slog"
	"net"
	"net/http"
	"slices"
	"sync"
	"time"

	"secondpass/deal"
	"secondpass/desk"
	"secondpass/face/web/cards"
	"secondpass/face/web/experiments"
	"secondpass/face/web/keeping"
	"secondpass/face/web/liveclass"
	"secondpass/face/web/page"
	"secondpass/face/web/play"
	"secondpass/face/web/practice"
	"secondpass/face/web/view"
	"secondpass/face/web/workbook"
	"secondpass/store"
	"secondpass/work/queue"
	"secondpass/work/workers"
)

//go:embed templates
var templates embed.FS

// jobsAtOnce is how many simulations run side by side: each takes all cores, so more would only share them.
const jobsAtOnce = 2

// Room is what of a machine simulations get: those that somebody waits for, and, apart from them, long counts.
type Room struct{ short, long *queue.Room }

// NewRoom is the room of one machine.
func NewRoom() Room { return Room{queue.NewRoom(jobsAtOnce, jobsAtOnce), queue.NewRoom(1, 1)} }

// bar is the sections of the workbook.
var bar = []page.Section{{Name: "Exercises", Path: "/exercises", Help: "walk"}, {Name: "Drills", Path: "/drills", Help: "drills"}, {Name: "Lessons", Path: "/lessons", Help: "lessons"}, {Name: "Experiments", Path: "/experiments", Help: "experiments"}, {Name: "Live class", Path: "/classes", Help: "classes"}, {Name: "Cards", Path: "/cards", Help: "cards"}, {Name: "Help", Path: "/help"}}

// statuses is what errors of the store mean to a reader.
var statuses = []page.Known{
	{Err: store.ErrNotFound, Status: http.StatusNotFound}, {Err: store.ErrNoDrill, Status: http.StatusNotFound}, {Err: store.ErrNoStudent, Status: http.StatusNotFound},
	{Err: queue.ErrNothing, Status: http.StatusNotFound}, {Err: store.ErrNoLesson, Status: http.StatusNotFound}, {Err: store.ErrNameTaken, Status: http.StatusUnprocessableEntity}, {Err: store.ErrChanged, Status: http.StatusConflict}, {Err: store.ErrCardChanged, Status: http.StatusConflict}, {Err: store.ErrInClass, Status: http.StatusConflict},
	{Err: store.ErrNoRoom, Status: http.StatusConflict}, {Err: deal.ErrTooRare, Status: http.StatusUnprocessableEntity},
	{Err: store.ErrFull, Status: http.StatusInsufficientStorage, OfDisk: true}, {Err: store.ErrBusy, Status: http.StatusServiceUnavailable, OfDisk: true},
	{Err: store.ErrReadOnly, Status: http.StatusServiceUnavailable, OfDisk: true}, {Err: store.ErrDamaged, Status: http.StatusServiceUnavailable, OfDisk: true},
	{Err: store.ErrDisk, Status: http.StatusServiceUnavailable, OfDisk: true}, {Err: store.ErrAway, Status: http.StatusServiceUnavailable, OfDisk: true},
	{Err: store.ErrUnsure, Status: http.StatusServiceUnavailable}, {Err: store.ErrElsewhere, Status: http.StatusServiceUnavailable},
}

// area is a part of the workbook with pages of its own.
type area interface{ Route(page.Routes) }

// Server is the workbook over a store of exercises and a folder of cards. Its methods may be called by several
// goroutines.
type Server struct {
	*page.Pages
	// address is where it listens, as host:port; "" before Serve.
	address string
	// key is asked for where it listens on the network, "" where it does not.
	key string
	// dir is the data folder.
	dir string
	// stop lets Serve end, as the page does that stops the workbook; stopped is closed then.
	stop    func()
	stopped chan struct{}
	// restore is the backup that is to be restored when Serve has ended, "" for none.
	restore string
	// Classes is the live classes, with the listener by which phones join them.
	Classes  *liveclass.Classes
	workbook *workbook.Area
	areas    []area
	// experiments is one of the areas.
	experiments *experiments.Area
	// club is what a club says of the workbook of one of its teachers, nil for a workbook of its own.
	club *Club
	// jobs is what is simulated while somebody watches. long counts results of experiments and card reports, one at a time
	// and apart from the short simulations.
	jobs, long *queue.Jobs
}

// New makes the server of a data folder. Its store and its files are shared with the command line; log takes what went
// wrong inside.
func New(s store.Store, kept store.Files, dir string, log *slog.Logger) (*Server, error) {
	return newServer(s, kept, dir, log, nil)
}

// pages are the templates of the area.
var pages = page.Read(page.Folder(templates, "templates"), view.Parts())

func newServer(s store.Store, kept store.Files, dir string, log *slog.Logger, club *Club) (*Server, error) {
	sections, room := bar, NewRoom()
	if club != nil {
		sections, room = club.Bar(), club.Room
	}
	site, err := page.New(log, sections, slices.Concat(statuses, liveclass.Known)...)
	if err != nil {
		return nil, err
	}
	tell := func(key string, err error) string { return site.Sentence(err, "simulation failed", "what", key) }
	w := &Server{dir: dir, club: club, stopped: make(chan struct{}), jobs: queue.NewJobs(room.short, site.Readers, tell), long: queue.NewJobs(room.long, site.Readers, tell)}
	w.stop = sync.OnceFunc(func() { close(w.stopped) })
	if w.Pages, err = site.Pages(pages); err != nil {
		return nil, err
	}
	site.KeptOn(s)
	return w, w.wire(site, s, kept, dir)
}

// wire makes the areas, each with what it needs.
func (s *Server) wire(site *page.Site, kept store.Store, files store.Files, dir string) error {
	asked := &desk.Desk{Store: kept, Files: files}
	played, noPlay := play.New(site)
	practised, noPractice := practice.New(site, kept, asked, s.jobs)
	worked, noWorkbook := workbook.New(site, kept, asked, s.jobs, played, practised.Practising)
	experimented, noExperiments := experiments.New(site, asked, s.long)
	read, noCards := cards.New(site, kept, asked, s.long)
	taught, noClasses := liveclass.New(site, kept, asked, s.jobs, func() string { return s.address })
	practised.PhonesAt(taught.Doors)
	practised.LeavesClassesBy(taught.RemoveSeats)
	taught.LetInTo(practised.RoutePhones)
	s.workbook, s.Classes, s.experiments = worked, taught, experimented
	s.areas = []area{worked, practised, experimented, taught, read}
	if err := errors.Join(noPlay, noPractice, noWorkbook, noExperiments, noCards, noClasses); err != nil {
		return err
	}
	if s.club != nil {
		taught.ServedAs(s.club.Address)
		return nil
	}
	held, err := keeping.New(site, dir, s.restoreFrom)
	s.areas = append(s.areas, held)
	return err
}

// Under makes a context the one that what is simulated and counted is under, as one that sends it to workers.
func (s *Server) Under(ctx context.Context) {
	s.jobs.Under(ctx)
	s.long.Under(ctx)
}

// SendsTo says that what is counted is sent to workers, and how one looks at them.
func (s *Server) SendsTo(look func(ctx context.Context) (*workers.Standing, error)) {
	s.experiments.SendsTo(look)
}

// FirstStart puts the sample exercise into a store that has never held one.
func (s *Server) FirstStart() error { return s.workbook.FirstStart() }

// Serve answers on a listener until ctx ends or somebody stops the workbook from its page, then finishes what it is doing within a few seconds.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	s.address = l.Addr().String()
	s.ServedAt(s.address)
	ctx, end := context.WithCancel(ctx)
	defer end()
	server := &http.Server{Handler: s.Handler(), ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 30 * time.Second,
		IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 64 << 10, ErrorLog: slog.NewLogLogger(s.Log.Handler(), slog.LevelWarn),
		BaseContext: func(net.Listener) context.Context { return ctx }}
	done := make(chan error, 1)
	go func() { done <- server.Serve(l) }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	case <-s.stopped:
		end() // and what flows
	}
	defer s.Close()
	s.jobs.StopAll()
	s.long.StopAll()
	s.Classes.CloseDoor()
	short, cancel := context.WithTimeout(context.Background(), 3*time.Second)
	defer cancel()
	if err := server.Shutdown(short); err != nil {
		return server.Close()
	}
	return nil
}

// Close ends what goes on by itself, and waits for it.
func (s *Server) Close() {
	s.jobs.StopAll()
	s.long.StopAll()
	s.Classes.Close()
	s.jobs.Drain()
	s.long.Drain()
}

// routes is all that the workbook answers.
func (s *Server) routes() *page.Mux {
	mux := &page.Mux{}
	mux.Handle("GET /assets/", page.Assets())
	mux.Handle("GET /{$}", http.RedirectHandler("/exercises", http.StatusSeeOther))
	mux.HandleFunc("GET /standing", s.Standing)
	s.routeHelp(mux)
	if s.club == nil {
		s.routeStop(mux)
	}
	for _, a := range s.areas {
		a.Route(mux)
	}
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		s.Fail(w, r, page.NotFound("There is no page %s. Begin at the exercises.", r.URL.Path))
	})
	return mux
}

// Handler is the whole workbook.
func (s *Server) Handler() http.Handler {
	mux := &s.routes().ServeMux
	asked := page.FormsLead(mux)
	if s.club != nil {
		asked = s.permitted(mux, asked)
	}
	workbook := page.Compressed(s.Visits(page.Guard(asked))) // a visit knows a stream by its writer, so that it is the innermost
	if s.club != nil {
		return workbook
	}
	if s.key == "" {
		return s.GuardHost(workbook)
	}
	return page.OwnAddress(s.Classes.Phones(s.Locked(s.key, workbook)))
}

// OpenToNetwork makes the server one that others on the network may reach: whoever has the key reaches all of it, everybody else
// the way into a class.
func (s *Server) OpenToNetwork(key string) { s.key = key }
