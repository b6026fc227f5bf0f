package liveclass

import (
	"html/template"
	"net/http"

	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/hall"
	"secondpass/rules/tile"
	"secondpass/teach/class"
)

// projectorPage is the class for the wall: large, without the teacher's link and acts, and without names unless they are asked for.
type projectorPage struct {
	page.Page
	ID    int64
	About string
	Names bool
	Desk  deskView
}

// projected are the parts of the projector's page that change.
var projected = map[string]string{"projected": "projected"}

func (c *Classes) showProjector(w http.ResponseWriter, r *http.Request, rm *hall.Room) error {
	d, err := c.deskOf(rm, rm.Now())
	if err != nil {
		return err
	}
	on, _ := c.exercise(rm)
	p := projectorPage{Page: page.Page{Title: "Class on " + on}, ID: rm.ID, About: on, Names: namesAsked(r), Desk: *d}
	c.RenderIn(w, http.StatusOK, "projector", "wall", p)
	return nil
}

func (c *Classes) liveProjector(w http.ResponseWriter, r *http.Request, rm *hall.Room) error {
	names := namesAsked(r)
	return c.followRegions(w, r, rm, "projector", projected, func(d *deskView) any { return projectorPage{Names: names, Desk: *d} })
}

func namesAsked(r *http.Request) bool { return r.FormValue("names") == "yes" }

// votedTile is a tile of the rack with how many chose it.
type votedTile struct {
	Drawing template.HTML
	Count   int
	Share   string // of the greatest count, in per cent
	Gap     bool
}

// votedTiles are the tiles of a rack that were asked for with how many of the complete choices hold each. Of equal tiles the first
// counts those who chose one or more, the second those who chose two or more, and so on. Of a vote or number there are none.
func votedTiles(r *class.Round) []votedTile {
	if r.Question.Need == 0 {
		return nil
	}
	var counts [tile.Kinds][5]int
	most := 0
	for _, v := range r.Votes {
		if !r.Question.Complete(v.Choice) {
			continue
		}
		for k, n := range v.Choice.Own.Rack() {
			for copy := range n {
				counts[k][copy]++
				most = max(most, counts[k][copy])
			}
		}
	}
	tiles := r.Question.Rack.Tiles()
	out := make([]votedTile, len(tiles))
	copy := 0
	for i, f := range view.Plain(tiles) {
		if copy++; i == 0 || tiles[i] != tiles[i-1] {
			copy = 0
		}
		v := votedTile{Gap: f.Gap}
		if copy < len(counts[tiles[i]]) {
			v.Count = counts[tiles[i]][copy]
		}
		v.Share = share(v.Count, most)
		f.Gap = false
		v.Drawing = f.SVG("img")
		out[i] = v
	}
	return out
}
