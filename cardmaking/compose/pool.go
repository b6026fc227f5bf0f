package compose

import (
	"fmt"
	"math/rand/v2"
	"strings"

	"secondpass/cardmaking/plain"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// handTiles is the number of tiles in a hand.
const handTiles = card.HandTiles

const (
	// poolSize is how many hands are drawn for a section, of which its hands are picked.
	// That takes up to so many ways (a figure, numbers and a tail), and with each so many tries.
	poolSize = 100
	ways     = 600
	tries    = 60
	// mostOfHand bounds the variants of one hand, so that none outweighs its section.
	mostOfHand = 108
)

// candidate is a drawn hand with all that the choice of a card needs to know.
type candidate struct {
	hand
	words [aspects]string
	traits
}

// drawPools draws the candidates of every section. Each section has a random stream of its
// own, so that a change to one leaves the others as they were.
func drawPools(seed uint64, themes []theme, level Level) ([][]*candidate, error) {
	builds := builder{}
	all := make([][]*candidate, len(themes))
	for i := range themes {
		d := &drawer{rng: rand.New(rand.NewPCG(seed, uint64(i)+1)), theme: &themes[i], builds: builds}
		var err error
		if all[i], err = measure(d.pool(), level); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// pool draws the candidates of one section, each text once.
func (d *drawer) pool() []*candidate {
	seen := map[string]bool{}
	var list []*candidate
	for range ways {
		if len(list) == poolSize {
			break
		}
		figure := pick(d, d.theme.figures)
		d.numbers, d.tail = pick(d, d.theme.numbers), pick(d, d.theme.tails)
		for range tries {
			h, ok := d.try(figure)
			if !ok {
				continue
			}
			c := &candidate{hand: h, words: h.drawn.words()}
			if text := c.line(1); !seen[text] && c.fit() {
				seen[text] = true
				list = append(list, c)
				break
			}
		}
	}
	return list
}

// try draws one hand; false where it does not come to 14 tiles or the section has no
// place for it.
func (d *drawer) try(f figure) (hand, bool) {
	h, ok := f(d)
	if !ok || h.size() != handTiles || !d.theme.allow(&h) || !d.keep(len(h.terms())) || plain.Variant(firstVariant(&h)) != "" {
		return hand{}, false
	}
	d.close(&h)
	return h, true
}

// firstVariant is one variant of a hand: its first choices with x, y and z as bams, craks and dots. Most plain hands show
// there already, and need not be read.
func firstVariant(h *hand) []card.Group {
	var groups []card.Group
	for _, t := range h.terms() {
		g := card.Group{Size: t.size}
		suit := tile.Suit(max(t.suit, 'x') - 'x')
		switch {
		case t.ranked():
			g.Kind = tile.Ranked(int(t.symbol-'0'), suit)
		case t.symbol == 'D':
			g.Kind = suit.Dragon()
		default:
			g.Kind = tile.North + tile.Kind(strings.IndexByte(honours, t.symbol))
		}
		groups = append(groups, g)
	}
	return groups
}

// honours are the symbols of the kinds from north on.
const honours = "NEWSRG0F"

// keep draws whether a hand of so many groups goes on: all of few groups, of many the
// fewer the more they have, since there are so many more ways to make them.
func (d *drawer) keep(groups int) bool {
	const few = 4
	return d.rng.IntN(groups*groups) < few*few
}

// allow applies the limits of the section.
func (l *limits) allow(h *hand) bool {
	largest, honours := 0, 0
	for _, t := range h.terms() {
		if t.symbol == 'F' {
			continue
		}
		largest = max(largest, t.size)
		if !t.ranked() {
			honours += t.size
		}
	}
	return largest >= l.largest && honours >= l.honours
}

// close draws whether the hand is concealed: the more of it stands in singles and
// pairs, the likelier.
func (d *drawer) close(h *hand) {
	small := 0
	for _, t := range h.terms() {
		if t.size < 3 {
			small += t.size
		}
	}
	h.noJokers = d.theme.still
	h.concealed = d.theme.still || d.rng.IntN(handTiles) < small-1
}

// line is the hand as a line of a card file, without its note.
func (c *candidate) line(points int) string {
	exposure := "exposed"
	if c.concealed {
		exposure = "concealed"
	}
	return fmt.Sprintf("%d %-10s %s%s", points, exposure, c.pattern(), c.options())
}

// fit reads the hand as a card of its own and says whether the tiles of the usual
// set suffice for it, it has no more than mostOfHand variants, and it is not too plain.
func (c *candidate) fit() bool {
	read, _, err := readLines([]*candidate{c})
	return err == nil && len(read.Variants) <= mostOfHand && plain.Hand(read, 0) == ""
}

// poolHead stands above the candidates when they are read.
const poolHead = "card Pool\nsection S\n"

func readLines(list []*candidate) (*card.Card, []card.Problem, error) {
	var text strings.Builder
	text.WriteString(poolHead)
	for _, c := range list {
		text.WriteString(c.line(1) + "\n")
	}
	return card.Read("pool", []byte(text.String()), tile.Usual)
}
