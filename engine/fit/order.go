package fit

import (
	"cmp"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// place is what decides where a variant stands in the order of nearness.
type place struct {
	card *card.Card
	// hand and variant index the card's Hands and Variants.
	away, singles, hand, variant int
}

func (r *Reading) place() place { return place{r.Card, r.Away, r.MissingSingles, r.Hand, r.Variant} }

// compare is the order of nearness (docs/measures.md), negative where a is nearer: fewer away, fewer missing singles and
// pairs, more points, earlier on the card; of two variants of a hand the one whose tiles come earlier.
func (a place) compare(b place) int {
	hands := a.card.Hands
	if order := cmp.Or(
		cmp.Compare(a.away, b.away),
		cmp.Compare(a.singles, b.singles),
		cmp.Compare(hands[b.hand].Points, hands[a.hand].Points),
		cmp.Compare(a.hand, b.hand),
	); order != 0 {
		return order
	}
	return cmp.Or(canonical(a.card, a.variant, b.variant), cmp.Compare(a.variant, b.variant)) // of one hand: it takes long
}

// canonical orders two variants by their 14 tiles, written in the order of the kinds and compared as lists. Both lists are
// of one length, so the first kind of which one has more decides: it then has that kind where the other has a later one.
func canonical(c *card.Card, a, b int) int {
	tilesA, tilesB := tilesOf(&c.Variants[a]), tilesOf(&c.Variants[b])
	for k := range tilesA {
		if tilesA[k] != tilesB[k] {
			return cmp.Compare(tilesB[k], tilesA[k])
		}
	}
	return 0
}

func tilesOf(v *card.Variant) tile.Rack { return v.Small.Plus(v.Large) }
