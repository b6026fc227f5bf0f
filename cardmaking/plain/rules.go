package plain

import (
	"slices"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

const kong = 4

// kongs: at least two kongs and at most one other group, singles and flowers aside. One pair or pung beside kongs
// does not make them less plain.
func kongs(s *shape) bool {
	kongs, others := 0, 0
	for _, g := range s.groups {
		switch {
		case g.Kind == tile.Flower || g.Size == 1:
		case g.Size == kong:
			kongs++
		default:
			others++
		}
	}
	return kongs >= 2 && others <= 1
}

// kongsAndPairs: two kongs or more, pairs, and nothing else, flowers counted.
func kongsAndPairs(s *shape) bool {
	kongs := 0
	for _, g := range s.groups {
		switch g.Size {
		case kong:
			kongs++
		case 2:
		default:
			return false
		}
	}
	return kongs >= 2
}

// twoAndTwo: four groups of four, three, three and four in whatever order, flowers counted.
func twoAndTwo(s *shape) bool {
	return slices.Equal(slices.Sorted(slices.Values(sizes(s.groups))), []int{3, 3, 4, 4})
}

// pungs: four pungs and a pair, of neighbours, of one or two ranks, or of honours alone.
func pungs(s *shape) bool {
	return slices.Equal(slices.Sorted(slices.Values(sizes(s.groups))), []int{2, 3, 3, 3, 3}) && (len(s.ranks()) <= 2 || together(s.ranks()))
}

// twoBesideTwo: two groups of numbers and two kinds of honours of one size, in whatever order.
func twoBesideTwo(s *shape) bool {
	honours := slices.DeleteFunc(slices.Concat(s.winds[:], s.dragons[:]), func(n int) bool { return n == 0 })
	return len(s.numbers) == 2 && len(honours) == 2 && honours[0] == honours[1]
}

// oneRank: one number in all suits needs two kinds of honours or three different sizes beside it.
func oneRank(s *shape) bool {
	winds, dragons := s.honours()
	return len(s.ranks()) == 1 && s.suits() == tile.Suits && winds+dragons < 2 && different(sizes(s.numbers)) < 3
}

// windBlock: sizes such as 4 3 3 4, 3 3 3 3 or 1 3 1 3, in whatever order. A single of each is no block.
func windBlock(s *shape) bool {
	sorted := slices.Sorted(slices.Values(s.winds[:]))
	return sorted[0] > 0 && sorted[3] > 1 && sorted[0] == sorted[1] && sorted[2] == sorted[3]
}

// dragonBlock: three dragons in fewer than three sizes, singles too.
func dragonBlock(s *shape) bool {
	return slices.Min(s.dragons[:]) > 0 && different(s.dragons[:]) < 3
}

// neighbours: three ranks in a row that each have a group of one size, a pair or larger, in whatever suits.
func neighbours(s *shape) bool {
	var has [12][7]bool // by rank and size; the last ranks are never there
	for _, g := range s.numbers {
		has[g.Kind.Rank()][g.Size] = true
	}
	for rank := 1; rank <= 7; rank++ {
		for size := 2; size < len(has[rank]); size++ {
			if has[rank][size] && has[rank+1][size] && has[rank+2][size] {
				return true
			}
		}
	}
	return false
}

// fiveNeighbours: five groups side by side on the card whose ranks go up or down by one each.
func fiveNeighbours(s *shape) bool {
	const five = 5
	for i := 0; i+five <= len(s.numbers); i++ {
		stretch := s.numbers[i : i+five]
		step := stretch[1].Kind.Rank() - stretch[0].Kind.Rank()
		if (step == 1 || step == -1) && steady(stretch, step) && ordered(sizes(stretch)) {
			return true
		}
	}
	return false
}

// stairs: numbers side by side that lie as far apart, each group one larger or each one smaller than the one before: four of
// them, or three in each of two suits.
func stairs(s *shape) bool {
	threes := 0
	for i := range s.numbers {
		if climbs(s.numbers[i:], 4) {
			return true
		}
		if climbs(s.numbers[i:], 3) && suitOf(s.numbers[i]) == suitOf(s.numbers[i+2]) {
			threes++
		}
	}
	return threes > 1
}

// climbs says whether the first of these groups, so many, are stairs.
func climbs(groups []card.Group, count int) bool {
	if len(groups) < count {
		return false
	}
	step, rise := groups[1].Kind.Rank()-groups[0].Kind.Rank(), groups[1].Size-groups[0].Size
	if step == 0 || rise != 1 && rise != -1 || !steady(groups[:count], step) {
		return false
	}
	for i := 1; i < count; i++ {
		if groups[i].Size-groups[i-1].Size != rise {
			return false
		}
	}
	return true
}

// steady says that the ranks of groups differ by a step each.
func steady(groups []card.Group, step int) bool {
	for i := 1; i < len(groups); i++ {
		if groups[i].Kind.Rank()-groups[i-1].Kind.Rank() != step {
			return false
		}
	}
	return true
}

// equalQuints: two groups of five, or of six.
func equalQuints(s *shape) bool {
	var count [7]int
	for _, g := range s.groups {
		count[g.Size]++
	}
	return count[5] > 1 || count[6] > 1
}

// threeSixNine: at least two of these ranks and no other.
func threeSixNine(s *shape) bool {
	ranks := s.ranks()
	return len(ranks) > 1 && !slices.ContainsFunc(ranks, func(r int) bool { return r%3 != 0 })
}

// year: groups side by side that read as a year from 1900 to 2099, the white dragon as a zero and all ranks in
// one suit. A card of a year is written around its digits.
func year(s *shape) bool {
	for i := range s.groups {
		if spellsYear(s.groups[i:]) {
			return true
		}
	}
	return false
}

// spellsYear says whether the first four tiles, in whole groups, are a year.
func spellsYear(groups []card.Group) bool {
	var digits []int
	var inSuit *tile.Suit
	for _, g := range groups {
		digit := 0
		switch {
		case g.Kind == tile.White:
		case g.Kind < tile.North:
			digit = g.Kind.Rank()
			suit := suitOf(g)
			if inSuit != nil && *inSuit != suit {
				return false
			}
			inSuit = &suit
		default:
			return false
		}
		for range g.Size {
			digits = append(digits, digit)
		}
		if len(digits) >= 4 {
			break
		}
	}
	if len(digits) != 4 {
		return false
	}
	century := 10*digits[0] + digits[1]
	return century == 19 || century == 20
}

// bySuit is the numbers of each suit as a sorted list of rank and size in one number.
func bySuit(s *shape) [tile.Suits][]int {
	var suits [tile.Suits][]int
	for _, g := range s.numbers {
		suits[suitOf(g)] = append(suits[suitOf(g)], 10*g.Kind.Rank()+g.Size)
	}
	for i := range suits {
		slices.Sort(suits[i])
	}
	return suits
}

// bareRow: no more than one kind of honours, and ranks of one family (one rank, or all as far apart), which are
// all in one suit, all of one size, one rank in two suits, or a row in two suits whose sizes are ordered.
func bareRow(s *shape) bool {
	winds, dragons := s.honours()
	if winds+dragons > 1 || len(s.numbers) == 0 || !family(s.ranks()) {
		return false
	}
	suits := s.suits()
	return suits == 1 || different(sizes(s.numbers)) == 1 ||
		len(s.ranks()) == 1 && suits == 2 ||
		suits == 2 && len(s.ranks()) == len(s.numbers) && ordered(sizes(s.numbers))
}

// together says that rising ranks are neighbours.
func together(ranks []int) bool {
	return ranks[len(ranks)-1]-ranks[0] == len(ranks)-1
}

// family says that rising ranks all lie as far apart.
func family(ranks []int) bool {
	for i := 2; i < len(ranks); i++ {
		if ranks[i]-ranks[i-1] != ranks[1]-ranks[0] {
			return false
		}
	}
	return true
}

// sameInEvery: all suits that are used, two or three, hold the same sizes of the same ranks.
func sameInEvery(s *shape) bool {
	var first []int
	used := 0
	for _, counts := range bySuit(s) {
		if len(counts) == 0 {
			continue
		}
		if used++; used > 1 && !slices.Equal(counts, first) {
			return false
		}
		first = counts
	}
	return used > 1
}

// strip: ranks of one family, each as a single of one suit, and groups beside them that are all of one size.
func strip(s *shape) bool {
	var singles, groups []card.Group
	for _, g := range s.numbers {
		if g.Size == 1 {
			singles = append(singles, g)
		} else {
			groups = append(groups, g)
		}
	}
	if len(singles) < 3 || len(singles) != len(s.ranks()) || !family(s.ranks()) || different(sizes(groups)) > 1 {
		return false
	}
	return !slices.ContainsFunc(singles, func(g card.Group) bool { return suitOf(g) != suitOf(singles[0]) })
}
