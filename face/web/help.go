package web

import "net/http"

// routeHelp is the help: the words, the keys, and how a rack and a card are written.
func (s *Server) routeHelp(mux *http.ServeMux) {
	mux.HandleFunc("GET /help", s.handle(func(w http.ResponseWriter, _ *http.Request) error {
		s.render(w, http.StatusOK, "help", page{Title: "Help", Section: "Help"})
		return nil
	}))
}
