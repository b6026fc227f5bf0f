package compose

import "strings"

// filler is what stands around the numbers of a hand: flowers before, honours after.
type filler struct {
	lead, tail []piece
	// honours says what stands in the tail, or "".
	honours string
}

func (f *filler) size() int {
	n := 0
	for _, p := range f.lead {
		n += p.size()
	}
	for _, p := range f.tail {
		n += p.size()
	}
	return n
}

// say is the end of a hand's sentence.
func (f *filler) say() string {
	switch {
	case len(f.lead) > 0 && f.honours != "":
		return "with flowers and " + f.honours
	case len(f.lead) > 0:
		return "with flowers"
	case f.honours != "":
		return "with " + f.honours
	}
	return ""
}

// flowers is a group of so many flowers, or nothing.
func flowers(n int) []piece {
	if n == 0 {
		return nil
	}
	return []piece{fixed(term{symbol: 'F', size: n})}
}

// tailKind is a sort of honours that can follow the numbers.
type tailKind int

const (
	noTail tailKind = iota
	suitDragons
	spareDragon
	anyDragon
	facingWinds
	anyWind
	fourWinds
	// unevenWinds are two facing winds, the first once more than the other.
	unevenWinds
	// windsAndDragon are two facing winds and the dragon of another suit, compassAndDragon a single of each wind and a dragon.
	windsAndDragon
	compassAndDragon
)

// tail makes the honours of a kind, size tiles a group, for numbers that stand in the
// suits of letters. ok is false where the kind does not go with them.
func tail(kind tailKind, letters string, size int) (p []piece, say string, ok bool) {
	used, spare := usedLetters(letters), spareLetters(letters)
	switch kind {
	case suitDragons:
		var terms []term
		for i := range len(used) {
			terms = append(terms, term{symbol: 'D', suit: used[i], size: size})
		}
		say = "the dragons of its suits"
		if len(used) == 1 {
			say = "the dragon of its suit"
		}
		return []piece{fixed(terms...)}, say, len(used) > 0 && len(used) < 3
	case spareDragon:
		if spare == "" || used == "" {
			return nil, "", false
		}
		return []piece{fixed(term{symbol: 'D', suit: spare[0], size: size})}, "the dragon of another suit", true
	case anyDragon:
		return []piece{anyOf("RG0", size)}, "any one dragon", true
	case facingWinds:
		return []piece{twoFacing(size, size)}, "two facing winds", true
	case unevenWinds:
		return []piece{twoFacing(size, size-1)}, "two facing winds, the second thinner", true
	case anyWind:
		return []piece{anyOf("NEWS", size)}, "any one wind", true
	case fourWinds:
		return []piece{fixed(allOf("NEWS", size)...)}, "all four winds", true
	case windsAndDragon:
		winds, _, _ := tail(facingWinds, letters, size)
		dragon, say, ok := tail(spareDragon, letters, size)
		return append(winds, dragon...), "two facing winds and " + say, ok
	case compassAndDragon:
		winds, _, _ := tail(fourWinds, letters, 1)
		dragon, say, ok := tail(spareDragon, letters, size)
		if !ok {
			dragon, say, ok = tail(anyDragon, letters, size)
		}
		return append(winds, dragon...), "a single of each wind and " + say, ok
	}
	return nil, "", false
}

// twoFacing is north and south, or east and west, in these sizes.
func twoFacing(first, second int) piece {
	sizes := []int{first, second}
	return piece{honourRow("NS", sizes), honourRow("EW", sizes)}
}

// anyOf is one group of any of the symbols.
func anyOf(symbols string, size int) piece {
	var p piece
	for i := range len(symbols) {
		p = append(p, allOf(symbols[i:i+1], size))
	}
	return p
}

// allOf is a group of each of the symbols, all of one size.
func allOf(symbols string, size int) []term { return honourRow(symbols, same(size, len(symbols))) }

// honourRow gives honours their sizes.
func honourRow(symbols string, sizes []int) []term {
	row := make([]term, len(symbols))
	for i := range row {
		row[i] = term{symbol: symbols[i], size: sizes[i]}
	}
	return row
}

// same is so many equal sizes.
func same(size, count int) []int {
	list := make([]int, count)
	for i := range list {
		list[i] = size
	}
	return list
}

// sentence joins the parts of a hand's description, leaving out empty ones.
func sentence(parts ...string) string {
	var kept []string
	for _, p := range parts {
		if p != "" {
			kept = append(kept, p)
		}
	}
	return strings.Join(kept, ", ")
}
