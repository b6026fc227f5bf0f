package workbook

import (
	"fmt"
	"net/http"
	"strconv"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/draw"
	"secondpass/paper/sheet"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
	"secondpass/store"
)

// routePictures is what can be taken away, as a picture or on paper: a rack, a step, a whole sheet, a comparison.
func (s *Area) routePictures(mux page.Routes) {
	mux.HandleFunc("GET /exercises/{id}/paper", s.Handle(s.exercisePaper))
	mux.HandleFunc("GET /pictures/rack", s.Handle(s.rackPicture))
	mux.HandleFunc("GET /exercises/{id}/pictures", s.Handle(s.showPictures))
	mux.HandleFunc("GET /exercises/{id}/pictures.zip", s.Handle(s.allPictures))
	mux.HandleFunc("GET /exercises/{id}/picture", s.Handle(s.sheetPicture))
	mux.HandleFunc("GET /exercises/{id}/routes/{route}/picture", s.Handle(s.stepPicture))
}

// rackPicture is any rack as typed.
func (s *Area) rackPicture(w http.ResponseWriter, r *http.Request) error {
	wish, err := page.WishOf(r)
	if err != nil {
		return err
	}
	rack, err := tile.Parse(r.FormValue("rack"), tile.Usual)
	if err != nil {
		return page.Refused("The rack: %s.", err)
	}
	if rack.Size() == 0 {
		return page.Refused("A picture of no tiles: type a rack first.")
	}
	return page.SendPicture(w, sheet.Rack(r.FormValue("title"), sheet.Tiles(rack), r.FormValue("caption"), wish.Shape), wish, "rack "+rack.String())
}

// picked is the exercise of the address and the routes of it that were asked for.
func (s *Area) picked(r *http.Request) (*store.Saved, []int, []exercise.Column, error) {
	x, err := address.Exercise(s.store, r)
	if err != nil {
		return nil, nil, nil, err
	}
	picked, err := shownRoutes(x.Exercise, r.FormValue("routes"))
	if err != nil {
		return nil, nil, nil, err
	}
	columns := make([]exercise.Column, len(picked))
	for i, n := range picked {
		if columns[i], err = x.Column(x.Routes[n]); err != nil {
			return nil, nil, nil, err
		}
	}
	return x, picked, columns, nil
}

// drawn is what pictures and paper of the routes asked for show.
func (s *Area) drawn(r *http.Request) (*store.Saved, []exercise.Column, []sheet.Figure, error) {
	x, picked, columns, err := s.picked(r)
	if err != nil {
		return nil, nil, nil, err
	}
	return x, columns, s.pictureFigures(x, picked), nil
}

// sheetPicture is the routes side by side, or their comparison alone.
func (s *Area) sheetPicture(w http.ResponseWriter, r *http.Request) error {
	wish, err := page.WishOf(r)
	if err != nil {
		return err
	}
	x, columns, figures, err := s.drawn(r)
	if err != nil {
		return err
	}
	if r.FormValue("of") == "comparison" {
		return page.SendPicture(w, sheet.Comparison(x.Exercise.Name, columns, figures, wish.Shape), wish, x.Exercise.Name+" comparison")
	}
	return page.SendPicture(w, sheet.Routes(x.Exercise, columns, figures, wish.Shape), wish, x.Exercise.Name)
}

// pictureFigures is chance and points as far as they were simulated.
func (s *Area) pictureFigures(x *store.Saved, picked []int) []sheet.Figure {
	found, ok := s.outlookNow(x, picked).Data.(*view.OutlookFound)
	if !ok || found.Looks == nil {
		return nil
	}
	var chances []stat.Interval[unit.Chance]
	var points []stat.Interval[unit.NetPoints]
	for _, l := range found.Looks {
		chances, points = append(chances, l.Chance), append(points, l.Points)
	}
	chance := spanFigure("Chance to win, %", 100, chances)
	point := spanFigure("Net points", 1, points)
	if len(found.Gaps) == 1 {
		chance.Less = view.Minus(wording.ChancePoints(found.Gaps[0].Chance)) + wording.Shown(found.Gaps[0].Chance)
		point.Less = view.Minus(wording.Points(found.Gaps[0].Points)) + wording.Shown(found.Gaps[0].Points)
	}
	note := sheet.Figure{Label: "Simulated"}
	for range found.Looks {
		note.Words = append(note.Words, fmt.Sprintf("%d games, seed %d, 95 %% intervals", found.Looks[0].Chance.N, x.Seed))
	}
	return []sheet.Figure{chance, point, note}
}

func spanFigure[U unit.Unit](label string, factor float64, intervals []stat.Interval[U]) sheet.Figure {
	s := view.ScaleOf(factor, intervals...)
	f := sheet.Figure{Label: label, Low: s.Low, High: s.High}
	for _, one := range intervals {
		i := one.Plain()
		text := view.Minus(strconv.FormatFloat(factor*i.Value, 'f', 1, 64))
		span := draw.Span{Value: factor * i.Value, Low: factor * i.Value, High: factor * i.Value}
		if i.Bounded() {
			span.Low, span.High = factor*i.Low, factor*i.High
			text += " (" + view.RangeText(span.Low, span.High, true) + ")"
		}
		f.Words, f.Spans = append(f.Words, text), append(f.Spans, span)
	}
	return f
}

// stepPicture is one step of a route, or, without a step, its rack as it is now.
func (s *Area) stepPicture(w http.ResponseWriter, r *http.Request) error {
	wish, err := page.WishOf(r)
	if err != nil {
		return err
	}
	x, route, t, err := address.Route(s.store, r)
	if err != nil {
		return err
	}
	if r.FormValue("of") == "strip" {
		column, err := x.Column(route)
		if err != nil {
			return err
		}
		return page.SendPicture(w, sheet.RouteStrip(x.Exercise, &column, wish.Shape), wish, x.Exercise.Name+" strip "+route.ID)
	}
	if r.FormValue("at") == "" {
		rack := t.Now.Rack()
		if t.Game != nil {
			rack = t.Game.View().Rack()
		}
		return page.SendPicture(w, sheet.Rack(x.Exercise.Name, sheet.Tiles(rack), "", wish.Shape), wish, x.Exercise.Name+" rack")
	}
	at, err := strconv.Atoi(r.FormValue("at"))
	if err == nil && at >= len(t.Snapshots) && at < route.Len() && t.Now.Phase() == charleston.Over {
		return s.playPicture(w, wish, x, route, at)
	}
	if err != nil || at < 0 || at >= len(t.Snapshots) {
		return page.NotFound("Route %s has no step number %q.", route.Name, r.FormValue("at"))
	}
	column, err := x.Column(route)
	if err != nil {
		return err
	}
	return page.SendPicture(w, sheet.Pass(&column, at, wish.Shape), wish, fmt.Sprintf("%s step %d", x.Exercise.Name, at+1))
}

// playPicture is the rack at one of the player's decisions in the play, and what was decided.
func (s *Area) playPicture(w http.ResponseWriter, wish page.PictureWish, x *store.Saved, route *exercise.Route, at int) error {
	cut := route.Upto(at)
	then, err := x.Replay(&cut)
	if err != nil {
		return err
	}
	act := route.Choice(at).Action
	title := fmt.Sprintf("%s, play %d", x.Exercise.Name, at-len(route.Decisions)+1)
	return page.SendPicture(w, sheet.Rack(title, view.RackAtPlay(then.Game, act), view.PlayedText(then.Game, act)+".", wish.Shape), wish, title)
}
