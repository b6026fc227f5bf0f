// Package wording is how people read what was computed: decisions, reasons, hands and figures in the same
// words on the command line, on the pages and on paper. It computes nothing.
package wording

import (
	"fmt"
	"strings"

	"secondpass/engine/fit"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

var numerals = [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"}

// Numeral is a small number as a word: "three"; "no" for 0, and a negative one in figures.
func Numeral(n int) string {
	if n >= 0 && n < len(numerals) {
		return numerals[n]
	}
	return fmt.Sprint(n)
}

// InWords says a rack in words: "one 3 bam, two white dragons".
func InWords(r tile.Rack) string {
	var parts []string
	for k, n := range r {
		if n == 0 {
			continue
		}
		name := tile.Kind(k).Name()
		if n > 1 {
			name += "s"
		}
		parts = append(parts, Numeral(int(n))+" "+name)
	}
	return strings.Join(parts, ", ")
}

// Groups is groups with blanks between them.
func Groups(groups []card.Group) string { return strings.Join(GroupList(groups), " ") }

// GroupList is each group as tile text.
func GroupList(groups []card.Group) []string {
	words := make([]string, len(groups))
	for i, g := range groups {
		words[i] = g.String()
	}
	return words
}

// Multiples is the multiples of a rack, all their tiles: "222b FF"; "" for none.
func Multiples(r tile.Rack) string { return r.Only(r.Multiples()).String() }

// Tiles is a rack with its number of tiles in front: "3: 17c 9d"; "none" when empty.
func Tiles(r tile.Rack) string {
	if r.Size() == 0 {
		return "none"
	}
	return fmt.Sprintf("%d: %s", r.Size(), r)
}

// OrNone is the text, or "none" for an empty one.
func OrNone(text string) string {
	if text == "" {
		return "none"
	}
	return text
}

// Exposed says how a hand is played: "exposed" or "concealed".
func Exposed(concealed bool) string {
	if concealed {
		return "concealed"
	}
	return "exposed"
}

// Near is "Runs 3: 5 away".
func Near(r *fit.Reading) string {
	if r.Away == 0 {
		return r.OnCard().Name + ": complete"
	}
	return fmt.Sprintf("%s: %d away", r.OnCard().Name, r.Away)
}

// Plural is a number and what it counts: "1 tile", "3 tiles".
func Plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// Step is the step with its number: "1 first right".
func Step(s charleston.Step) string { return fmt.Sprintf("%d %s", s, s) }

// HandTerms says the suits, slides and jokers of a hand in words.
func HandTerms(h *card.Hand) string {
	var terms []string
	suits := 0
	for _, letter := range []string{"x", "y", "z"} {
		if strings.Contains(h.Pattern, letter) {
			suits++
		}
	}
	if suits > 0 {
		terms = append(terms, []string{"", "any one suit", "any two suits", "any three suits"}[suits])
	}
	for i, letter := range []string{"b", "c", "d"} {
		if strings.Contains(h.Pattern, letter) {
			terms = append(terms, []string{"bams as written", "craks as written", "dots as written"}[i])
		}
	}
	switch {
	case strings.Contains(h.Options, "slide 2"):
		terms = append(terms, "all ranks may move together by twos")
	case strings.Contains(h.Options, "slide"):
		terms = append(terms, "all ranks may move together")
	}
	if !h.Jokers {
		terms = append(terms, "no jokers")
	}
	if len(terms) == 0 {
		return "as written"
	}
	return strings.Join(terms, ", ")
}
