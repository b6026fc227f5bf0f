package card

import (
	"fmt"

	"secondpass/rules/tile"
)

// Limits on what one file may cost, so that neither a mistyped line nor a file from elsewhere can fill the memory. A yearly
// card has some kilobytes, and stands for a few thousand variants.
const (
	MaxFile         = 256 << 10 // bytes
	maxProblems     = 100
	maxCombinations = 200_000
	maxVariants     = 100_000
)

// assignments are the ways to give x, y and z three different suits, in the
// order in which variants are listed.
var assignments = [6][3]tile.Suit{
	{tile.Bams, tile.Craks, tile.Dots},
	{tile.Bams, tile.Dots, tile.Craks},
	{tile.Craks, tile.Bams, tile.Dots},
	{tile.Craks, tile.Dots, tile.Bams},
	{tile.Dots, tile.Bams, tile.Craks},
	{tile.Dots, tile.Craks, tile.Bams},
}

// expansion turns the parts of one hand line into its distinct variants.
type expansion struct {
	hand     int
	parts    []part
	slide    int // 0: ranks as written; 1: every shift; 2: even shifts
	budget   *int
	seen     map[variantKey]bool
	variants []Variant
	runs     []run // of the choice at hand
}

// variantKey is what makes two variants equal: how many tiles of each kind stand in
// singles and pairs, and how many in larger groups.
type variantKey [2]tile.Rack

// errTooMany reports a line that stands for more than the program takes.
type errTooMany struct{ found, right string }

func (e *errTooMany) Error() string { return e.found }

// errSize reports a choice of alternatives that does not make a hand.
type errSize struct{ tiles int }

func (e *errSize) Error() string { return fmt.Sprintf("%d tiles", e.tiles) }

// run lists the variants: the leftmost alternative slowest, then the suits, then
// the shifts upward; of equal ones the first stays.
func (x *expansion) run() error {
	choice := make([]int, len(x.parts))
	for {
		if err := x.expandChoice(choice); err != nil {
			return err
		}
		i := len(choice) - 1
		for ; i >= 0; i-- {
			choice[i]++
			if choice[i] < len(x.parts[i]) {
				break
			}
			choice[i] = 0
		}
		if i < 0 {
			return nil
		}
	}
}

func (x *expansion) expandChoice(choice []int) error {
	if err := x.spend(); err != nil {
		return err
	}
	runs, size := x.runs[:0], 0
	for i, p := range x.parts {
		runs = append(runs, p[choice[i]]...)
	}
	x.runs = runs
	for _, r := range runs {
		size += r.size
	}
	if size != HandTiles {
		return &errSize{size}
	}
	suits := assignments[:1]
	for _, r := range runs {
		if r.suit >= 'x' {
			suits = assignments[:]
		}
	}
	shifts := x.shifts(runs)
	for _, a := range suits {
		for _, shift := range shifts {
			if err := x.spend(); err != nil {
				return err
			}
			x.add(runs, a, shift)
		}
	}
	if len(x.variants) > maxVariants {
		return &errTooMany{fmt.Sprintf("a hand of more than %d variants", maxVariants), "fewer alternatives, or several lines"}
	}
	return nil
}

// spend counts one combination against the budget of the file.
func (x *expansion) spend() error {
	if *x.budget--; *x.budget < 0 {
		return &errTooMany{fmt.Sprintf("a card of more than %d combinations of alternatives, suits and shifts", maxCombinations),
			"fewer alternatives in its lines"}
	}
	return nil
}

func (x *expansion) shifts(runs []run) []int {
	low, high := 10, 0
	for _, r := range runs {
		if r.ranked() {
			low, high = min(low, int(r.symbol-'0')), max(high, int(r.symbol-'0'))
		}
	}
	if x.slide == 0 || high == 0 {
		return []int{0}
	}
	var shifts []int
	for s := 1 - low; s <= 9-high; s++ {
		if s%x.slide == 0 {
			shifts = append(shifts, s)
		}
	}
	return shifts
}

func (x *expansion) add(runs []run, suits [3]tile.Suit, shift int) {
	v := Variant{Hand: x.hand}
	for _, r := range runs {
		g := Group{r.kind(suits, shift), r.size}
		if g.TakesJokers() {
			v.Large[g.Kind] += uint8(g.Size)
		} else {
			v.Small[g.Kind] += uint8(g.Size)
		}
	}
	key := variantKey{v.Small, v.Large}
	if x.seen[key] {
		return
	}
	x.seen[key] = true
	v.Groups = make([]Group, len(runs))
	for i, r := range runs {
		v.Groups[i] = Group{r.kind(suits, shift), r.size}
	}
	x.variants = append(x.variants, v)
}

func (r run) kind(suits [3]tile.Suit, shift int) tile.Kind {
	if r.suit == 0 {
		k, _ := tile.HonourKind(r.symbol) // parseWord let only honours through
		return k
	}
	var s tile.Suit
	switch r.suit {
	case 'x', 'y', 'z':
		s = suits[r.suit-'x']
	case 'c':
		s = tile.Craks
	case 'd':
		s = tile.Dots
	}
	if r.symbol == 'D' {
		return s.Dragon()
	}
	return tile.Ranked(int(r.symbol-'0')+shift, s)
}

// makeable says why no tiles of the set can make a variant, or "".
func makeable(c *Card, v *Variant) string {
	single, group := c.Needs(v)
	lacking := 0
	for k := range tile.Joker {
		if n, copies := int(single[k]), int(c.Set[k]); n > copies {
			return fmt.Sprintf("%d of %s where no joker can stand, but the set holds %d", n, k, copies)
		}
		lacking += max(0, int(single[k])+int(group[k])-int(c.Set[k]))
	}
	if jokers := int(c.Set[tile.Joker]); lacking > jokers {
		return fmt.Sprintf("%d tiles more than the set has of their kinds, but only %d jokers", lacking, jokers)
	}
	return ""
}
