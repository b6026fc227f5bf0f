package compose

import (
	"math/rand/v2"
	"testing"
)

func TestWords(t *testing.T) {
	motto := func(digits ...int) []term { return mottoWord(digits, 'x') }
	tests := []struct {
		name  string
		piece piece
		want  string
	}{
		{"groups of one suit", fixed(terms([]int{1, 2, 3}, "xxx", []int{2, 3, 4})...), "11x 222x 3333x"},
		{"singles of one suit", fixed(terms([]int{2, 4, 6}, "xxx", []int{1, 1, 1})...), "246x"},
		{"singles of two suits", fixed(terms([]int{2, 4, 6, 8}, "xxyy", []int{1, 1, 1, 1})...), "24x 68y"},
		{"a single before a group", fixed(terms([]int{2, 4}, "xx", []int{1, 3})...), "2x 444x"},
		{"equal singles stay two groups", fixed(term{symbol: '2', suit: 'x', size: 1}, term{symbol: '2', suit: 'x', size: 1}), "2x 2x"},
		{"winds", fixed(allOf("NEWS", 1)...), "NEWS"},
		{"pairs of winds", fixed(allOf("NEWS", 2)...), "NN EE WW SS"},
		{"dragons stay apart", fixed(allOf("RG0", 1)...), "R G 0"},
		{"dragons of suits", fixed(term{symbol: 'D', suit: 'x', size: 2}, term{symbol: 'D', suit: 'y', size: 2}), "DDx DDy"},
		{"alternatives", anyOf("NS", 3), "(NNN|SSS)"},
		{"a motto", fixed(motto(9, 0, 4, 1)...), "9041x"},
		{"a motto with equal neighbours", fixed(motto(7, 0, 3, 3)...), "7033x"},
		{"a motto that begins with zeros", fixed(motto(0, 0, 5, 8)...), "0058x"},
		{"a zero between suits", fixed(terms([]int{2, 0, 2}, "xyy", []int{1, 1, 1})...), "2x 0 2y"},
		{"a zero in a suit's singles", fixed(terms([]int{2, 0, 2}, "xxy", []int{1, 1, 3})...), "20x 222y"},
		{"a group of zeros", fixed(terms([]int{2, 0, 6}, "xxx", []int{2, 3, 2})...), "22x 000 66x"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := tt.piece.text(); got != tt.want {
				t.Errorf("%q, want %q", got, tt.want)
			}
		})
	}
}

func TestBesideZeros(t *testing.T) {
	if got := besideZeros([]int{2, 0, 2, 6}, "xyz"); got != "xxyz" {
		t.Errorf("letters %q", got)
	}
}

// Every plan gives each group a letter, uses x first, and is said in its own words.
func TestPlans(t *testing.T) {
	for groups := 1; groups <= 6; groups++ {
		said := map[string]bool{}
		for _, p := range plansOf(groups) {
			if len(p.letters) != groups || p.letters[0] != 'x' || said[p.say] {
				t.Errorf("%d groups: plan %q, %s", groups, p.letters, p.say)
			}
			said[p.say] = true
			if len(usedLetters(p.letters))+len(spareLetters(p.letters)) != 3 {
				t.Errorf("plan %q uses %q and spares %q", p.letters, usedLetters(p.letters), spareLetters(p.letters))
			}
		}
	}
}

// Whatever is drawn can be read, keeps the limits of its section and has a sentence.
func TestPoolsKeepLimits(t *testing.T) {
	for i, theme := range (Wish{Motto: "7033"}).filled(5).themes(5) {
		d := &drawer{rng: rand.New(rand.NewPCG(5, uint64(i))), theme: &theme, builds: builder{}}
		list := d.pool()
		if len(list) < theme.hands {
			t.Errorf("%s: %d hands drawn", theme.section, len(list))
		}
		for _, c := range list {
			largest := 0
			for _, term := range c.terms() {
				if term.symbol != 'F' {
					largest = max(largest, term.size)
				}
			}
			if largest > theme.most || largest < theme.largest || theme.still != c.noJokers || c.say == "" {
				t.Errorf("%s: %s (%s)", theme.section, c.line(25), c.say)
			}
		}
	}
}
