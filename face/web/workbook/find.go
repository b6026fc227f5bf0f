package workbook

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"time"

	"secondpass/rules/tile"
	"secondpass/store"
)

// find is what the first page looks for among the exercises.
type find struct {
	Name, Has, Card, Aim string
	// Error is why it cannot be looked for.
	Error string
}

func readFind(r *http.Request) find {
	text := func(name string) string { return strings.TrimSpace(r.FormValue(name)) }
	if r.Method != http.MethodGet {
		return find{} // the fields are those of a new exercise
	}
	return find{Name: text("q"), Has: text("has"), Card: text("on"), Aim: text("aim")}
}

// More says whether more than the name is asked for.
func (f find) More() bool { return f.Has+f.Card+f.Aim != "" }

// Any says whether anything is asked for.
func (f find) Any() bool { return f.Name != "" || f.More() }

func (f *find) wish() (store.Wish, error) {
	has, err := tile.ParseList(f.Has)
	if err != nil {
		err = fmt.Errorf("the tiles that were dealt: %w", err)
	}
	return store.Wish{Name: f.Name, Card: f.Card, Has: tile.RackOf(has...), Aim: f.Aim}, err
}

// found is the exercises that are looked for; none where that is no question.
func (s *Area) found(f *find, wish store.Wish) ([]store.Entry, error) {
	switch {
	case f.Error != "":
		return nil, nil
	case f.Any():
		return s.store.Search(wish)
	}
	return s.store.List(false)
}

// dealtCookie remembers the card and the seat of the last deal.
const dealtCookie = "dealt"

// remember takes the card from the address, else the card and seat of the last deal.
func (f *startForm) remember(r *http.Request) {
	if c, err := r.Cookie(dealtCookie); err == nil {
		if kept, err := url.ParseQuery(c.Value); err == nil {
			f.Card, f.Seat = kept.Get("card"), kept.Get("seat")
		}
	}
	if asked := r.FormValue("card"); asked != "" {
		f.Card = asked
	}
}

// keep lets the browser remember the card and the seat of a deal.
func (f *startForm) keep(w http.ResponseWriter) {
	kept := url.Values{"card": {f.Card}, "seat": {f.Seat}}.Encode()
	http.SetCookie(w, &http.Cookie{Name: dealtCookie, Value: kept, Path: "/exercises", HttpOnly: true, SameSite: http.SameSiteLaxMode,
		MaxAge: int((180 * 24 * time.Hour).Seconds())})
}
