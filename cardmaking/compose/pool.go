package compose

import (
	"fmt"
	"math/rand/v2"
	"strings"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// handTiles is the number of tiles in a hand.
const handTiles = card.HandTiles

const (
	// poolSize is how many hands are drawn for a section, of which its hands are picked.
	// That takes up to so many ways (a figure, numbers and a tail), and with each so many tries.
	poolSize = 60
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
func drawPools(seed uint64, themes []theme) ([][]*candidate, error) {
	builds := builder{}
	all := make([][]*candidate, len(themes))
	for i := range themes {
		d := &drawer{rng: rand.New(rand.NewPCG(seed, uint64(i)+1)), theme: &themes[i], builds: builds}
		var err error
		if all[i], err = measure(d.pool()); err != nil {
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
			if text := c.line(1); !seen[text] && c.makeable() {
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
	if !ok || h.size() != handTiles || !d.theme.allow(&h) || !d.keep(len(h.terms())) {
		return hand{}, false
	}
	d.close(&h)
	return h, true
}

// keep draws whether a hand of so many groups goes on: all of few groups, of many the
// fewer the more they have, since there are so many more ways to make them.
func (d *drawer) keep(groups int) bool {
	const few = 4
	return d.rng.IntN(groups*groups) < few*few
}

// allow applies the limits of the section. Of hands that take jokers it leaves out
// the plainest, which may stand on some card already: those of numbers alone, and those
// whose groups are all kongs.
func (l *limits) allow(h *hand) bool {
	largest, honours, flowers, kongs, others := 0, 0, 0, 0, 0
	for _, t := range h.terms() {
		if t.symbol == 'F' {
			flowers += t.size
			continue
		}
		largest = max(largest, t.size)
		if !t.ranked() {
			honours += t.size
		}
		switch t.size {
		case 1:
		case 4:
			kongs++
		default:
			others++
		}
	}
	plain := flowers+honours == 0 || others == 0
	return largest >= l.largest && honours >= l.honours && (l.still || !plain)
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

// makeable reads the hand as a card of its own and says whether the tiles of the usual
// set suffice for it and it has no more than mostOfHand variants.
func (c *candidate) makeable() bool {
	read, _, err := readLines([]*candidate{c})
	return err == nil && len(read.Variants) <= mostOfHand
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
