package fit

import (
	"cmp"
	"slices"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// Reading is the full account of a rack against one variant.
type Reading struct {
	Card *card.Card
	// Hand indexes Card.Hands, Variant indexes Card.Variants.
	Hand, Variant int
	// MissingSingles and MissingGroups count tiles, the latter before jokers.
	MissingSingles, MissingGroups, JokersUsed int
	// Away is MissingSingles + MissingGroups - JokersUsed; 0 is a complete hand.
	Away int
	// Keep is the matched naturals and all jokers, Spare the rest of the rack, Missing
	// the naturals lacking, before jokers.
	Keep, Missing, Spare tile.Rack

	canonical int32
}

// Read compares a rack with variant v, an index of Card.Variants.
func Read(c *card.Card, v int, rack tile.Rack) Reading {
	single, group := c.Needs(&c.Variants[v])
	r := Reading{Card: c, Hand: c.Variants[v].Hand, Variant: v}
	for k := range tile.Joker {
		have, p, g := rack[k], single[k], group[k]
		matched := min(have, p+g)
		r.MissingSingles += int(p - min(have, p))
		r.MissingGroups += int(g - min(max(have, p)-p, g))
		r.Keep[k], r.Missing[k], r.Spare[k] = matched, p+g-matched, have-matched
	}
	r.JokersUsed = min(int(rack[tile.Joker]), r.MissingGroups)
	r.Keep[tile.Joker] = rack[tile.Joker]
	r.Away = r.MissingSingles + r.MissingGroups - r.JokersUsed
	return r
}

// Groups are the variant's groups as written on the card.
func (r *Reading) Groups() []card.Group { return r.Card.Variants[r.Variant].Groups }

// OnCard is the hand on the card.
func (r *Reading) OnCard() *card.Hand { return &r.Card.Hands[r.Hand] }

// Held is the number of naturals that stand in each of the variant's groups, in the order
// of Groups; naturals fill singles and pairs first.
func (r *Reading) Held() []int {
	groups := r.Groups()
	held := make([]int, len(groups))
	left := r.Keep
	for _, large := range []bool{false, true} {
		for i, g := range groups {
			if g.TakesJokers() == large {
				held[i] = min(int(left[g.Kind]), g.Size)
				left[g.Kind] -= uint8(held[i])
			}
		}
	}
	return held
}

// Multiples are the groups of two or more of which at least two naturals are held.
func (r *Reading) Multiples() []card.Group {
	var multiples []card.Group
	for i, n := range r.Held() {
		if n >= 2 {
			multiples = append(multiples, r.Groups()[i])
		}
	}
	return multiples
}

// Gaps are the kinds that the variant needs and of which none is held, in order of kind.
func (r *Reading) Gaps() []tile.Kind {
	var gaps []tile.Kind
	for k := range tile.Joker {
		if r.Missing[k] > 0 && r.Keep[k] == 0 {
			gaps = append(gaps, k)
		}
	}
	return gaps
}

// compare is the order of docs/measures.md: fewer away, fewer missing singles and pairs, more
// points, card order, canonical order of the tiles.
func compare(a, b Reading) int {
	return cmp.Or(
		cmp.Compare(a.Away, b.Away),
		cmp.Compare(a.MissingSingles, b.MissingSingles),
		cmp.Compare(b.OnCard().Points, a.OnCard().Points),
		cmp.Compare(a.Hand, b.Hand),
		cmp.Compare(a.canonical, b.canonical),
		cmp.Compare(a.Variant, b.Variant),
	)
}

// Variants reads the rack against every variant of the index, best first.
func (x *Index) Variants(rack tile.Rack) []Reading {
	readings := make([]Reading, len(x.ids))
	for v := range x.ids {
		readings[v] = x.read(v, rack)
	}
	slices.SortFunc(readings, compare)
	return readings
}

// Hands reads the rack against the best variant of every hand of the index, best first.
func (x *Index) Hands(rack tile.Rack) []Reading {
	readings, _ := NewRater(x).Nearest(&rack, len(x.hands), nil)
	return readings
}

func (x *Index) read(v int, rack tile.Rack) Reading {
	r := Read(x.card, int(x.ids[v]), rack)
	r.canonical = x.canonical[v]
	return r
}

// Options is the number of hands whose away is at most the best one's plus one, from
// the result of [Index.Hands]; 0 where there are no hands.
func Options(hands []Reading) int {
	n := 0
	for i := range hands {
		if hands[i].Away <= hands[0].Away+1 {
			n++
		}
	}
	return n
}

// Spare is the tiles of a rack that none of the readings keeps: the spares of a plan,
// when the readings are those of its hands for that rack. Jokers are never spare.
func Spare(rack tile.Rack, plan []Reading) tile.Rack {
	var kept tile.Rack
	kept[tile.Joker] = rack[tile.Joker]
	for i := range plan {
		for k, c := range plan[i].Keep {
			kept[k] = max(kept[k], c)
		}
	}
	return rack.Minus(kept)
}
