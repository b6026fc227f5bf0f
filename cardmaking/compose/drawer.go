package compose

import "math/rand/v2"

// A figure is a way to lay out a hand. It makes one random choice of everything and
// returns false where the choices do not fit together.
type figure func(*drawer) (hand, bool)

// drawer is what figures draw from. Numbers and tail are drawn before the figure is
// called and stay the same while it tries, or the ways that fit together seldom
// would hardly be seen.
type drawer struct {
	rng     *rand.Rand
	theme   *theme
	builds  builder
	numbers numbers
	tail    tailKind
}

// pick is one of a list at random.
func pick[T any](d *drawer, list []T) T { return list[d.rng.IntN(len(list))] }

// fill draws flowers and the size of the tail, for numbers in the suits of letters.
func (d *drawer) fill(letters string) (filler, bool) { return d.fillWith(d.tail, letters) }

func (d *drawer) fillWith(kind tailKind, letters string) (filler, bool) {
	f := filler{lead: flowers(pick(d, d.theme.flowers))}
	if kind == noTail {
		return f, true
	}
	const least = 2 // a lone dragon or wind looks like a mistake, except in NEWS
	size := least + d.rng.IntN(min(d.theme.most, 4)-least+1)
	if kind == fourWinds {
		size = 1 + d.rng.IntN(2)
	}
	p, say, ok := tail(kind, letters, size)
	if !ok {
		return f, false
	}
	f.tail, f.honours = p, say
	return f, true
}

// plan draws suits for the numbers; one number alone comes again in each suit of the plan.
func (d *drawer) plan() (numbers, plan) {
	n := d.numbers
	if n.count() > 1 {
		return n, pick(d, plansOf(n.count()))
	}
	p := pick(d, plansOfOne)
	return n.times(len(p.letters)), p
}

// build draws sizes for a row of so many groups.
func (d *drawer) build(groups, tiles int) (build, bool) {
	list := d.builds.list(buildKey{groups, tiles, 1, d.theme.most})
	if len(list) == 0 {
		return build{}, false
	}
	return pick(d, list), true
}

// terms gives ranks their suits and sizes. A zero has no suit unless it is a single
// that shares a word with the number before it.
func terms(ranks []int, letters string, sizes []int) []term {
	row := make([]term, len(ranks))
	for i, r := range ranks {
		row[i] = term{symbol: byte('0' + r), suit: letters[i], size: sizes[i]}
		if r == 0 && (i == 0 || letters[i] != letters[i-1] || sizes[i-1] > 1 || sizes[i] > 1) {
			row[i].suit = 0
		}
	}
	return row
}

// singles is one of each rank in one suit.
func singles(ranks []int, suit byte) []term {
	row := make([]term, len(ranks))
	for i, r := range ranks {
		row[i] = term{symbol: byte('0' + r), suit: suit, size: 1}
	}
	return row
}

// assemble puts a hand together from its middle and its filler.
func assemble(f filler, from drawn, middle ...piece) hand {
	h := hand{drawn: from}
	h.tail = f.honours
	h.pieces = append(h.pieces, f.lead...)
	h.pieces = append(h.pieces, middle...)
	h.pieces = append(h.pieces, f.tail...)
	return h
}
