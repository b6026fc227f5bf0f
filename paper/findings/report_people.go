package findings

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"secondpass/paper/draw"
	"secondpass/paper/sheet"
	"secondpass/paper/wording"
	"secondpass/research/cardreport"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// How many hands and kinds the pages for people show, so that they are two at most.
const (
	shownMost  = 4
	shownLeast = 2
	shownKinds = 6
	shownSigns = 12 // of all sections together, one each at least
	// nextTo is how many neighbours of a hand are named.
	nextTo = 2
)

// people is what a person wants to know of a card before any table: what it is like, its hands drawn, where to look with what one holds,
// and what the passing leaves.
func (b documentBuilder) people(c *card.Card) {
	b.Subheading("What the card is like")
	b.Paragraph(CardIsLike(b.r, c))
	b.hands(c)
	b.look()
	b.leaves()
	b.caption()
	b.NewPage()
	b.Heading("All figures")
	b.Paragraph(wording.PointsCaution)
}

// CardIsLike says in sentences what a card is like.
func CardIsLike(r *cardreport.Report, c *card.Card) string {
	concealed, jokerless := 0, 0
	for h := range c.Hands {
		if c.Hands[h].Concealed {
			concealed++
		}
		if !slices.ContainsFunc(c.VariantsOf(h), func(v card.Variant) bool { return c.TakesJokers(&v) }) {
			jokerless++
		}
	}
	said := []string{fmt.Sprintf("Of its %s %d are concealed and %d take no jokers.", wording.Plural(len(c.Hands), "hand"), concealed, jokerless)}
	sections := ranked(r.Sections, func(s *cardreport.Section) float64 {
		if r.Games > 0 {
			return -float64(s.Won.Value)
		}
		return -float64(s.Nearest.Value)
	})
	most, least := &r.Sections[sections[0]], &r.Sections[sections[len(sections)-1]]
	if r.Deals > 0 {
		near := &r.Sections[ranked(r.Sections, func(s *cardreport.Section) float64 { return -float64(s.Nearest.Value) })[0]]
		said = append(said, fmt.Sprintf("The nearest hand of a deal is most often one of %s, %s of the deals.", near.Name, share(near.Nearest)))
	}
	if r.Games > 0 {
		said = append(said, fmt.Sprintf("Strong players win most with %s, %s of the games, and least with %s, %s; nobody wins in %s.", most.Name, share(most.Won), least.Name, share(least.Won), share(r.Wall)))
	}
	return strings.Join(said, " ")
}

// ranked are the numbers of a list, the smallest value first, those of one value in their order.
func ranked[T any](list []T, value func(*T) float64) []int {
	order := make([]int, len(list))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(x, y int) int { return cmp.Compare(value(&list[x]), value(&list[y])) })
	return order
}

// Pattern is a hand of a card as tiles: its first variant, group by group.
func Pattern(c *card.Card, hand int) []sheet.Tile {
	var tiles []sheet.Tile
	for g, group := range c.VariantsOf(hand)[0].Groups {
		for i := range group.Size {
			tiles = append(tiles, sheet.Tile{Kind: group.Kind, Gap: i == 0 && g > 0})
		}
	}
	return tiles
}

// hands draws those won most and least, or, where no games were played, those nearest and farthest in the deal.
func (b documentBuilder) hands(c *card.Card) {
	value, most, least := func(h *cardreport.Hand) float64 { return -float64(h.Won.Value) }, "Won most", "Won least"
	figure := func(h *cardreport.Hand) string { return "won in " + share(h.Won) + " of the games" }
	if b.r.Games == 0 {
		value, most, least = func(h *cardreport.Hand) float64 { return h.Away.Mean.Plain().Value }, "Nearest in the deal", "Farthest in the deal"
		figure = func(h *cardreport.Hand) string { return mean(h.Away.Mean) + " tiles away in the deal" }
	}
	order := ranked(b.r.Hands, value)
	for _, part := range []struct {
		heading string
		hands   []int
	}{{most, order[:min(shownMost, len(order))]}, {least, order[max(min(shownMost, len(order)), len(order)-shownLeast):]}} {
		if len(part.hands) == 0 {
			continue
		}
		b.Subheading(part.heading)
		for _, h := range part.hands {
			hand := &b.r.Hands[h]
			b.Together(func() {
				b.Strong(fmt.Sprintf("%s: %s", hand.Name, figure(hand)))
				sheet.AddStrip(b.Document, Pattern(c, h), sheet.PrintTile)
				b.Caption(capital(strings.TrimPrefix(wording.HandTerms(&c.Hands[h])+"; nearest to "+neighbours(hand.Neighbours[:min(nextTo, len(hand.Neighbours))]), "; ")) + ".")
			})
		}
	}
}

// look is, for each section, the best signs of it: where to look with what one holds.
func (b documentBuilder) look() {
	t := draw.Table{Head: []string{"you hold", "look at", "times as often the nearest"}, Right: []int{2}}
	for i := range b.r.Sections {
		s := &b.r.Sections[i]
		for n := range min(len(s.Nearer), max(1, shownSigns/len(b.r.Sections))) {
			t.Rows = append(t.Rows, []string{s.Nearer[n].Name, s.Name, Lift(&s.Nearer[n])})
		}
	}
	if len(t.Rows) == 0 {
		return
	}
	b.Subheading("If you hold this, look here")
	b.table(t)
	b.Caption("The best signs of each section; all of them, and how they are found, stand further down.")
}

// leaves draws the kinds that strong players hold on to through the passing, and those that they give.
func (b documentBuilder) leaves() {
	if b.r.Games == 0 {
		return
	}
	order := ranked(b.r.Kinds, func(k *cardreport.Kind) float64 { return -float64(k.Still.Value) })
	order = slices.DeleteFunc(order, func(k int) bool { return k == int(tile.Joker) || b.r.Kinds[k].Still.N == 0 })
	if len(order) < 2*shownKinds {
		return
	}
	b.Subheading("What is kept in the passing, and what is given")
	for _, part := range []struct {
		what  string
		kinds []int
	}{{"kept most", order[:shownKinds]}, {"given most", order[len(order)-shownKinds:]}} {
		b.Together(func() {
			var kinds []tile.Kind
			var shares []string
			for _, k := range part.kinds {
				kinds = append(kinds, tile.Kind(k))
				shares = append(shares, fmt.Sprintf("%s %.0f %%", b.r.Kinds[k].Kind, 100*float64(b.r.Kinds[k].Still.Value)))
			}
			b.Strong(capital(part.what))
			sheet.AddStrip(b.Document, sheet.List(kinds), sheet.PrintTile)
			b.Caption("Of those dealt, still held after the passing: " + strings.Join(shares, ", ") + ".")
		})
	}
	b.Caption("Jokers are never passed.")
}
