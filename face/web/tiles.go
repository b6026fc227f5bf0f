package web

import (
	"html/template"
	"strings"

	"secondpass/engine/fit"
	"secondpass/paper/sheet"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// face is one tile of a strip with what is said about it.
type face struct {
	id    string // of the drawing
	name  string // for those who hear it
	class string // passed, ghost, chosen
	marks []string
	gap   bool // a little space before it
}

// strip draws tiles side by side as a list.
func strip(label string, faces []face) template.HTML {
	var b strings.Builder
	b.WriteString(`<ul class="strip" aria-label="` + template.HTMLEscapeString(label) + `">`)
	for _, f := range faces {
		b.WriteString("<li")
		if f.gap {
			b.WriteString(` class="gap"`)
		}
		b.WriteString(">" + string(f.svg("img")) + "</li>")
	}
	b.WriteString("</ul>")
	return template.HTML(b.String())
}

// svg is the drawing; role "img" says its name, role "" leaves it to the label around it.
func (f face) svg(role string) template.HTML {
	var b strings.Builder
	b.WriteString(`<svg class="` + strings.TrimSpace("t "+f.class) + `" viewBox="0 -11 60 102"`)
	if role == "" {
		b.WriteString(` aria-hidden="true">`)
	} else {
		b.WriteString(` role="img" aria-label="` + template.HTMLEscapeString(f.name) + `">`)
	}
	b.WriteString(`<use href="#` + f.id + `"/>`)
	for _, m := range f.marks {
		b.WriteString(`<use href="#m-` + m + `"/>`)
	}
	b.WriteString("</svg>")
	return template.HTML(b.String())
}

// plain is tiles in canonical order with small gaps between suits.
func plain(tiles []tile.Kind) []face {
	faces := make([]face, len(tiles))
	for i, k := range tiles {
		faces[i] = face{id: sheet.TileID(k), name: k.Name(), gap: i > 0 && cluster(k) != cluster(tiles[i-1])}
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

// rackStrip is a rack with nothing said about its tiles.
func rackStrip(label string, r tile.Rack) template.HTML { return strip(label, plain(r.Tiles())) }

// spareStrip is a rack in which what is spare carries a ring.
func spareStrip(label string, r, spare tile.Rack) template.HTML {
	faces := plain(r.Tiles())
	// Of equal tiles the last ones are marked: the first are kept.
	for i := len(faces) - 1; i >= 0; i-- {
		if k := r.Tiles()[i]; spare[k] > 0 {
			spare[k]--
			faces[i].marks = append(faces[i].marks, "spare")
			faces[i].name += ", spare"
		}
	}
	return strip(label, faces)
}

// passedStrip is what goes: grey faces with an arrow, and a question mark for each tile handed on unseen.
func passedStrip(label string, own charleston.Parcel, blind int, d charleston.Direction) template.HTML {
	faces := plain(own.Tiles())
	for range blind {
		faces = append(faces, face{id: sheet.UnseenID, name: "unseen tile", gap: true})
	}
	for i := range faces {
		faces[i].class, faces[i].marks = "passed", []string{d.String()}
		faces[i].name += ", passed " + d.String()
	}
	return strip(label, faces)
}

// cameStrip is what came, with a wedge above.
func cameStrip(label string, came charleston.Parcel) template.HTML {
	faces := plain(came.Tiles())
	for i := range faces {
		faces[i].marks = []string{"came"}
		faces[i].name += ", came"
	}
	return strip(label, faces)
}

// handStrip is a hand of the card in the card's order of groups: solid what is held, dashed what is missing.
func handStrip(r *fit.Reading) template.HTML {
	var faces []face
	held := r.Held()
	for g, group := range r.Groups() {
		for i := range group.Size {
			f := face{id: sheet.TileID(group.Kind), name: group.Kind.Name() + ", held", gap: g > 0 && i == 0}
			if i >= held[g] {
				f.class, f.name = "ghost", group.Kind.Name()+", missing"
			}
			faces = append(faces, f)
		}
	}
	return strip(r.OnCard().Name+": held and missing tiles", faces)
}

// groupsStrip is a variant of a hand with nothing held.
func groupsStrip(label string, groups []card.Group) template.HTML {
	var faces []face
	for g, group := range groups {
		for i := range group.Size {
			faces = append(faces, face{id: sheet.TileID(group.Kind), name: group.Kind.Name(), gap: g > 0 && i == 0})
		}
	}
	return strip(label, faces)
}

// pick is a tile of the rack that can be chosen.
type pick struct {
	Code, Name         string
	Chosen             bool
	Suit, Rank, ByPlan int // its places in the orders of the rack
	Gap                bool
	Joker              bool
	Drawing            template.HTML
}

// picks is a rack to choose from. chosen is what is chosen already; plan is the nearest hand, by which the order
// "plan" sorts: what it uses first, by its groups, then the spare tiles.
func picks(r, chosen tile.Rack, plan *fit.Reading) []pick {
	tiles := r.Tiles()
	rank := places(tiles, func(k tile.Kind) int {
		if n := k.Rank(); n > 0 {
			return n*4 + cluster(k)
		}
		return 100 + int(k)
	})
	byPlan := places(tiles, planKey(plan))
	out := make([]pick, len(tiles))
	for i, k := range tiles {
		f := face{id: sheet.TileID(k), name: k.Name(), marks: []string{"chosen"}}
		out[i] = pick{Code: k.String(), Name: k.Name(), Suit: i, Rank: rank[i], ByPlan: byPlan[i], Joker: k == tile.Joker,
			Gap: i > 0 && cluster(k) != cluster(tiles[i-1]), Drawing: f.svg("")}
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

// places is the place that each tile has when they are sorted by a key; equal keys keep their order.
func places(tiles []tile.Kind, key func(tile.Kind) int) []int {
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
