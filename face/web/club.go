package web

import (
	"log/slog"
	"net/http"
	"slices"

	"secondpass/face/web/page"
	"secondpass/store"
)

// Club is what a club says of the workbook of one of its teachers.
type Club struct {
	// Address is the public one, as in https://club.example.
	Address string
	// Room is shared by all teachers of the machine.
	Room Room
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
	return newServer(s, kept, "", log, &club)
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
