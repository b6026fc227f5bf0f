package card

import (
	"fmt"
	"slices"
	"strings"

	"secondpass/rules/tile"
)

// HandTiles is the number of tiles in every complete hand.
const HandTiles = 14

// Card is a card of hands, read and expanded. It does not change after Read.
type Card struct {
	Name, Season string
	Sections     []string
	Hands        []Hand
	// Variants are those of all hands, in the order of the hands.
	Variants []Variant
	// Combinations is what reading the card costs: how many combinations of alternatives, suits and shifts its lines stand
	// for, equal ones among them.
	Combinations int
	// Set is the set of tiles that the card was checked against.
	Set tile.Set
	// Source is the text the card was read from.
	Source string
}

// Hand is one line of a card.
type Hand struct {
	// Section indexes Card.Sections; Number counts the hand lines of the section from 1.
	Section, Number int
	Name, Note      string
	Points          int
	Concealed       bool
	// Jokers is false for a hand marked "no jokers".
	Jokers bool
	// Pattern is the groups as typed, Options what stands after them, without name and note.
	Pattern, Options string
	// Line is the line of the file, counted from 1.
	Line int
	// First and End bound the hand's variants: Card.Variants[First:End].
	First, End int
}

// Group is a number of equal tiles in a hand.
type Group struct {
	Kind tile.Kind
	Size int
}

// String is the group as machine-readable output has it: "22b", "NN", "8888d".
func (g Group) String() string {
	return tile.List(slices.Repeat([]tile.Kind{g.Kind}, g.Size))
}

// TakesJokers says whether jokers may stand in a group of this size: three and more.
func (g Group) TakesJokers() bool { return g.Size >= 3 }

// Variant is one way to make a hand.
type Variant struct {
	// Hand indexes Card.Hands.
	Hand int
	// Groups are the groups as written on the card, left to right.
	Groups []Group
	// Small counts the tiles in singles and pairs, Large those in groups of three
	// or more, whether or not the hand takes jokers.
	Small, Large tile.Rack
}

// Needs splits the variant's 14 tiles, by kind, into those that only the natural
// tile can be (singles and pairs; everything where the hand takes no jokers) and those
// for which a joker may stand.
func (c *Card) Needs(v *Variant) (single, group tile.Rack) {
	if !c.Hands[v.Hand].Jokers {
		return v.Small.Plus(v.Large), tile.Rack{}
	}
	return v.Small, v.Large
}

// TakesJokers says whether the variant can hold a joker at all.
func (c *Card) TakesJokers(v *Variant) bool {
	return c.Hands[v.Hand].Jokers && v.Large.Size() > 0
}

// VariantsOf are the variants of a hand, in the order of expansion.
func (c *Card) VariantsOf(hand int) []Variant {
	h := &c.Hands[hand]
	return c.Variants[h.First:h.End]
}

// SectionOf are the hands of a section, in card order.
func (c *Card) SectionOf(section int) []int {
	var hands []int
	for i := range c.Hands {
		if c.Hands[i].Section == section {
			hands = append(hands, i)
		}
	}
	return hands
}

// Find is the hands that a name stands for: all of a section, or one hand. Upper and
// lower case do not matter. The error for an unknown name lists the sections.
func (c *Card) Find(name string) ([]int, error) {
	name = strings.TrimSpace(name)
	for s := range c.Sections {
		if strings.EqualFold(c.Sections[s], name) {
			if hands := c.SectionOf(s); len(hands) > 0 {
				return hands, nil
			}
			return nil, fmt.Errorf("section %q of card %q has no hands", c.Sections[s], c.Name)
		}
	}
	for i := range c.Hands {
		if strings.EqualFold(c.Hands[i].Name, name) {
			return []int{i}, nil
		}
	}
	return nil, fmt.Errorf("card %q has no section or hand %q; its sections are %s, a hand is named like %q",
		c.Name, name, strings.Join(c.Sections, ", "), c.exampleName())
}

func (c *Card) exampleName() string {
	if len(c.Hands) == 0 {
		return "Runs 1"
	}
	return c.Hands[0].Name
}
