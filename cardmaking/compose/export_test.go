package compose

import "slices"

// Plant puts a hand of one's own, given by its groups, in the place of the first hand of a section,
// whatever the demands, and gives its pattern.
func Plant(d *Draft, section string, slide int, groups ...[]term) string {
	l := d.layout
	i := slices.IndexFunc(l.places, func(p place) bool { return l.themes[p.section].section == section })
	c := &candidate{hand: hand{slide: slide, say: "planted"}}
	for _, g := range groups {
		c.pieces = append(c.pieces, fixed(g...))
	}
	read, _, err := readLines([]*candidate{c})
	if err != nil {
		panic(err)
	}
	c.traits = traitsOf(read.Variants)
	c.difficulty, c.inSuits = Difficulty(read)[0], c.suits()
	p := l.places[i]
	l.sums.add(l.at(p), -1)
	l.pools[p.section][p.index] = c
	d.all[d.first[p.section]+p.index] = c
	l.sums.add(c, 1)
	return c.pattern()
}

// Of is a group of so many tiles of a rank or honour; suit 0 is none.
func Of(size int, symbol, suit byte) []term {
	return []term{{symbol: symbol, suit: suit, size: size}}
}

// CheckCard holds a card to what docs/practice-card.md promises.
var CheckCard = checkCard
