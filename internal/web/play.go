package web

import (
	"net/http"

	"secondpass/exercise"
	"secondpass/internal/store"
)

// showPlay is the play of a route.
func (s *Server) showPlay(w http.ResponseWriter, code int, x *store.Saved, route *exercise.Route, t exercise.Trail, said string) error {
	return refused("The play page is being built.")
}
