package play

import (
	"embed"
	"fmt"
	"net/http"
	"net/url"

	"secondpass/exercise"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
	"secondpass/store"
)

//go:embed templates
var templates embed.FS

// Area is the pages of the game after the passing.
type Area struct{ *page.Pages }

// pages are the templates of the area.
var pages = page.Read(page.Folder(templates, "templates"), view.Parts())

// New makes the pages.
func New(site *page.Site) (*Area, error) {
	p, err := site.Pages(pages)
	return &Area{p}, err
}

// Show is the play of a route. said is why a form was refused.
func (s *Area) Show(w http.ResponseWriter, code int, x *store.Saved, route *exercise.Route, t exercise.Trail, said string) error {
	p, err := view.NewPlayPage(view.Exercise{ID: x.ID, Exercise: x.Exercise}, route, &t)
	if err != nil {
		return err
	}
	p.Refusal = said
	s.Render(w, code, "play", page.Page{Title: p.Heading + ", " + x.Exercise.Name, Section: "Exercises", Data: p})
	return nil
}

// ShowPast is the player's decision number at of a route, from 0, which is one of the play, as it was.
func (s *Area) ShowPast(w http.ResponseWriter, code int, x *store.Saved, route *exercise.Route, at int) error {
	p, err := view.NewPlayMomentPage(view.Exercise{ID: x.ID, Exercise: x.Exercise}, route, at)
	if err != nil {
		return err
	}
	s.Render(w, code, "past", page.Page{Title: p.Title() + ", " + x.Exercise.Name, Section: "Exercises", Data: p})
	return nil
}

// Act carries out the action of the play that a form holds.
func (s *Area) Act(x *store.Saved, route *exercise.Route, t *exercise.Trail, f url.Values) error {
	a, err := readAction(f, x.Seat, t.Game)
	if err == nil {
		_, err = x.Act(route.Name, a)
	}
	return err
}

// readAction is the action that a form holds. g is nil before the play has begun.
func readAction(f url.Values, seat charleston.Seat, g *exercise.Game) (table.Action, error) {
	a := table.Action{Seat: seat}
	var discard table.Discarded
	waits := false
	if g != nil {
		discard, waits = g.View().Claimable()
	}
	var err error
	switch act := f.Get("act"); act {
	case "discard":
		a.Kind = table.Discard
		a.Tile, err = oneTile(f["tile"], "the discard")
	case "decline":
		a.Kind = table.Decline
	case "claim":
		if !waits {
			return a, fmt.Errorf("no discard waits for an answer")
		}
		return table.ParseClaim(seat, discard.Tile.String()+": "+f.Get("group"))
	case "mahjong":
		a.Kind = table.Declare
		if waits {
			a.Kind, a.Tile = table.Mahjong, discard.Tile
		}
	case "exchange":
		a.Kind = table.Exchange
		if a.Tile, err = oneTile(f["tile"], "the exchange"); err == nil {
			a.From, err = charleston.ParseSeat(f.Get("from"))
		}
	case "declare":
		a.Kind = table.Declare
	default:
		err = fmt.Errorf("%q is nothing that is done in the play: discard, decline, claim, mahjong, exchange and declare are", act)
	}
	return a, err
}

// oneTile reads the single tile that an action needs.
func oneTile(codes []string, what string) (tile.Kind, error) {
	_, kinds, err := view.ReadTiles(codes)
	if err == nil && len(kinds) != 1 {
		err = fmt.Errorf("one tile is right for %s, and %d were chosen", what, len(kinds))
	}
	if err != nil {
		return 0, err
	}
	return kinds[0], nil
}
