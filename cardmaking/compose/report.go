package compose

import (
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// Report is what can be counted on a card.
type Report struct {
	Hands, Variants int
	// Concealed, Jokerless and Flowers count the hands that are concealed, that are marked
	// "no jokers", and that have flowers.
	Concealed, Jokerless, Flowers int
	// Kinds is the mean number of different kinds in a variant.
	Kinds float64
	// Use is the mean number of tiles of each kind in a hand, indexed by kind: first
	// over the variants of each hand, then over the hands.
	Use [tile.Kinds]float64
	// Sizes counts the hands that have a group of so many tiles, indexed by size; [0] is 0.
	Sizes    [7]int
	Sections []Section
}

// Section is what can be counted on a section of a card.
type Section struct {
	Name                       string
	Hands, Variants, Concealed int
	// Mean, Easiest and Hardest are of the [Difficulty] of its hands, in tiles.
	Mean, Easiest, Hardest float64
}

// Count counts a card, drawn or not.
func Count(c *card.Card) Report {
	r := Report{Hands: len(c.Hands), Variants: len(c.Variants)}
	for _, name := range c.Sections {
		r.Sections = append(r.Sections, Section{Name: name})
	}
	difficulty := Difficulty(c)
	for i := range c.Hands {
		h := &c.Hands[i]
		t := traitsOf(c.VariantsOf(i))
		s := &r.Sections[h.Section]
		s.Hands++
		s.Variants += t.variants
		s.Mean += difficulty[i]
		if s.Hands == 1 || difficulty[i] < s.Easiest {
			s.Easiest = difficulty[i]
		}
		s.Hardest = max(s.Hardest, difficulty[i])
		if h.Concealed {
			s.Concealed++
			r.Concealed++
		}
		if !h.Jokers {
			r.Jokerless++
		}
		if t.use[tile.Flower] > 0 {
			r.Flowers++
		}
		r.Kinds += float64(t.kinds * float64(t.variants))
		for k, n := range t.use {
			r.Use[k] += n / float64(len(c.Hands))
		}
		for size := range r.Sizes {
			r.Sizes[size] += int(t.sizes >> size & 1)
		}
	}
	for i := range r.Sections {
		r.Sections[i].Mean /= float64(max(1, r.Sections[i].Hands))
	}
	r.Kinds /= float64(max(1, r.Variants))
	return r
}
