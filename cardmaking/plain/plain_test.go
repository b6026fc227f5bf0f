package plain

import (
	"fmt"
	"strings"
	"testing"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// A shape is put together from these, so that no plain hand stands written anywhere.

// of is so many tiles of a symbol, with the letter of its suit or none.
func of(size int, symbol string, suit ...string) string {
	return strings.Repeat(symbol, size) + strings.Join(suit, "")
}

// row is a group of each size, of ranks from first on by a step, in the suits of letters, used over and over.
func row(first, step int, letters string, sizes ...int) string {
	var words []string
	for i, n := range sizes {
		words = append(words, of(n, fmt.Sprint(first+i*step), string(letters[i%len(letters)])))
	}
	return strings.Join(words, " ")
}

// same is one rank in the suits of letters.
func same(rank int, letters string, sizes ...int) string { return row(rank, 0, letters, sizes...) }

// block is honours, one after the other, of these sizes.
func block(symbols string, sizes ...int) string {
	var words []string
	for i, n := range sizes {
		words = append(words, of(n, symbols[i:i+1]))
	}
	return strings.Join(words, " ")
}

func why(t *testing.T, groups ...string) string {
	t.Helper()
	line := "25 exposed " + strings.Join(groups, " ")
	c, _, err := card.Read("shape", []byte("card T\nsection S\n"+line+"\n"), tile.Usual)
	if err != nil {
		t.Fatalf("%s: %v", line, err)
	}
	return Hand(c, 0)
}

// For each rule shapes that it refuses, and shapes one step away that nothing does.
func TestRules(t *testing.T) {
	tests := []struct {
		rule    string // the beginning of what it says, or "" for none
		name    string
		pattern []string
	}{
		{"all its groups are kongs", "kongs and a pair", []string{row(1, 3, "xyz", 4, 4, 4), of(2, "N")}},
		{"all its groups are kongs", "one pung among them", []string{of(3, "F"), row(1, 3, "xy", 4, 4), of(3, "N")}},
		{"all its groups are kongs", "singles aside", []string{block("NEWS", 1, 1, 1, 1), row(2, 4, "xy", 4, 4), of(2, "F")}},
		{"", "two groups that are none", []string{row(1, 3, "xyz", 4, 3, 2), of(4, "N"), of(1, "S")}},
		{"two kongs and two pungs", "two suits", []string{row(1, 3, "xy", 4, 3), row(1, 3, "yx", 3, 4)}},
		{"two kongs and two pungs", "with flowers", []string{of(4, "F"), row(1, 3, "xy", 4, 3), of(3, "N")}},
		{"", "a single taken off", []string{row(1, 3, "xyz", 4, 3, 3), of(3, "N"), of(1, "S")}},
		{"kongs and pairs", "two facing winds", []string{of(2, "F"), row(2, 6, "xy", 4, 4), block("NS", 2, 2)}},
		{"kongs and pairs", "a kong of flowers", []string{of(4, "F"), row(2, 1, "xy", 4, 2), block("NS", 2, 2)}},
		{"one number", "with flowers", []string{of(4, "F"), same(1, "xyz", 3, 3, 4)}},
		{"one number", "with one dragon", []string{of(2, "F"), same(1, "xyz", 3, 3, 3), of(3, "R")}},
		{"one number", "with one wind", []string{of(2, "F"), same(1, "xyz", 5, 2, 2), of(3, "N")}},
		{"one number", "with a single of each wind", []string{same(1, "xyz", 4, 3, 3), block("NEWS", 1, 1, 1, 1)}},
		{"four pungs and a pair", "two evens and their dragons", []string{of(2, "F"), row(2, 2, "xy", 3, 3), of(3, "D", "x"), of(3, "D", "y")}},
		{"", "with two kinds of honours", []string{same(1, "xyz", 3, 3, 4), of(3, "N"), of(1, "R")}},
		{"", "of three sizes", []string{of(3, "F"), same(1, "xyz", 5, 3, 1), of(2, "N")}},
		{"two groups of numbers beside", "facing winds around them", []string{of(2, "F"), of(3, "N"), row(1, 4, "xy", 5, 1), of(3, "S")}},
		{"two groups of numbers beside", "the dragons of their suits", []string{of(4, "F"), row(1, 4, "xy", 5, 1), of(2, "D", "x"), of(2, "D", "y")}},
		{"", "winds of two sizes", []string{of(2, "F"), of(4, "N"), row(1, 4, "xy", 5, 1), of(2, "S")}},
		{"the four winds", "mirrored", []string{block("NEWS", 4, 3, 3, 4)}},
		{"the four winds", "by turns", []string{block("NEWS", 1, 3, 1, 3), row(2, 3, "xy", 2, 4)}},
		{"the four winds", "all alike", []string{block("NEWS", 3, 3, 3, 3), of(2, "F")}},
		{"", "winds of uneven sizes", []string{block("NEWS", 5, 3, 3, 3)}},
		{"", "a single of each", []string{block("NEWS", 1, 1, 1, 1), row(2, 3, "xxy", 5, 2, 3)}},
		{"the three dragons", "all alike", []string{block("RG0", 3, 3, 3), row(2, 3, "xy", 3, 2)}},
		{"the three dragons", "the last thinner", []string{block("RG0", 3, 3, 1), block("NEWS", 1, 1, 1, 1), of(3, "F")}},
		{"", "dragons of three sizes", []string{block("RG0", 5, 3, 1), block("NE", 3, 2)}},
		{"three neighbours", "pairs", []string{row(4, 1, "x", 2, 2, 2), row(1, 0, "y", 5), of(3, "N")}},
		{"three neighbours", "pungs over three suits, a pair in their way", []string{of(3, "3", "x"), of(2, "N"), row(4, 1, "yz", 3, 3), of(2, "R"), of(1, "G")}},
		{"", "two neighbours alike", []string{row(4, 1, "x", 3, 3), row(6, 1, "x", 2, 4), block("NE", 1, 1)}},
		{"five neighbours", "growing", []string{row(2, 1, "xyzxy", 1, 2, 3, 3, 5)}},
		{"five neighbours", "falling downwards", []string{row(6, -1, "xyzxy", 5, 3, 3, 2, 1)}},
		{"five neighbours", "mirrored beside honours", []string{row(1, 1, "xyzxy", 2, 1, 3, 1, 2), of(3, "N"), of(2, "S")}},
		{"", "up and down", []string{row(1, 1, "xyzxy", 1, 3, 2, 4, 1), of(3, "N")}},
		{"a row of four", "evens in one suit", []string{row(2, 2, "x", 1, 2, 3, 4), block("NS", 2, 1), of(1, "R")}},
		{"a row of four", "falling over two suits", []string{row(1, 1, "xyxy", 4, 3, 2, 1), block("NS", 2, 2)}},
		{"a row of four", "two rows, one turned round", []string{of(2, "F"), row(1, 2, "x", 1, 2, 3), row(1, 2, "y", 3, 2, 1)}},
		{"", "one row of three", []string{row(1, 2, "x", 1, 2, 3), row(1, 2, "y", 3, 1, 1), block("NS", 2, 1)}},
		{"two equal groups", "quints", []string{row(1, 4, "xy", 5, 5), of(4, "N")}},
		{"two equal groups", "one of flowers", []string{of(5, "F"), row(1, 4, "xy", 5, 4)}},
		{"", "a quint and a sextet", []string{row(1, 4, "xy", 5, 6), block("NE", 2, 1)}},
		{"its numbers are threes", "of three suits", []string{row(3, 3, "xyz", 5, 2, 3), of(4, "E")}},
		{"", "with a neighbour", []string{row(3, 3, "xyz", 5, 2, 3), of(3, "E"), of(1, "2", "x")}},
		{"it spells a year", "beside its digits", []string{"20" + "26x", row(2, 0, "yz", 5, 2), of(3, "N")}},
		{"it spells a year", "with a pair in it", []string{"19" + "99x", row(2, 2, "yz", 5, 3), of(2, "N")}},
		{"", "digits that are none", []string{"4" + "0" + "7x", row(4, 3, "yz", 5, 3), of(3, "N")}},
		{"", "digits of two suits", []string{"20" + "2x", of(1, "6", "y"), row(2, 4, "yz", 5, 2), of(3, "N")}},
		{"its numbers are the same again", "beside honours", []string{row(1, 2, "x", 3, 1), row(1, 2, "y", 3, 1), block("NS", 3, 3)}},
		{"its numbers are the same again", "in every suit", []string{of(2, "F"), row(1, 2, "x", 3, 1), row(1, 2, "y", 3, 1), row(1, 2, "z", 3, 1)}},
		{"four pungs and a pair", "two suits and their dragons", []string{of(2, "F"), row(1, 1, "xy", 3, 3), of(3, "D", "x"), of(3, "D", "y")}},
		{"", "ranks in no order", []string{row(1, 1, "xx", 3, 3), of(3, "4", "x"), of(3, "8", "x"), of(2, "N")}},
		{"", "sizes turned round", []string{of(2, "F"), row(2, 6, "x", 3, 1), of(2, "D", "x"), row(2, 6, "y", 1, 3), of(2, "D", "y")}},
		{"a plain row", "numbers alone in one suit", []string{row(1, 2, "x", 5, 2, 4, 3)}},
		{"a plain row", "one suit and its dragon", []string{row(2, 2, "x", 5, 2, 4), of(3, "D", "x")}},
		{"a plain row", "one rank in two suits", []string{of(3, "F"), same(4, "xy", 5, 4), of(2, "R")}},
		{"a plain row", "one size in three suits", []string{row(1, 4, "xyz", 3, 3, 3), of(5, "F")}},
		{"a single of each", "with winds", []string{row(1, 2, "x", 1, 1, 1, 1), row(1, 6, "yz", 3, 3), block("NS", 2, 2)}},
		{"a single of each", "a strip with groups of its ranks", []string{row(2, 2, "x", 1, 1, 1, 1), row(2, 6, "yz", 3, 3), of(4, "F")}},
		{"a plain row", "growing over two suits", []string{of(2, "F"), row(1, 2, "xy", 2, 3, 5), of(2, "R")}},
		{"", "up and down over two suits", []string{of(2, "F"), row(1, 2, "xxyy", 2, 5, 1, 2), of(2, "R")}},
		{"", "ranks of no family", []string{of(2, "F"), of(5, "1", "x"), of(3, "2", "x"), of(4, "8", "x")}},
		{"a plain row", "one wind in place of the dragon", []string{of(4, "F"), row(2, 2, "xy", 2, 5), of(3, "N")}},
		{"", "two winds", []string{of(4, "F"), row(2, 2, "xy", 2, 5), of(2, "N"), of(1, "S")}},
		{"", "two dragons", []string{row(2, 2, "x", 5, 2, 3), of(3, "D", "x"), of(1, "D", "y")}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := why(t, tt.pattern...)
			if tt.rule == "" && got != "" {
				t.Errorf("%v: refused: %s", tt.pattern, got)
			}
			if !strings.HasPrefix(got, tt.rule) || tt.rule != "" && got == "" {
				t.Errorf("%v: %q, want %q", tt.pattern, got, tt.rule)
			}
		})
	}
	named := map[string]bool{}
	for _, tt := range tests {
		named[tt.rule] = true
	}
	for _, r := range Rules {
		found := false
		for begin := range named {
			found = found || begin != "" && strings.HasPrefix(r.Says, begin)
		}
		if !found {
			t.Errorf("no shape for the rule %q", r.Says)
		}
	}
}

// Alternatives and slides are judged variant by variant: one plain choice makes the hand plain, threes, sixes and
// nines are refused where nothing else is left.
func TestEveryVariantIsJudged(t *testing.T) {
	if got := why(t, "("+block("NEWS", 5, 3, 3, 3)+"|"+block("NEWS", 4, 3, 3, 4)+")"); !strings.HasPrefix(got, "the four winds") {
		t.Errorf("one plain choice of two: %q", got)
	}
	apart := []string{row(1, 3, "xyz", 5, 2, 3), of(4, "E"), "; slide"}
	if got := why(t, apart...); got != "" {
		t.Errorf("a slide that comes to three, six and nine among others: %q", got)
	}
}
