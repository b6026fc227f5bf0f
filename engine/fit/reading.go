package fit

import (
	"slices"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// Reading is the full account of a rack against one variant, beside the groups that lie open where there are any.
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
}

// Read compares a rack with variant v, an index of Card.Variants.
func Read(c *card.Card, v int, rack tile.Rack) Reading { return read(c, v, &rack, nil) }

// read compares a rack with a variant beside open groups that the variant allows, given as the tiles for which they
// stand; nil is nothing open.
func read(c *card.Card, v int, rack, open *tile.Rack) Reading {
	single, group := c.Needs(&c.Variants[v])
	if open != nil {
		for k, n := range open {
			laid := min(group[k], n)
			group[k] -= laid
			single[k] -= n - laid // of a hand that takes no jokers
		}
	}
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

// Breaks is the multiples of the rack that lose a tile which the variant uses when tiles are given away, those of which
// the variant uses two or more; all tiles of such a kind.
func (r *Reading) Breaks(given tile.Rack) tile.Rack {
	var broken []tile.Kind
	for _, k := range r.Keep.Multiples() {
		if given[k] > r.Spare[k] {
			broken = append(broken, k)
		}
	}
	return r.Keep.Plus(r.Spare).Only(broken)
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

// Variants reads the rack against every variant of the index, best first.
func (x *Index) Variants(rack tile.Rack) []Reading {
	readings := make([]Reading, len(x.ids))
	for v := range x.ids {
		readings[v] = x.read(v, rack)
	}
	slices.SortFunc(readings, func(a, b Reading) int { return a.place().compare(b.place()) })
	return readings
}

// Hands reads the rack against the best variant of every hand of the index, best first.
func (x *Index) Hands(rack tile.Rack) []Reading {
	readings, _ := NewRater(x).Nearest(&rack, len(x.hands), nil)
	return readings
}

func (x *Index) read(v int, rack tile.Rack) Reading { return Read(x.card, int(x.ids[v]), rack) }

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
