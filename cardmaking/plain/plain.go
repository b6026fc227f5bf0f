package plain

import (
	"slices"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// Rule is one refusal.
type Rule struct {
	// Says is what makes the hand plain, as the end of "too plain: ...".
	Says string
	// Whole says that a hand is only refused where all its variants are; else one variant is enough.
	Whole bool
	holds func(*shape) bool
}

// Rules are all refusals, in the order in which they are tried. All of them are our choice, strict rather than sharp: a
// hand that falls under none of them may still be familiar, so whoever keeps a composed card reads it once.
var Rules = []Rule{
	{Says: "all its groups are kongs, or all but one (singles and flowers aside)", holds: kongs},
	{Says: "kongs and pairs alone", holds: kongsAndPairs},
	{Says: "one number in three suits, with fewer than two kinds of honours and fewer than three sizes", holds: oneRank},
	{Says: "the four winds in block, their sizes equal two and two", holds: windBlock},
	{Says: "the three dragons, two of them of one size", holds: dragonBlock},
	{Says: "two kongs and two pungs, and nothing else", holds: twoAndTwo},
	{Says: "four pungs and a pair, of neighbours or of one or two ranks", holds: pungs},
	{Says: "two groups of numbers beside two equal groups of honours, and no more than flowers", holds: twoBesideTwo},
	{Says: "three neighbours or more as equal pairs, pungs or kongs", holds: neighbours},
	{Says: "five neighbours in a row whose sizes only rise, only fall, or are mirrored", holds: fiveNeighbours},
	{Says: "a row of four numbers, or two rows of three, whose sizes rise or fall by one each", holds: stairs},
	{Says: "two equal groups of five or six", holds: equalQuints},
	{Says: "its numbers are threes, sixes and nines alone", Whole: true, holds: threeSixNine},
	{Says: "it spells a year", holds: year},
	{Says: "its numbers are the same again in every suit", holds: sameInEvery},
	{Says: "a single of each rank in one suit, and equal groups of some of them", holds: strip},
	{Says: "a plain row of numbers with no more beside it than flowers and one kind of honours", holds: bareRow},
}

// Hand is why a hand of a card is plain, or "" where it is not. hand indexes Card.Hands.
func Hand(c *card.Card, hand int) string {
	variants := c.VariantsOf(hand)
	shapes := make([]*shape, len(variants))
	for i := range variants {
		shapes[i] = newShape(variants[i].Groups)
	}
	for i := range Rules {
		plain := func(s *shape) bool { return Rules[i].holds(s) }
		if Rules[i].Whole {
			if !slices.ContainsFunc(shapes, func(s *shape) bool { return !plain(s) }) {
				return Rules[i].Says
			}
		} else if slices.ContainsFunc(shapes, plain) {
			return Rules[i].Says
		}
	}
	return ""
}

// Variant is why one variant by itself is plain, or "". Rules that ask for all variants are not applied.
func Variant(groups []card.Group) string {
	s := newShape(groups)
	for i := range Rules {
		if !Rules[i].Whole && Rules[i].holds(s) {
			return Rules[i].Says
		}
	}
	return ""
}

// shape is one variant of a hand, its groups sorted out.
type shape struct {
	// groups are all, in the order of the card; numbers those of ranks.
	groups, numbers []card.Group
	// flowers counts tiles, winds and dragons give the tiles of each, from north and from red on.
	flowers int
	winds   [4]int
	dragons [3]int
}

func newShape(groups []card.Group) *shape {
	s := &shape{groups: groups}
	for _, g := range groups {
		switch {
		case g.Kind < tile.North:
			s.numbers = append(s.numbers, g)
		case g.Kind < tile.Red:
			s.winds[g.Kind-tile.North] += g.Size
		case g.Kind < tile.Flower:
			s.dragons[g.Kind-tile.Red] += g.Size
		default:
			s.flowers += g.Size
		}
	}
	return s
}

// honours is the number of kinds of winds, and of dragons. A single of each wind counts as one kind, since the four make one
// block that goes with anything.
func (s *shape) honours() (winds, dragons int) {
	winds, dragons = filled(s.winds[:]), filled(s.dragons[:])
	if slices.Min(s.winds[:]) == 1 && slices.Max(s.winds[:]) == 1 {
		winds = 1
	}
	return winds, dragons
}

func filled(counts []int) int {
	n := 0
	for _, c := range counts {
		if c > 0 {
			n++
		}
	}
	return n
}

// ranks are the different ranks of the numbers, rising.
func (s *shape) ranks() []int {
	var list []int
	for _, g := range s.numbers {
		list = append(list, g.Kind.Rank())
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// suits is the number of different suits of the numbers.
func (s *shape) suits() int {
	var seen [tile.Suits]int
	for _, g := range s.numbers {
		seen[suitOf(g)]++
	}
	return filled(seen[:])
}

// suitOf is the suit of a group of numbers.
func suitOf(g card.Group) tile.Suit {
	suit, _ := g.Kind.Suit()
	return suit
}

func sizes(groups []card.Group) []int {
	list := make([]int, len(groups))
	for i, g := range groups {
		list[i] = g.Size
	}
	return list
}

// different counts the different values.
func different(values []int) int {
	return len(slices.Compact(slices.Sorted(slices.Values(values))))
}

func mirrored(values []int) bool {
	back := slices.Clone(values)
	slices.Reverse(back)
	return slices.Equal(values, back)
}

// ordered says that values only rise, only fall, or are mirrored; equal ones count as all three.
func ordered(values []int) bool {
	back := slices.Clone(values)
	slices.Reverse(back)
	return slices.IsSorted(values) || slices.IsSorted(back) || mirrored(values)
}
