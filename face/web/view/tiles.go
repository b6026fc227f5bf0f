package view

import (
	"html/template"
	"strings"

	lru "github.com/hashicorp/golang-lru/v2"

	"secondpass/engine/fit"
	"secondpass/paper/sheet"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// Face is one tile of a strip with what is said about it.
type Face struct {
	ID    string // of the drawing
	Name  string // for those who hear it
	Class string // passed, ghost, chosen
	Marks []string
	Gap   bool // a little space before it
}

// Strip draws tiles side by side as a list.
func Strip(label string, faces []Face) template.HTML {
	items := make([]template.HTML, len(faces))
	for i, f := range faces {
		items[i] = f.drawn("strip-item")
	}
	return fill("strip", struct {
		Label string
		Items []template.HTML
	}{label, items})
}

// SVG is the drawing; role "img" says its name, role "" leaves it to the label around it.
func (f Face) SVG(role string) template.HTML {
	if role == "" {
		return f.drawn("face")
	}
	return f.drawn("face-named")
}

// markupOf is what the markup of a face depends on.
type markupOf struct {
	template, id, name, class, marks string
	gap                              bool
}

// drawnFaces keeps the markup of faces: a page of two routes shows some hundreds, of which few differ.
var drawnFaces = newDrawnFaces()

func newDrawnFaces() *lru.Cache[markupOf, template.HTML] {
	c, err := lru.New[markupOf, template.HTML](4096)
	if err != nil {
		panic(err) // only a size below 1 is refused
	}
	return c
}

// drawn is the markup of the face by one of the templates.
func (f Face) drawn(name string) template.HTML {
	key := markupOf{template: name, id: f.ID, name: f.Name, class: f.Class, marks: strings.Join(f.Marks, " "), gap: f.Gap}
	if kept, there := drawnFaces.Get(key); there {
		return kept
	}
	html := fill(name, f)
	drawnFaces.Add(key, html)
	return html
}

// Plain is tiles in canonical order with small gaps between suits.
func Plain(tiles []tile.Kind) []Face {
	faces := make([]Face, len(tiles))
	for i, k := range tiles {
		faces[i] = Face{ID: sheet.TileID(k), Name: k.Name(), Gap: i > 0 && cluster(k) != cluster(tiles[i-1])}
	}
	return faces
}

// cluster numbers the suits, the winds, the dragons, flowers and jokers, between which a strip leaves a gap.
func cluster(k tile.Kind) int {
	if s, ok := k.Suit(); ok {
		return int(s)
	}
	switch {
	case k < tile.North+4:
		return 3
	case k < tile.Flower:
		return 4
	}
	return int(k)
}

// RackStrip is a rack with nothing said about its tiles.
func RackStrip(label string, r tile.Rack) template.HTML { return Strip(label, Plain(r.Tiles())) }

// SpareStrip is a rack in which what is spare carries a ring.
func SpareStrip(label string, r, spare tile.Rack) template.HTML {
	faces := Plain(r.Tiles())
	// Of equal tiles the last ones are marked: the first are kept.
	for i := len(faces) - 1; i >= 0; i-- {
		if k := r.Tiles()[i]; spare[k] > 0 {
			spare[k]--
			faces[i].Marks = append(faces[i].Marks, "spare")
			faces[i].Name += ", spare"
		}
	}
	return Strip(label, faces)
}

// PassedStrip is what goes: grey faces with an arrow, and a question mark for each tile handed on unseen.
func PassedStrip(label string, own charleston.Parcel, blind int, d charleston.Direction) template.HTML {
	faces := Plain(own.Tiles())
	for range blind {
		faces = append(faces, Face{ID: sheet.UnseenID, Name: "unseen tile", Gap: true})
	}
	for i := range faces {
		faces[i].Class, faces[i].Marks = "passed", []string{d.String()}
		faces[i].Name += ", passed " + d.String()
	}
	return Strip(label, faces)
}

// CameStrip is what came, with a wedge above.
func CameStrip(label string, came charleston.Parcel) template.HTML {
	faces := Plain(came.Tiles())
	for i := range faces {
		faces[i].Marks = []string{"came"}
		faces[i].Name += ", came"
	}
	return Strip(label, faces)
}

// HandStrip is a hand of the card in the card's order of groups: solid what is held, dashed what is missing.
func HandStrip(r *fit.Reading) template.HTML {
	var faces []Face
	held := r.Held()
	for g, group := range r.Groups() {
		for i := range group.Size {
			f := Face{ID: sheet.TileID(group.Kind), Name: group.Kind.Name() + ", held", Gap: g > 0 && i == 0}
			if i >= held[g] {
				f.Class, f.Name = "ghost", group.Kind.Name()+", missing"
			}
			faces = append(faces, f)
		}
	}
	return Strip(r.OnCard().Name+": held and missing tiles", faces)
}

// GroupsStrip is a variant of a hand with nothing held.
func GroupsStrip(label string, groups []card.Group) template.HTML {
	var faces []Face
	for g, group := range groups {
		for i := range group.Size {
			faces = append(faces, Face{ID: sheet.TileID(group.Kind), Name: group.Kind.Name(), Gap: g > 0 && i == 0})
		}
	}
	return Strip(label, faces)
}

// LineStrip is a hand as its line has it, suits and ranks open and without colours; of alternatives the first.
func LineStrip(h *card.Hand) template.HTML {
	var faces []Face
	for n, t := range h.Terms() {
		f := Face{ID: sheet.LineID(t.Symbol), Name: termName(t)}
		if t.Suit != 0 {
			f.Marks = []string{string(t.Suit)}
		}
		for i := range t.Size {
			f.Gap = n > 0 && i == 0
			faces = append(faces, f)
		}
	}
	return Strip("The hand as its line has it", faces)
}

// termName says a tile of a line for those who hear it.
func termName(t card.Term) string {
	if k, honour := tile.HonourKind(t.Symbol); honour {
		return k.Name()
	}
	name := string(t.Symbol)
	if t.Symbol == 'D' {
		name = "dragon"
	}
	return name + " of suit " + string(t.Suit)
}

// Pick is a tile of the rack that can be chosen.
type Pick struct {
	Code, Name         string
	Chosen             bool
	Suit, Rank, ByPlan int // its places in the orders of the rack
	Gap                bool
	Joker              bool
	Drawing            template.HTML
}

// Picks is a rack to choose from. chosen is what is chosen already; plan is the nearest hand, by which the order
// "plan" sorts: what it uses first, by its groups, then the spare tiles.
func Picks(r, chosen tile.Rack, plan *fit.Reading) []Pick {
	tiles := r.Tiles()
	rank := Places(tiles, func(k tile.Kind) int {
		if n := k.Rank(); n > 0 {
			return n*4 + cluster(k)
		}
		return 100 + int(k)
	})
	byPlan := Places(tiles, planKey(plan))
	out := make([]Pick, len(tiles))
	for i, k := range tiles {
		f := Face{ID: sheet.TileID(k), Name: k.Name(), Marks: []string{"chosen"}}
		out[i] = Pick{Code: k.String(), Name: k.Name(), Suit: i, Rank: rank[i], ByPlan: byPlan[i], Joker: k == tile.Joker,
			Gap: i > 0 && cluster(k) != cluster(tiles[i-1]), Drawing: f.SVG("")}
	}
	for i := len(out) - 1; i >= 0; i-- {
		if k := tiles[i]; chosen[k] > 0 {
			chosen[k]--
			out[i].Chosen = true
		}
	}
	return out
}

// planKey orders tiles by the group of the plan that uses them; spare ones last. Copies of a kind that the hand
// uses in part all go with the group: the copies look alike.
func planKey(plan *fit.Reading) func(tile.Kind) int {
	first := map[tile.Kind]int{}
	if plan != nil {
		for g, group := range plan.Groups() {
			if _, seen := first[group.Kind]; !seen && plan.Keep[group.Kind] > 0 {
				first[group.Kind] = g
			}
		}
	}
	return func(k tile.Kind) int {
		if g, used := first[k]; used {
			return g*64 + int(k)
		}
		if k == tile.Joker {
			return 900
		}
		return 1000 + int(k)
	}
}

// Places is the place that each tile has when they are sorted by a key; equal keys keep their order.
func Places(tiles []tile.Kind, key func(tile.Kind) int) []int {
	at := make([]int, len(tiles))
	for i, k := range tiles {
		for j, other := range tiles {
			if key(other) < key(k) || key(other) == key(k) && j < i {
				at[i]++
			}
		}
	}
	return at
}
