package compose

import "slices"

// digitGroup is a digit of the motto, and how often it stands there in a row.
type digitGroup struct{ rank, count int }

// digitGroups takes equal digits that stand side by side together.
func digitGroups(digits []int) []digitGroup {
	var groups []digitGroup
	for i, r := range digits {
		if i > 0 && r == digits[i-1] {
			groups[len(groups)-1].count++
			continue
		}
		groups = append(groups, digitGroup{r, 1})
	}
	return groups
}

// mottoWord is the motto as one word in a suit.
func mottoWord(digits []int, suit byte) []term {
	var word []term
	for i, g := range digitGroups(digits) {
		word = append(word, term{symbol: byte('0' + g.rank), suit: suit, size: g.count, glued: i > 0})
	}
	return word
}

func (d *drawer) motto() []int { return d.numbers.choices[0] }

// mottoStrip is the motto in one suit, its lowest and highest number, zero left out, again in
// other suits.
func mottoStrip(d *drawer) (hand, bool) {
	digits := d.motto()
	again := slices.DeleteFunc(slices.Sorted(slices.Values(digits)), func(r int) bool { return r == 0 })
	again = []int{again[0], again[len(again)-1]}
	p := plan{letters: "yz", say: "in two other suits"}
	if again[0] != again[1] && d.rng.IntN(2) == 0 {
		p = plan{letters: "yy", say: "in a second suit"}
	}
	f, ok := d.fill("x" + p.letters)
	if !ok {
		return hand{}, false
	}
	b, ok := d.build(2, handTiles-f.size()-len(digits))
	if !ok || min(b.sizes[0], b.sizes[1]) < 2 {
		return hand{}, false
	}
	h := assemble(f, drawn{figure: "motto strip", build: b.say, plan: p.say},
		fixed(mottoWord(digits, 'x')...), fixed(terms(again, p.letters, b.sizes)...))
	h.say = sentence("the motto", "its numbers again "+p.say, unlessAlike(b), f.say())
	return h, true
}

// mottoRow is a group for each digit of the motto, with a plan for those that are no zero.
func mottoRow(d *drawer) (hand, bool) {
	var ranks []int
	count := 0
	for _, g := range digitGroups(d.motto()) {
		ranks = append(ranks, g.rank)
		if g.rank > 0 {
			count++
		}
	}
	p := pick(d, plansOf(count))
	f, ok := d.fill(p.letters)
	if !ok {
		return hand{}, false
	}
	b, ok := d.build(len(ranks), handTiles-f.size())
	if !ok {
		return hand{}, false
	}
	row := terms(ranks, besideZeros(ranks, p.letters), b.sizes)
	for i := range row {
		for j := range i {
			if row[j].ranked() && row[j].symbol == row[i].symbol && row[j].suit == row[i].suit {
				return hand{}, false // two groups of one tile read badly
			}
		}
	}
	h := assemble(f, drawn{figure: "motto row", build: b.say, plan: p.say}, fixed(row...))
	h.say = sentence("the digits of the motto", b.say, p.say, f.say())
	return h, true
}

// besideZeros spreads the letters over the ranks that are no zero; a zero has the letter
// of the rank before it, so that singles make a word.
func besideZeros(ranks []int, letters string) string {
	spread := make([]byte, len(ranks))
	next := 0
	for i, r := range ranks {
		if r > 0 {
			spread[i] = letters[next]
			next++
		} else if i > 0 {
			spread[i] = spread[i-1]
		}
	}
	return string(spread)
}

// mottoRun is the motto in one suit and, in another, a run of three that ends with its
// last digit, or begins with it where that is too low.
func mottoRun(d *drawer) (hand, bool) {
	digits := d.motto()
	last := digits[len(digits)-1]
	run, say := []int{last - 2, last - 1, last}, "a run of three up to its last digit"
	if last < 3 {
		last = max(last, 1)
		run, say = []int{last, last + 1, last + 2}, "a run of three from its last digit"
	}
	p := pick(d, []plan{
		{letters: "yyy", say: "in a second suit"},
		{letters: "yyz", say: "in two other suits"},
		{letters: "yzy", say: "in two other suits by turns"},
	})
	f, ok := d.fill("x" + p.letters)
	if !ok {
		return hand{}, false
	}
	b, ok := d.build(len(run), handTiles-f.size()-len(digits))
	if !ok {
		return hand{}, false
	}
	h := assemble(f, drawn{figure: "motto run", build: b.say, plan: p.say},
		fixed(mottoWord(digits, 'x')...), fixed(terms(run, p.letters, b.sizes)...))
	h.say = sentence("the motto", say+" "+p.say, b.say, f.say())
	return h, true
}
