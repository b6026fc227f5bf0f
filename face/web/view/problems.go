package view

import (
	"fmt"
	"strings"

	"secondpass/paper/wording"
	"secondpass/rules/card"
)

// LineProblem is what is wrong in a text, with its place.
type LineProblem struct {
	Line, Column int
	Text         string
}

// ProblemLines is what is wrong with the text of a card.
func ProblemLines(problems []card.Problem) []LineProblem {
	var lines []LineProblem
	for _, p := range problems {
		lines = append(lines, LineProblem{p.Line, p.Column, fmt.Sprintf("Found %s; right would be %s.", p.Found, p.Right)})
	}
	return lines
}

// Sentence is an error as a sentence.
func Sentence(err error) string { return strings.TrimSuffix(wording.Capital(err.Error()), ".") + "." }

// Count is 1 for what is true, so that it can be counted and sorted by.
func Count(b bool) int {
	if b {
		return 1
	}
	return 0
}

// Counts is 0 to n-1, for choices of a number.
func Counts(n int) []int {
	c := make([]int, n)
	for i := range c {
		c[i] = i
	}
	return c
}
