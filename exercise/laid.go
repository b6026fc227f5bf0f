package exercise

import (
	"secondpass/rules/card"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Laid is one group of a hand with the tiles that lie in it.
type Laid struct {
	card.Group
	// Open says that the group lies open; the tiles in it are then those of the exposure.
	Open bool
	// Naturals and Jokers are the numbers of tiles that are there; the rest of the group is missing.
	Naturals, Jokers int
}

// Missing is the number of tiles that the group lacks.
func (l *Laid) Missing() int { return l.Size - l.Naturals - l.Jokers }

// LayOut puts open groups and concealed tiles into the groups of a variant of a card, in the card's order: naturals
// into singles and pairs first, as [fit.Read] counts, then into the larger groups, and jokers into what those lack.
func LayOut(c *card.Card, variant int, rack tile.Rack, open []table.Exposure) []Laid {
	v := &c.Variants[variant]
	groups := make([]Laid, len(v.Groups))
	for i, g := range v.Groups {
		groups[i].Group = g
	}
	for _, e := range open {
		for i := range groups {
			if g := &groups[i]; !g.Open && g.Kind == e.Tile && g.Size == int(e.Size) {
				g.Open, g.Naturals, g.Jokers = true, int(e.Naturals()), int(e.Jokers)
				break
			}
		}
	}
	for _, large := range []bool{false, true} {
		for i := range groups {
			if g := &groups[i]; !g.Open && g.Group.TakesJokers() == large {
				g.Naturals = min(g.Size, int(rack[g.Kind]))
				rack[g.Kind] -= uint8(g.Naturals)
			}
		}
	}
	for i := range groups {
		if g := &groups[i]; !g.Open && g.Group.TakesJokers() && c.Hands[v.Hand].Jokers {
			g.Jokers = min(g.Missing(), int(rack[tile.Joker]))
			rack[tile.Joker] -= uint8(g.Jokers)
		}
	}
	return groups
}
