package card

import (
	"fmt"
	"strings"
)

// Problem is something wrong in a card file. Line and Column count from 1,
// columns in characters.
type Problem struct {
	File         string
	Line, Column int
	// Found is what stands there, Right what would be right; both are phrases.
	Found, Right string
}

func (p Problem) Error() string {
	return fmt.Sprintf("%s:%d:%d: found %s; right would be %s", p.File, p.Line, p.Column, p.Found, p.Right)
}

// Problems are all errors of a file, in the order of their places; never empty as an error.
type Problems []Problem

func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.Error()
	}
	return strings.Join(lines, "\n")
}
