package class

import (
	"fmt"
	"io"
	"strings"
)

// CodeLetters are what a code is made of: no letter that looks or sounds like another or like a digit, and no vowels,
// so that no words come about.
const CodeLetters = "CDFGHJKMNPQRTVWXY34679"

// CodeLength is the number of letters of a code.
const CodeLength = 5

// NewCode draws a code from random bytes, each of the 22^5 (5.2 million) equally likely.
func NewCode(random io.Reader) (string, error) {
	code := make([]byte, 0, CodeLength)
	var one [1]byte
	for len(code) < CodeLength {
		if _, err := io.ReadFull(random, one[:]); err != nil {
			return "", fmt.Errorf("no code could be drawn: %w", err)
		}
		// Bytes past the last whole multiple would make the first letters likelier.
		if n := int(one[0]); n < 256/len(CodeLetters)*len(CodeLetters) {
			code = append(code, CodeLetters[n%len(CodeLetters)])
		}
	}
	return string(code), nil
}

// ParseCode reads a code as somebody typed it: in capitals or not, with blanks or hyphens.
func ParseCode(text string) (string, error) {
	code := strings.Map(func(c rune) rune {
		if c == ' ' || c == '-' || c == '\t' {
			return -1
		}
		return c
	}, strings.ToUpper(strings.TrimSpace(text)))
	if len(code) != CodeLength || strings.Trim(code, CodeLetters) != "" {
		return "", fmt.Errorf("a code has %d letters and digits, as in %s", CodeLength, CodeLetters[:CodeLength])
	}
	return code, nil
}
