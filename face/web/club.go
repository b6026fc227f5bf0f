package web

import (
	"context"
	"log/slog"
	"net/http"
	"slices"

	"secondpass/face/web/page"
	"secondpass/store"
	"secondpass/work/queue"
	"secondpass/work/workers"
)

// Club is what a club says of the workbook of one of its teachers.
type Club struct {
	// Address is the public one, as in https://club.example.
	Address string
	// Room is shared by all teachers of the machine.
	Room Room
	// Allowance bounds what is simulated; nil where nothing does.
	Allowance queue.Allowance
	// Under is what it is done under, as a context that sends it to workers; nil for nothing. Workers looks at those, nil where there are none.
	Under   context.Context
	Workers func(context.Context) (*workers.Standing, error)
	// May says why a request may not come to a route, as in "GET /exercises", or nil. It is asked for each.
	May func(r *http.Request, route string) error
}

// Bar is the sections of a workbook in a club.
func (*Club) Bar() []page.Section {
	return slices.Insert(slices.Clone(bar), len(bar)-1, page.Section{Name: "Account", Path: "/account"})
}

// InClub makes the workbook of a teacher of a club. It is a handler of the club's server: it listens nowhere, is not stopped from its
// pages, and its backups are those of the club.
func InClub(s store.Store, kept store.Files, log *slog.Logger, club Club) (*Server, error) {
	w, err := newServer(s, kept, "", log, &club)
	if err != nil {
		return nil, err
	}
	w.jobs.Allow(club.Allowance)
	w.long.Allow(club.Allowance)
	if club.Under != nil {
		w.Under(club.Under)
	}
	if club.Workers != nil {
		w.SendsTo(club.Workers)
	}
	return w, nil
}

// Routes is all that the workbook answers, as patterns of http.ServeMux.
func (s *Server) Routes() []string { return s.routes().Patterns() }

// Phones answers the phones of students, and refuses what none needs: see [liveclass.Classes.Phones].
func (s *Server) Phones() http.Handler { return s.Classes.Phones(http.NotFoundHandler()) }

// permitted asks the club before a request comes to its page.
func (s *Server) permitted(mux *http.ServeMux, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		_, route := mux.Handler(r)
		if err := s.club.May(r, route); err != nil {
			s.Fail(w, r, err)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// Working says whether something is simulated or counted.
func (s *Server) Working() bool { return s.jobs.Working() || s.long.Working() }
