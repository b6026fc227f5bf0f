package table

import (
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// outline is the groups a seat has open, without their jokers: one code a group, in rising
// order, then zeros. Equal groups in another order have the same outline.
type outline [MaxOpen]uint16

// code is a group's place in an outline; it is never 0.
func code(k tile.Kind, size uint8) uint16 { return uint16(k)<<3 | uint16(size) }

// with is the outline with one more group; it must have room.
func (o outline) with(code uint16) outline {
	for i := range o {
		if o[i] == 0 {
			o[i] = code
			return o
		}
		if code < o[i] {
			code, o[i] = o[i], code
		}
	}
	return o
}

// shape is a set of open groups that some hand of the card allows.
type shape struct {
	outline outline
	// natural are the variants that allow the groups where no joker lies in them, jokered
	// those that allow them with jokers; both in card order.
	natural, jokered []int32
}

// noShape stands for open groups that fit no hand.
const noShape = -1

// addShapes lists every choice of groups that can be open together: for each variant that may be exposed, all
// subsets of its groups of three or more, of which there are at most four.
func (g *Game) addShapes() {
	g.byOutline = map[outline]int32{}
	g.shapeOf(outline{})
	for v := range g.card.Variants {
		variant := &g.card.Variants[v]
		var codes []uint16
		if !g.card.Hands[variant.Hand].Concealed {
			codes = groupCodes(variant)
		}
		for subset := range 1 << len(codes) {
			var o outline
			for i, c := range codes {
				if subset>>i&1 == 1 {
					o = o.with(c)
				}
			}
			g.shapes[g.shapeOf(o)].allow(int32(v), g.variants[v].jokers)
		}
	}
}

func groupCodes(v *card.Variant) []uint16 {
	var codes []uint16
	for _, group := range v.Groups {
		if group.Size >= MinGroup {
			codes = append(codes, code(group.Kind, uint8(group.Size)))
		}
	}
	return codes
}

// shapeOf finds the shape of an outline and makes it where it is new.
func (g *Game) shapeOf(o outline) int32 {
	i, known := g.byOutline[o]
	if !known {
		i = int32(len(g.shapes))
		g.shapes = append(g.shapes, shape{outline: o})
		g.byOutline[o] = i
	}
	return i
}

// allow notes that a variant allows the shape. A variant with equal groups comes several times in a row.
func (s *shape) allow(v int32, jokers bool) {
	if n := len(s.natural); n > 0 && s.natural[n-1] == v {
		return
	}
	s.natural = append(s.natural, v)
	if jokers {
		s.jokered = append(s.jokered, v)
	}
}

// extend is the shape of a front after one more group, or noShape when no hand allows that with
// the jokers in all its groups, as for any group of a dead hand.
func (g *Game) extend(f *front, k tile.Kind, size, jokers uint8) int32 {
	if f.shape == noShape {
		return noShape
	}
	next, known := g.byOutline[g.shapes[f.shape].outline.with(code(k, size))]
	if !known || f.jokers+jokers > 0 && len(g.shapes[next].jokered) == 0 {
		return noShape
	}
	return next
}

// open are the variants that a front still allows, in card order; none for a dead hand. Jokers
// that lie in it rule out the hands that take none, for as long as they lie there.
func (g *Game) open(f *front) []int32 {
	switch {
	case f.shape == noShape:
		return nil
	case f.jokers > 0:
		return g.shapes[f.shape].jokered
	}
	return g.shapes[f.shape].natural
}
