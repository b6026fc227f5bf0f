package compose

import (
	"fmt"
	"math/rand/v2"

	"secondpass/card"
	"secondpass/tile"
)

// handTiles is the number of tiles in a hand.
const handTiles = card.HandTiles

const (
	// poolSize is how many hands are drawn for a section before a card is picked,
	// poolTries how many attempts that may take.
	poolSize  = 70
	poolTries = 20_000
)

// candidate is a drawn hand with all that the choice of a card needs to know.
type candidate struct {
	hand
	text     string // pattern and options
	section  int    // index of its theme
	variants []card.Variant
	tiles    []tile.Rack // of each variant
	traits   traits
}

// pools draws the candidates of every section. Each section has a random stream of its
// own, so that a change in one leaves the others as they were.
func pools(seed uint64, themes []theme) ([][]*candidate, error) {
	builds := builder{}
	all := make([][]*candidate, len(themes))
	for i := range themes {
		d := &drawer{rand.New(rand.NewPCG(seed, uint64(i)+1)), &themes[i], builds}
		var err error
		if all[i], err = measure(d.pool(i)); err != nil {
			return nil, err
		}
		if len(all[i]) < themes[i].hands {
			return nil, fmt.Errorf("section %q: only %d hands could be drawn", themes[i].section, len(all[i]))
		}
	}
	return all, nil
}

// pool draws the candidates of one section, each text once.
func (d *drawer) pool(section int) []*candidate {
	seen := map[string]bool{}
	var list []*candidate
	for range poolTries {
		h, ok := pick(d, d.theme.figures)(d)
		if !ok || h.size() != handTiles || !d.fits(&h) {
			continue
		}
		d.finish(&h)
		text := h.pattern() + h.options()
		if seen[text] {
			continue
		}
		seen[text] = true
		if c := (&candidate{hand: h, text: text, section: section}); c.makeable() {
			list = append(list, c)
		}
		if len(list) == poolSize {
			break
		}
	}
	return list
}

// fits applies the rules of the section and leaves out the plainest hands: those
// that anyone would write first, and so may stand on some card already.
func (d *drawer) fits(h *hand) bool {
	largest, kongs, others, honours := 0, 0, 0, 0
	for _, t := range h.terms() {
		if t.symbol == 'F' {
			honours++
			continue
		}
		largest = max(largest, t.size)
		if !t.ranked() {
			honours++
		}
		if t.size == 4 {
			kongs++
		} else if t.size > 1 {
			others++
		}
	}
	if largest < d.theme.must {
		return false
	}
	if d.theme.still {
		return true
	}
	return honours > 0 && !(kongs > 0 && others == 0) && !(h.figure == "row" && h.build == "alike")
}

// finish draws whether the hand is concealed and whether it takes jokers: the more
// of it stands in singles and pairs, the likelier it is concealed.
func (d *drawer) finish(h *hand) {
	if d.theme.still {
		h.concealed, h.noJokers = true, true
		return
	}
	small := 0
	for _, t := range h.terms() {
		if t.size < 3 {
			small += t.size
		}
	}
	h.concealed = d.rng.IntN(handTiles) < small-1
}

// line is the hand as a line of a card file, without its note.
func (c *candidate) line(points int) string {
	exposure := "exposed"
	if c.concealed {
		exposure = "concealed"
	}
	return fmt.Sprintf("%d %-10s %s", points, exposure, c.text)
}

// makeable reads the hand as a card of its own; false where no tiles can make it.
func (c *candidate) makeable() bool {
	_, _, err := card.Read("", []byte("card C\nsection S\n"+c.line(1)+"\n"), tile.Usual)
	return err == nil
}
