package web

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"time"

	"secondpass/store"
)

//go:embed assets
var assets embed.FS

// Limits of what one request may bring.
const (
	maxForm   = 1 << 20 // bytes of a form
	maxImport = 8 << 20 // bytes of an exercise file
)

// Server is the workbook over a store of exercises and a folder of cards. Its methods may be called by several
// goroutines.
type Server struct {
	store *store.Store
	cards store.Cards
	log   *slog.Logger
	jobs  *jobs
	kept  *kept
	pages pages
	// hosts are the names, without ports, under which the server may be asked; see guardHost.
	hosts map[string]bool
	// address is where it listens, as host:port; "" before Serve.
	address string
	// hall is the classes that go on, door the listener by which phones join them.
	hall *hall
	door door
	// shelf is the results of experiments and card reports, and those that are counted now.
	shelf *shelf
	// showings is what waits for a student's answer.
	showings *showings
}

// New makes the server. The store and the folder are shared with the command line; log takes what went wrong
// inside.
func New(s *store.Store, cards store.Cards, log *slog.Logger) (*Server, error) {
	p, err := parsePages()
	if err != nil {
		return nil, err
	}
	return &Server{store: s, cards: cards, log: log, jobs: newJobs(), kept: newKept(cards), pages: p, hall: newHall(s), shelf: newShelf(cards), showings: newShowings(),
		hosts: map[string]bool{"localhost": true, "127.0.0.1": true, "::1": true}}, nil
}

// Serve answers on a listener until ctx ends, then finishes what it is doing within a few seconds.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	s.address = l.Addr().String()
	if host, _, err := net.SplitHostPort(s.address); err == nil {
		s.hosts[host] = true
	}
	server := &http.Server{Handler: s.Handler(), ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 30 * time.Second,
		IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 64 << 10, ErrorLog: slog.NewLogLogger(s.log.Handler(), slog.LevelWarn),
		BaseContext: func(net.Listener) context.Context { return ctx }}
	done := make(chan error, 1)
	go func() { done <- server.Serve(l) }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	}
	s.jobs.stopAll()
	s.shelf.long.stopAll()
	defer s.shelf.drain()
	defer s.hall.close()
	s.CloseDoor()
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
	files, err := fs.Sub(assets, "assets")
	if err != nil {
		panic(err) // the folder is embedded
	}
	mux.Handle("GET /assets/", http.StripPrefix("/assets/", cached(http.FileServerFS(files))))
	mux.Handle("GET /{$}", http.RedirectHandler("/exercises", http.StatusSeeOther))
	s.routeExercises(mux)
	s.routeSteps(mux)
	s.routeSheet(mux)
	s.routePlay(mux)
	s.routeReview(mux)
	s.routeLive(mux)
	s.routeCards(mux)
	s.routeHelp(mux)
	s.routePictures(mux)
	s.routeLessons(mux)
	s.routeClasses(mux)
	s.routeDrills(mux)
	s.routeExperiments(mux)
	s.routeReports(mux)
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		s.fail(w, r, notFound("There is no page %s. Begin at the exercises.", r.URL.Path))
	})
	return s.guardHost(http.NewCrossOriginProtection().Handler(guard(mux)))
}

// guard sets what every answer carries and bounds what a request may bring.
func guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'self'; img-src 'self' data:; frame-ancestors 'none'; base-uri 'none'; form-action 'self'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		limit := int64(maxForm)
		if strings.HasSuffix(r.URL.Path, "/import") {
			limit = maxImport
		}
		r.Body = http.MaxBytesReader(w, r.Body, limit)
		next.ServeHTTP(w, r)
	})
}

// guardHost refuses requests by another name than the server's own: a page elsewhere could otherwise point a name of
// its own at this machine and read along (DNS rebinding).
func (s *Server) guardHost(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		host := r.Host
		if h, _, err := net.SplitHostPort(host); err == nil {
			host = h
		}
		if !s.hosts[strings.ToLower(strings.Trim(host, "[]"))] {
			http.Error(w, "This workbook is not served under that name.", http.StatusForbidden)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// cached lets the browser keep files that change only with the program.
func cached(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Cache-Control", "max-age=3600")
		next.ServeHTTP(w, r)
	})
}

// problem is an error with its HTTP status, in a sentence for the user.
type problem struct {
	status int
	text   string
}

func (p *problem) Error() string { return p.text }

func notFound(format string, args ...any) error {
	return &problem{http.StatusNotFound, fmt.Sprintf(format, args...)}
}

// refused is wrong input.
func refused(format string, args ...any) error {
	return &problem{http.StatusUnprocessableEntity, fmt.Sprintf(format, args...)}
}

// status is the HTTP status of an error.
func status(err error) int {
	var p *problem
	var big *http.MaxBytesError
	switch {
	case errors.As(err, &p):
		return p.status
	case errors.As(err, &big):
		return http.StatusRequestEntityTooLarge
	case errors.Is(err, store.ErrNotFound), errors.Is(err, store.ErrNoDrill), errors.Is(err, store.ErrNoStudent), errors.Is(err, store.ErrNoLesson):
		return http.StatusNotFound
	case errors.Is(err, store.ErrNameTaken):
		return http.StatusUnprocessableEntity
	case errors.Is(err, store.ErrChanged):
		return http.StatusConflict
	}
	return http.StatusInternalServerError
}

// handler is a page that may fail; the error becomes a page of its own.
type handler func(w http.ResponseWriter, r *http.Request) error

func (s *Server) handle(h handler) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if err := h(w, r); err != nil {
			s.fail(w, r, err)
		}
	}
}

// fail answers with what went wrong in a sentence.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	code := status(err)
	text := err.Error()
	if code == http.StatusInternalServerError {
		s.log.Error("request failed", "method", r.Method, "path", r.URL.Path, "error", err)
	}
	s.render(w, code, "error", page{Title: "Not done", Data: text})
}

// form reads the form of a POST.
func form(r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		var big *http.MaxBytesError
		if errors.As(err, &big) {
			return &problem{http.StatusRequestEntityTooLarge, fmt.Sprintf("That is too much at once: %d bytes are the most.", big.Limit)}
		}
		return &problem{http.StatusBadRequest, "The form could not be read: " + err.Error()}
	}
	return nil
}

// seeOther sends the browser to a page after a POST.
func seeOther(w http.ResponseWriter, r *http.Request, path string) error {
	http.Redirect(w, r, path, http.StatusSeeOther)
	return nil
}
