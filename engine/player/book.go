package player

import (
	"secondpass/engine/fit"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// book is the hands of a card, or of an aim, as players read them. It is read-only and shared.
type book struct {
	card  *card.Card
	index *fit.Index
	lines []line
	// place is where the index has a variant of the card, or absent.
	place []int32
	// zeros says whether some hand uses the white dragon as a digit among numbers.
	zeros bool
}

const absent = -1

// line is one variant: what it needs of each kind. It fills 64 bytes, which processors fetch at once.
type line struct {
	parts []part
	// groups are those of three and more, which can be claimed unless the hand is concealed.
	groups []card.Group
	// kinds has a bit for each kind it uses.
	kinds  uint64
	points int32
	// section indexes the card's Sections.
	section int16
	// rate is how tiles of its groups may come.
	rate rate
	// mixed says that some kind is both in a group and apart from it.
	mixed bool
}

// jokers says whether jokers may stand for tiles of its groups.
func (l *line) jokers() bool { return l.rate == drawnOrJoker || l.rate == claimedOrJoker }

// concealed says whether its groups may not be claimed.
func (l *line) concealed() bool { return l.rate == drawn || l.rate == drawnOrJoker }

// part is the tiles of one kind in a variant.
type part struct {
	kind          tile.Kind
	single, group uint8
	// size is the number of them, grouped 1 if they are in a group.
	size, grouped uint8
	// odds is where the chances of its tiles begin in a table, unless it is mixed.
	odds uint16
}

// mixed says that the tiles are wanted in a group and apart from it.
func (p *part) mixed() bool { return p.single > 0 && p.group > 0 }

// indexOf prepares the hands of an aim, all hands for an empty one.
func indexOf(c *card.Card, aim []int) *fit.Index {
	if len(aim) > 0 {
		return fit.Of(c, aim)
	}
	return fit.New(c)
}

// newBook reads the hands of an index.
func newBook(c *card.Card, x *fit.Index) *book {
	b := &book{card: c, index: x, lines: make([]line, x.Len()), place: make([]int32, len(c.Variants))}
	for v := range b.place {
		b.place[v] = absent
	}
	for i := range b.lines {
		v := x.Variant(int32(i))
		b.place[v] = int32(i)
		b.lines[i] = readLine(c, v)
		b.zeros = b.zeros || c.Variants[v].Small[tile.White] == 1
	}
	b.gather()
	return b
}

// gather brings the parts of all lines together in memory, in the order in which games read them.
func (b *book) gather() {
	n := 0
	for i := range b.lines {
		n += len(b.lines[i].parts)
	}
	all := make([]part, 0, n)
	for i := range b.lines {
		l := &b.lines[i]
		from := len(all)
		all = append(all, l.parts...)
		l.parts = all[from:len(all):len(all)]
	}
}

func readLine(c *card.Card, v int) line {
	variant := &c.Variants[v]
	hand := &c.Hands[variant.Hand]
	l := line{points: int32(hand.Points), section: int16(hand.Section), rate: rateOf(hand)}
	for _, g := range variant.Groups {
		if g.TakesJokers() {
			l.groups = append(l.groups, g)
		}
	}
	for k := range tile.Joker {
		small, large := variant.Small[k], variant.Large[k]
		if small+large == 0 {
			continue
		}
		p := part{kind: k, single: small, group: large, size: small + large}
		if large > 0 {
			p.grouped, p.odds = 1, uint16(l.rate)*perRate
		}
		l.parts = append(l.parts, p)
		l.kinds |= 1 << k
		l.mixed = l.mixed || p.mixed()
	}
	return l
}

// rateOf is how the tiles of a hand's groups of three and more can come.
func rateOf(h *card.Hand) rate {
	switch {
	case h.Concealed && h.Jokers:
		return drawnOrJoker
	case h.Concealed:
		return drawn
	case h.Jokers:
		return claimedOrJoker
	}
	return claimed
}
