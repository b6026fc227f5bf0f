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
	// groups are those of three and more of each line, which can be claimed unless the hand is concealed.
	groups [][]card.Group
	// slots are the lines as the kernel reads them, and at the end one that wants nothing.
	slots [][lineSlots]slot
	// place is where the index has a variant of the card, or absent.
	place []int32
	// mixed has the mixed kinds of all lines.
	mixed uint64
	// zeros says whether some hand uses the white dragon as a digit among numbers.
	zeros bool
}

const absent = -1

// line is one variant: what it needs of each kind.
type line struct {
	parts []part
	// kinds has a bit for each kind it uses, mixed for those that are both in a group and apart from it.
	kinds, mixed uint64
	// slots is how many of its slots are in use.
	slots int32
	// section indexes the card's Sections.
	section int16
	// rate is how tiles of its groups may come.
	rate rate
}

// jokers says whether jokers may stand for tiles of its groups.
func (l *line) jokers() bool { return l.rate == drawnOrJoker || l.rate == claimedOrJoker }

// concealed says whether its groups may not be claimed.
func (l *line) concealed() bool { return l.rate == drawn || l.rate == drawnOrJoker }

// part is the tiles of one kind in a variant.
type part struct {
	kind          tile.Kind
	single, group uint8
	// size is the number of them.
	size uint8
}

// indexOf prepares the hands of an aim, all hands for an empty one.
func indexOf(c *card.Card, aim []int) *fit.Index {
	if len(aim) > 0 {
		return fit.Of(c, aim)
	}
	return fit.New(c)
}

// newBook reads the hands of an index.
func newBook(c *card.Card, x *fit.Index) *book {
	b := &book{card: c, index: x, lines: make([]line, x.Len()), groups: make([][]card.Group, x.Len()), place: make([]int32, len(c.Variants))}
	for v := range b.place {
		b.place[v] = absent
	}
	for i := range b.lines {
		v := x.Variant(int32(i))
		b.place[v] = int32(i)
		b.lines[i] = readLine(c, v)
		b.groups[i] = claimedGroups(&c.Variants[v])
		b.mixed |= b.lines[i].mixed
		b.zeros = b.zeros || c.Variants[v].Small[tile.White] == 1
	}
	b.gather()
	b.pack()
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

// pack fills in the slots.
func (b *book) pack() {
	b.slots = make([][lineSlots]slot, len(b.lines)+1)
	for i := range b.lines {
		var n int
		b.slots[i], n = slotsOf(&b.lines[i])
		b.lines[i].slots = int32(n)
	}
	b.slots[len(b.lines)], _ = slotsOf(&line{})
}

// points is what the hand of a line scores.
func (b *book) points(i int) int {
	c := b.card
	return c.Hands[c.Variants[b.index.Variant(int32(i))].Hand].Points
}

func readLine(c *card.Card, v int) line {
	variant := &c.Variants[v]
	hand := &c.Hands[variant.Hand]
	l := line{section: int16(hand.Section), rate: rateOf(hand)}
	for k := range tile.Joker {
		small, large := variant.Small[k], variant.Large[k]
		if small+large == 0 {
			continue
		}
		p := part{kind: k, single: small, group: large, size: small + large}
		l.parts = append(l.parts, p)
		l.kinds |= 1 << k
		if small > 0 && large > 0 {
			l.mixed |= 1 << k
		}
	}
	return l
}

func claimedGroups(v *card.Variant) (groups []card.Group) {
	for _, g := range v.Groups {
		if g.TakesJokers() {
			groups = append(groups, g)
		}
	}
	return groups
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
