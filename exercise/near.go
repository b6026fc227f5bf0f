package exercise

import (
	"cmp"
	"slices"

	"secondpass/rules/card"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Near is a hand of the card beside what the player has in the play, open groups counted.
type Near struct {
	// Hand and Variant index the card's Hands and Variants: the variant of the hand that is nearest.
	Hand, Variant int
	// Away is the number of tiles lacking once jokers are used; 0 is a complete hand.
	Away int
	// Missing is the natural tiles lacking, before jokers; Singles is how many of them no joker can be.
	Missing tile.Rack
	Singles int
}

// Nearest is the n hands, of those given (indices of the card's Hands), that are nearest and that the open
// groups still allow: fewest tiles away first, then fewest missing singles, then as on the card.
func (g *Game) Nearest(hands []int, n int) []Near { return NearestInPlay(g.View(), hands, n) }

// NearestInPlay is the n hands, of those given (indices of the card's Hands in rising order), that are nearest to what
// the seat that looks has in the play, see [Game.Nearest].
func NearestInPlay(v table.View, hands []int, n int) []Near {
	c := v.Game().Card()
	groups, count := v.Open(v.Seat())
	rack, best := v.Rack(), map[int]Near{}
	for _, i := range v.Variants(v.Seat()) {
		variant := &c.Variants[i]
		if _, wanted := slices.BinarySearch(hands, variant.Hand); !wanted {
			continue
		}
		near := nearness(variant, &rack, groups[:count], c.Hands[variant.Hand].Jokers)
		near.Variant = int(i)
		if old, there := best[near.Hand]; !there || near.before(&old) {
			best[near.Hand] = near
		}
	}
	var list []Near
	for _, near := range best {
		list = append(list, near)
	}
	slices.SortFunc(list, func(a, b Near) int {
		return cmp.Or(cmp.Compare(a.Away, b.Away), cmp.Compare(a.Singles, b.Singles), cmp.Compare(a.Hand, b.Hand))
	})
	return list[:min(n, len(list))]
}

func (n *Near) before(other *Near) bool {
	return cmp.Or(cmp.Compare(n.Away, other.Away), cmp.Compare(n.Singles, other.Singles)) < 0
}

// nearness counts what concealed tiles lack of a variant beside open groups that it allows, by the measures:
// naturals fill singles and pairs first.
func nearness(v *card.Variant, rack *tile.Rack, open []table.Exposure, jokers bool) Near {
	near := Near{Hand: v.Hand}
	large := v.Large
	for _, e := range open {
		large[e.Tile] -= e.Size
	}
	groups := 0
	for k := range tile.Joker {
		single := v.Small[k] - min(rack[k], v.Small[k])
		rest := rack[k] - min(rack[k], v.Small[k])
		group := large[k] - min(rest, large[k])
		near.Singles += int(single)
		groups += int(group)
		near.Missing[k] = single + group
	}
	near.Away = near.Singles + groups
	if jokers {
		near.Away -= min(groups, int(rack[tile.Joker]))
	}
	return near
}
