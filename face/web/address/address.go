// Package address finds what the addresses of requests name: exercises, their routes, cards. Only the areas of face/web
// call it.
package address

import (
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"secondpass/desk"
	"secondpass/exercise"
	"secondpass/face/web/page"
	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/store"
)

// Loader is where exercises are kept.
type Loader interface {
	// Load is the exercise of a number or a name; store.ErrNotFound where there is none.
	Load(ref string) (*store.Saved, error)
}

// Exercise is the exercise of the address. Its errors are sentences for readers, with a status of 404.
func Exercise(kept Loader, r *http.Request) (*store.Saved, error) {
	return Numbered(kept, r.PathValue("id"))
}

// Numbered is the exercise of a number, with the errors of [Exercise].
func Numbered(kept Loader, id string) (*store.Saved, error) {
	if _, err := strconv.ParseInt(id, 10, 64); err != nil {
		return nil, page.NotFound("There is no exercise %s.", id)
	}
	x, err := kept.Load(id)
	if errors.Is(err, store.ErrNotFound) {
		return nil, page.NotFound("There is no exercise %s; it may have been deleted.", id)
	}
	return x, err
}

// Route is the exercise and the route of the address, and the route replayed. An address by the route's name, as earlier
// programs gave, leads on to the one by its letter.
func Route(kept Loader, r *http.Request) (*store.Saved, *exercise.Route, exercise.Trail, error) {
	x, err := Exercise(kept, r)
	if err != nil {
		return nil, nil, exercise.Trail{}, err
	}
	route, err := x.RouteAt(r.PathValue("route"))
	switch {
	case err != nil:
		return nil, nil, exercise.Trail{}, page.NotFound("There is no route %s in this exercise.", r.PathValue("route"))
	case route.ID != r.PathValue("route") && r.Method == http.MethodGet:
		to := *r.URL
		to.Path = strings.Replace(to.Path, "/routes/"+r.PathValue("route"), "/routes/"+route.ID, 1)
		to.RawPath = ""
		return nil, nil, exercise.Trail{}, page.Elsewhere(to.String())
	}
	t, err := x.Replay(route)
	return x, route, t, err
}

// RouteForm is that of a form sent there, which is read.
func RouteForm(kept Loader, r *http.Request) (*store.Saved, *exercise.Route, exercise.Trail, error) {
	if err := page.Form(r); err != nil {
		return nil, nil, exercise.Trail{}, err
	}
	return Route(kept, r)
}

// Card is the practice card or one of the user's own, read for a set of tiles. Its errors are sentences for readers.
func Card(kept *desk.Desk, name string, set tile.Set) (*card.Card, error) {
	c, err := kept.Card(name, set)
	var problems card.Problems
	switch {
	case errors.As(err, &problems):
		return nil, fmt.Errorf("the card %s has errors; mend them on its page first: %s", problems[0].File, problems[0].Error())
	case err != nil:
		return nil, fmt.Errorf("there is no card %q; choose one of the list", name)
	}
	return c, nil
}
