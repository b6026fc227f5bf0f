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

// drawnFaces keeps the markup of faces, template.HTML by markupOf: a page of two routes shows some hundreds, of which few differ.
var drawnFaces = newDrawnFaces()

func newDrawnFaces() *lru.Cache[any, any] {
	c, err := lru.New[any, any](4096)
	if err != nil {
		panic(err) // only a size below 1 is refused
	}
	return c
}

// drawn is the markup of the face by one of the templates.
func (f Face) drawn(name string) template.HTML {
	key := markupOf{template: name, id: f.ID, name: f.Name, class: f.Class, marks: strings.Join(f.Marks, " "), gap: f.Gap}
	if kept, there := drawnFaces.Get(key); there {
		return kept.(template.HTML)
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
	return MarkedStrip(label, r, &Marks{Spare: spare})
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
	Joker, Spare       bool
	Drawing            template.HTML
}

// Marks is what a rack shows of its tiles besides their faces.
type Marks struct {
	// Came is what came last, Spare what is left over, SpareFor what for, in words.
	Came, Spare tile.Rack
	SpareFor    string
	// Plan is the hand by whose groups the order "plan" sorts; nil sorts by kind.
	Plan *fit.Reading
}

// copies says of each tile, in their order, whether it is among some: of equal tiles the last ones are.
func copies(tiles []tile.Kind, some tile.Rack) []bool {
	among := make([]bool, len(tiles))
	for i := len(tiles) - 1; i >= 0; i-- {
		if k := tiles[i]; some[k] > 0 {
			some[k]--
			among[i] = true
		}
	}
	return among
}

// mark adds the marks of a rack to its faces, and says them in the names.
func (m *Marks) mark(tiles []tile.Kind, faces []Face) {
	came, spare := copies(tiles, m.Came), copies(tiles, m.Spare)
	for i := range faces {
		if came[i] {
			faces[i].Marks = append(faces[i].Marks, "came")
			faces[i].Name += ", came"
		}
		if spare[i] {
			faces[i].Marks = append(faces[i].Marks, "spare")
			faces[i].Name += ", spare"
		}
	}
}

// MarkedStrip is a rack with its marks.
func MarkedStrip(label string, r tile.Rack, m *Marks) template.HTML {
	faces := Plain(r.Tiles())
	m.mark(r.Tiles(), faces)
	return Strip(label, faces)
}

// Picks is a rack to choose from, with its marks. chosen is what is chosen already.
func Picks(r, chosen tile.Rack, m Marks) []Pick {
	tiles := r.Tiles()
	rank := Places(len(tiles), func(i int) int {
		if n := tiles[i].Rank(); n > 0 {
			return n*4 + cluster(tiles[i])
		}
		return 100 + int(tiles[i])
	})
	spare, taken := copies(tiles, m.Spare), copies(tiles, chosen)
	byPlan := Places(len(tiles), planKey(tiles, spare, m.Plan))
	faces := Plain(tiles)
	m.mark(tiles, faces)
	out := make([]Pick, len(tiles))
	for i, k := range tiles {
		faces[i].Marks = append(faces[i].Marks, "chosen")
		out[i] = Pick{Code: k.String(), Name: faces[i].Name, Suit: i, Rank: rank[i], ByPlan: byPlan[i], Joker: k == tile.Joker, Spare: spare[i],
			Chosen: taken[i], Gap: faces[i].Gap}
		faces[i].Gap = false
		out[i].Drawing = faces[i].SVG("")
	}
	return out
}

// planKey orders tiles by the group of the plan that uses them, then jokers and what else is kept; spare copies last.
func planKey(tiles []tile.Kind, spare []bool, plan *fit.Reading) func(int) int {
	first := map[tile.Kind]int{}
	if plan != nil {
		for g, group := range plan.Groups() {
			if _, seen := first[group.Kind]; !seen && plan.Keep[group.Kind] > 0 {
				first[group.Kind] = g
			}
		}
	}
	return func(i int) int {
		k := tiles[i]
		g, used := first[k]
		switch {
		case spare[i]:
			return 2000 + int(k)
		case used:
			return g*64 + int(k)
		case k == tile.Joker:
			return 900
		}
		return 1000 + int(k)
	}
}

// Places is the place that each of n things has when they are sorted by a key; equal keys keep their order.
func Places(n int, key func(int) int) []int {
	at := make([]int, n)
	for i := range n {
		for j := range n {
			if key(j) < key(i) || key(j) == key(i) && j < i {
				at[i]++
			}
		}
	}
	return at
}
