package compose

import "strings"

// row is one group of every number, in order, or of one number in several suits.
func row(d *drawer) (hand, bool) {
	n, p := d.plan()
	f, ok := d.fill(p.letters)
	if !ok {
		return hand{}, false
	}
	b, ok := d.build(n.count(), handTiles-f.size())
	if !ok {
		return hand{}, false
	}
	h := assemble(f, drawn{figure: "row", numbers: n.say, build: b.say, plan: p.say},
		n.over(func(ranks []int) []term { return terms(ranks, p.letters, b.sizes) }))
	h.slide = n.slide
	h.say = sentence(n.say, b.say, p.say, f.say())
	return h, true
}

// echo is the same numbers again in a second or in all suits, in a second one
// perhaps with the sizes turned round.
func echo(d *drawer) (hand, bool) {
	n := d.numbers
	letters := pick(d, []string{"xy", "xy", "xyz"})
	suits := len(letters)
	f, ok := d.fill(letters)
	rest := handTiles - f.size()
	if !ok || rest%suits != 0 {
		return hand{}, false
	}
	b, ok := d.build(n.count(), rest/suits)
	if !ok {
		return hand{}, false
	}
	how := [...]string{2: "the same in two suits", 3: "the same in every suit"}[suits]
	again := b.sizes
	if back := buildWord(reversed(b.sizes)); suits == 2 && back != b.say && d.rng.IntN(2) == 0 {
		how, again = "in another suit "+back, reversed(b.sizes)
	}
	h := assemble(f, drawn{figure: "echo", numbers: n.say, build: b.say, plan: how}, n.over(func(ranks []int) []term {
		all := terms(ranks, strings.Repeat("x", len(ranks)), b.sizes)
		for i := 1; i < suits; i++ {
			all = append(all, terms(ranks, strings.Repeat(letters[i:i+1], len(ranks)), again)...)
		}
		return all
	}))
	h.slide = n.slide
	h.say = sentence(n.say, b.say, how, f.say())
	return h, true
}

// chord is which numbers of a strip come again as larger groups.
type chord struct {
	say string
	// place gives the indices of the numbers, of so many; suits the letters they come again in.
	place func(count int) []int
	suits string
}

var chords = []chord{
	{"the ends again in two other suits", func(n int) []int { return []int{0, n - 1} }, "yz"},
	{"the ends again in a second suit", func(n int) []int { return []int{0, n - 1} }, "yy"},
	{"the lowest again in two other suits", func(int) []int { return []int{0, 0} }, "yz"},
	{"the highest again in two other suits", func(n int) []int { return []int{n - 1, n - 1} }, "yz"},
	{"the middle again in two other suits", middle, "yz"},
	{"all again in a second suit", every, "yyyyyy"},
}

// middle is the middle number twice, or none where there is no middle.
func middle(n int) []int {
	if n%2 == 0 {
		return nil
	}
	return []int{n / 2, n / 2}
}

func every(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}

// strip is a single of every number in one suit, and some of them again in others, with
// honours beside them.
func strip(d *drawer) (hand, bool) {
	n := d.numbers
	c := pick(d, chords)
	count := n.count()
	at := c.place(count)
	if count < 3 || len(at) == 0 {
		return hand{}, false
	}
	f, ok := d.fill("x" + c.suits[:len(at)])
	if !ok {
		return hand{}, false
	}
	b, ok := d.build(len(at), handTiles-f.size()-count)
	if !ok {
		return hand{}, false
	}
	h := assemble(f, drawn{figure: "strip", numbers: n.say, build: b.say, plan: c.say}, n.over(func(ranks []int) []term {
		all := singles(ranks, 'x')
		for i, j := range at {
			all = append(all, term{symbol: byte('0' + ranks[j]), suit: c.suits[i], size: b.sizes[i]})
		}
		return all
	}))
	h.slide = n.slide
	h.say = sentence("a single of each of "+n.say, c.say, unlessAlike(b), f.say())
	return h, true
}

func unlessAlike(b build) string {
	if b.say == alike {
		return ""
	}
	return b.say
}

// escort is a row with a number in every suit, each with the dragon of its suit. In
// two suits the dragons shrink where the numbers grow.
func escort(d *drawer) (hand, bool) {
	n := d.numbers
	letters := pick(d, []string{"xy", "xy", "xyz"})
	count := len(letters)
	f := filler{lead: flowers(pick(d, d.theme.flowers))}
	rest := handTiles - f.size()
	if n.count() != count || rest%count != 0 {
		return hand{}, false
	}
	b, ok := d.build(2, rest/count)
	if !ok || b.say == alike || b.sizes[1] < 2 || count == 2 && b.sizes[0] < 2 {
		return hand{}, false
	}
	how := "in three suits, each with the dragon of its suit"
	if count == 2 {
		how = "in two suits, the numbers growing, the dragons of their suits shrinking"
		if b.sizes[0] > b.sizes[1] {
			how = "in two suits, the numbers shrinking, the dragons of their suits growing"
		}
	}
	h := assemble(f, drawn{figure: "escort", numbers: n.say, build: b.say, plan: letters}, n.over(func(ranks []int) []term {
		var all []term
		sizes := b.sizes
		for i, rank := range ranks {
			all = append(all, term{symbol: byte('0' + rank), suit: letters[i], size: sizes[0]},
				term{symbol: 'D', suit: letters[i], size: sizes[1]})
			if count == 2 {
				sizes = reversed(sizes)
			}
		}
		return all
	}))
	h.slide = n.slide
	h.say = sentence(n.say+" "+how, f.say())
	return h, true
}
