package reply

import (
	"strings"
)

// letters are the symbols of a code, in the order of their values: digits and capitals without 0, 1, I, L and O, which are
// taken for one another. Their number is a prime, so that they are a field.
const letters = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"

const (
	// field is the number of symbols, root one of which the powers are all symbols but 0, so that a word of up to field-1
	// symbols has another power for each of its places.
	field, root = len(letters), 3
	// checks is the number of check symbols. Words then differ from one another in checks+1 places at least.
	checks = 3
	// longest is the most symbols of a word with its checks, the number of which stands for one more.
	longest = field - 2
)

// syndromes are the sums over a word of symbol times root^(place*j), for j from 1 to checks: all 0 in a word that holds. No
// change of up to three symbols leaves them 0, thus no letter misread and no two exchanged.
//
// Method: a shortened Reed-Solomon code (Reed and Solomon, Polynomial codes over certain finite fields, 1960) over the integers
// modulo a prime, with the powers 1 to 3 of a primitive root as the zeros of its generator.
func syndromes(word []int) (s [checks]int) {
	for j := range s {
		at := power(root, j+1)
		// Horner's rule: the first symbol has the highest power.
		for _, symbol := range word {
			s[j] = (s[j]*at + symbol) % field
		}
	}
	return s
}

// sealed is a message with its check symbols behind it. The number of symbols goes into the checks, as if it were written
// before them, or else a nought more at the end would hold too.
func sealed(message []int) []int {
	word := counted(append(append([]int{}, message...), make([]int, checks)...))
	// The remainder of the message by the generator, by long division; its negative makes the word a multiple.
	generator := generator()
	rest := append([]int{}, word...)
	for i := range len(word) - checks {
		lead := rest[i]
		for k, g := range generator {
			rest[i+k] = ((rest[i+k]-lead*g)%field + field) % field
		}
	}
	for i := len(word) - checks; i < len(word); i++ {
		word[i] = (field - rest[i]) % field
	}
	return word[1:]
}

// counted is a word behind the number of its symbols.
func counted(word []int) []int { return append([]int{len(word)}, word...) }

// generator is the product of x - root^j for j from 1 to checks, the highest power first.
func generator() []int {
	g := []int{1}
	for j := 1; j <= checks; j++ {
		zero := power(root, j)
		next := append(append([]int{}, g...), 0)
		for i, c := range g {
			next[i+1] = ((next[i+1]-c*zero)%field + field) % field
		}
		g = next
	}
	return g
}

func power(base, n int) int {
	p := 1
	for range n {
		p = p * base % field
	}
	return p
}

// holds says whether a word is as it was sealed.
func holds(word []int) bool {
	return len(word) > checks && len(word) <= longest && syndromes(counted(word)) == [checks]int{}
}

// spelt is a word in letters, by fours; symbols reads it back, in capitals or not.
func spelt(word []int) string {
	var b strings.Builder
	for i, symbol := range word {
		if i > 0 && i%group == 0 {
			b.WriteByte('-')
		}
		b.WriteByte(letters[symbol])
	}
	return b.String()
}

// group is how many letters stand together.
const group = 4

func symbols(text string) []int {
	var word []int
	for _, c := range strings.ToUpper(text) {
		if at := strings.IndexRune(letters, c); at >= 0 {
			word = append(word, at)
		}
	}
	return word
}
