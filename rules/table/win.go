package table

import (
	"secondpass/rules/tile"
)

// variant is what the check of a win needs to know of one variant of the card.
type variant struct {
	// singles and kinds are the kinds in singles and pairs, and all kinds, one bit each.
	singles, kinds uint64
	// small and all count the tiles in singles and pairs, and all tiles.
	small, all tile.Rack
	points     int
	// jokers is false for hands marked so; holdsJoker says whether the variant can hold one at all.
	jokers, holdsJoker bool
}

func (g *Game) addVariants() {
	g.variants = make([]variant, len(g.card.Variants))
	for i := range g.variants {
		v := &g.card.Variants[i]
		hand := &g.card.Hands[v.Hand]
		all := v.Small.Plus(v.Large)
		g.variants[i] = variant{
			singles: kindsIn(&v.Small), kinds: kindsIn(&all), small: v.Small, all: all,
			points: hand.Points, jokers: hand.Jokers, holdsJoker: g.card.TakesJokers(v),
		}
		for k := range tile.Joker {
			if all[k] > 0 {
				g.byKind[k] = append(g.byKind[k], int32(i))
			}
		}
	}
}

// kindsIn is the natural kinds of a rack, one bit each.
func kindsIn(r *tile.Rack) uint64 {
	var bits uint64
	for k := range tile.Joker {
		if r[k] > 0 {
			bits |= 1 << k
		}
	}
	return bits
}

// completed is the variant that fourteen tiles make, part of them concealed and part of them in
// open groups that stay as they lie. Of several it is the one that pays the winner most, then the
// first on the card. ok is false where the tiles make none.
func (g *Game) completed(concealed *tile.Rack, f *front) (best int32, ok bool) {
	kinds := kindsIn(concealed)
	natural := concealed[tile.Joker]+f.jokers == 0
	opened := f.tiles()
	worth := 0
	for _, i := range g.candidates(concealed, f) {
		v := &g.variants[i]
		if kinds&^v.kinds != 0 || v.singles&^kinds != 0 || !v.madeOf(concealed, &opened) {
			continue
		}
		w := v.points
		if natural && v.holdsJoker {
			w *= jokerlessFactor
		}
		if w > worth {
			best, worth, ok = i, w, true
		}
	}
	return best, ok
}

// candidates are variants among which all that the tiles complete are to be found. With nothing open
// that is every variant that has the least common of the kinds held.
func (g *Game) candidates(concealed *tile.Rack, f *front) []int32 {
	list := g.open(f)
	if f.n > 0 {
		return list
	}
	for k := range tile.Joker {
		if concealed[k] > 0 && len(g.byKind[k]) < len(list) {
			list = g.byKind[k]
		}
	}
	return list
}

// madeOf says whether concealed tiles are what a variant needs beside groups that lie open and that
// it allows. No kind may be there more often than needed, and singles and pairs must be natural; as
// the tiles are fourteen in all, the jokers are then as many as the groups of three or more lack.
func (v *variant) madeOf(concealed, opened *tile.Rack) bool {
	for k := range tile.Joker {
		most := v.all[k] - opened[k]
		least := v.small[k]
		if !v.jokers {
			least = most
		}
		if have := concealed[k]; have < least || have > most {
			return false
		}
	}
	return true
}
