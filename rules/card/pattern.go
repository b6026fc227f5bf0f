package card

import (
	"fmt"
	"strings"
)

// run is one group of a pattern before suits and ranks are chosen: size tiles of
// one symbol. The symbol is a rank '1'-'9', an honour letter, '0', or 'D' for the
// dragon of the suit; suit is x, y, z, b, c, d, or 0 for honours.
type run struct {
	symbol rune
	suit   rune
	size   int
}

func (r run) ranked() bool { return r.symbol >= '1' && r.symbol <= '9' }

// part is a word, or a set of alternatives: one choice of several, each a list of groups.
type part [][]run

const maxGroup = 6

// wordProblem says what is wrong with a word; at is the offset in characters.
type wordProblem struct {
	at           int
	found, right string
}

// parseWord reads one word of a hand line without blanks, brackets or bars.
func parseWord(word []rune) ([]run, *wordProblem) {
	unknown := func(right string) ([]run, *wordProblem) {
		return nil, &wordProblem{0, fmt.Sprintf("the unknown word %q", string(word)), right}
	}
	body, suit := word, rune(0)
	if last := word[len(word)-1]; strings.ContainsRune("xyzbcd", last) {
		body, suit = word[:len(word)-1], last
	}
	const forms = "digits with one suit letter (222x), honours (NEWS, RR, 00, FFF) or D with a suit letter (DDDx)"
	switch {
	case len(body) == 0:
		return unknown(forms)
	case strings.ContainsRune(string(word), 'J'):
		return unknown("no J: jokers stand in any group of three or more without being written")
	case consistsOf(body, "0123456789") && suit != 0, consistsOf(body, "D") && suit != 0:
	case consistsOf(body, "NEWSRG0F") && suit == 0:
	case consistsOf(body, "0123456789"):
		return nil, &wordProblem{strings.IndexFunc(string(word), func(c rune) bool { return c != '0' }),
			fmt.Sprintf("ranks without a suit letter in %q", string(word)), "a suit letter x, y, z, b, c or d at the end of the word"}
	case consistsOf(body, "D"):
		return nil, &wordProblem{0, fmt.Sprintf("a dragon without a suit letter in %q", string(word)), "a suit letter after D, as in DDDx"}
	default:
		return unknown(forms)
	}
	return splitRuns(body, suit)
}

func consistsOf(word []rune, letters string) bool {
	for _, c := range word {
		if !strings.ContainsRune(letters, c) {
			return false
		}
	}
	return true
}

// splitRuns makes a group of each longest run of one character.
func splitRuns(body []rune, suit rune) ([]run, *wordProblem) {
	var runs []run
	for i := 0; i < len(body); {
		j := i
		for j < len(body) && body[j] == body[i] {
			j++
		}
		if j-i > maxGroup {
			return nil, &wordProblem{i, fmt.Sprintf("a group of %d tiles", j-i), fmt.Sprintf("a group of 1 to %d", maxGroup)}
		}
		r := run{symbol: body[i], suit: suit, size: j - i}
		if r.symbol == '0' {
			r.suit = 0
		}
		runs = append(runs, r)
		i = j
	}
	return runs, nil
}

// span is a stretch of a line: the characters and the column of the first.
type span struct {
	text   []rune
	column int
}

// words splits at blanks.
func (s span) words() []span {
	var words []span
	for i := 0; i < len(s.text); {
		if blank(s.text[i]) {
			i++
			continue
		}
		j := i
		for j < len(s.text) && !blank(s.text[j]) {
			j++
		}
		words = append(words, span{s.text[i:j], s.column + i})
		i = j
	}
	return words
}

// cut splits at every mark outside quotes; there is always at least one piece.
func (s span) cut(mark rune) []span {
	var pieces []span
	start, quoted := 0, false
	for i, c := range s.text {
		if c == '"' {
			quoted = !quoted
		}
		if c == mark && !quoted {
			pieces = append(pieces, span{s.text[start:i], s.column + start})
			start = i + 1
		}
	}
	return append(pieces, span{s.text[start:], s.column + start})
}

func (s span) trim() span {
	for len(s.text) > 0 && blank(s.text[0]) {
		s.text, s.column = s.text[1:], s.column+1
	}
	for len(s.text) > 0 && blank(s.text[len(s.text)-1]) {
		s.text = s.text[:len(s.text)-1]
	}
	return s
}

func (s span) String() string { return string(s.text) }

func blank(c rune) bool { return c == ' ' || c == '\t' }

// parsePattern reads the groups of a hand line into parts, reporting every
// problem. ok is false when there was one.
func parsePattern(s span, report func(column int, found, right string)) (parts []part, ok bool) {
	ok = true
	fail := func(column int, found, right string) {
		ok = false
		report(column, found, right)
	}
	readWords := func(s span) []run {
		var runs []run
		for _, w := range s.words() {
			rs, bad := parseWord(w.text)
			if bad != nil {
				fail(w.column+bad.at, bad.found, bad.right)
			}
			runs = append(runs, rs...)
		}
		return runs
	}
	for i := 0; i < len(s.text); {
		c, column := s.text[i], s.column+i
		switch c {
		case ')', '|':
			fail(column, fmt.Sprintf("%q outside alternatives", c), "alternatives in brackets, as in (NN SS|EE WW)")
			i++
		case '(':
			end := closing(s.text, i)
			if end < 0 {
				fail(column, "alternatives that are not closed", "a ) after the last alternative")
				return parts, ok
			}
			if s.text[end] == '(' {
				fail(s.column+end, "alternatives inside alternatives", "a ) before the next (, since they do not nest")
				return parts, ok
			}
			var choices part
			for _, choice := range (span{s.text[i+1 : end], column + 1}).cut('|') {
				if len(choice.trim().text) == 0 {
					fail(choice.column, "an empty alternative", "one or more words on each side of |")
				}
				choices = append(choices, readWords(choice))
			}
			parts = append(parts, choices)
			i = end + 1
		default:
			j := i
			for j < len(s.text) && !strings.ContainsRune("()|", s.text[j]) {
				j++
			}
			if runs := readWords(span{s.text[i:j], column}); len(runs) > 0 {
				parts = append(parts, part{runs})
			}
			i = j
		}
	}
	return parts, ok
}

// closing is the place of the ) that closes the ( at i, or of a ( before it, or -1.
func closing(text []rune, i int) int {
	for j := i + 1; j < len(text); j++ {
		if text[j] == ')' || text[j] == '(' {
			return j
		}
	}
	return -1
}

// Term is one group of a hand line as it is written, its suit and rank still open.
type Term struct {
	// Symbol is a rank '1' to '9', the letter of an honour or a flower, '0', or 'D' for the dragon of the suit.
	Symbol rune
	// Suit is x, y or z for any suit, b, c or d for that one, 0 for honours and flowers.
	Suit rune
	// Size counts tiles.
	Size int
}

// Terms are the groups of the hand as its line has them; of alternatives the first.
func (h *Hand) Terms() []Term {
	parts, _ := parsePattern(span{[]rune(h.Pattern), 1}, func(int, string, string) {}) // Read let it through
	var terms []Term
	for _, p := range parts {
		for _, r := range p[0] {
			terms = append(terms, Term{r.symbol, r.suit, r.size})
		}
	}
	return terms
}
