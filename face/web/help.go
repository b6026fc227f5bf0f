package web

import (
	"net/http"

	"secondpass/face/web/page"
)

// routeHelp is the help: the words, the keys, and how a rack and a card are written.
func (s *Server) routeHelp(mux page.Routes) {
	mux.HandleFunc("GET /help", s.Handle(func(w http.ResponseWriter, _ *http.Request) error {
		s.Render(w, http.StatusOK, "help", page.Page{Title: "Help", Section: "Help", Data: s.dir})
		return nil
	}))
}
