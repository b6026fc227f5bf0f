package experiment

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// Series is experiments of one file that differ in their cards, or in what stands in places of the file: one for each combination of
// the values of its axes, all of which hold together.
type Series struct {
	Name, Asks string
	Axes       []Axis
	// Cells are the experiments, the values of the last axis changing first.
	Cells []Cell
}

// Axis is a name and the values that it has in turn. The one named card names cards; each other stands in the file as its name in
// braces.
type Axis struct {
	Name   string
	Values []string
}

// Cell is one experiment of a series, with its values in the order of the axes.
type Cell struct {
	Values     []string
	Experiment *Experiment
	Card       *card.Card
}

// cardAxis is the axis whose values are cards.
const cardAxis = "card"

var (
	overLine  = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^[ \t]*over(?:[ \t]+(.*))?$`) })
	axisName  = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^[a-z][a-z-]{0,19}$`) })
	inBraces  = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`\{([^{}]*)\}`) })
	nameTaken = []string{"experiment", "way"}
)

// IsSeries says whether a file is that of a series: a line of it begins with over.
func IsSeries(data []byte) bool {
	for line := range bytes.SplitSeq(data, []byte("\n")) {
		if overLine().Match(bytes.TrimSuffix(line, []byte("\r"))) {
			return true
		}
	}
	return false
}

// ReadSeries reads the file of a series, with all of its experiments. file names it in messages; cardFor gives the card of a name for a
// set of tiles, the name being "" where the file has no axis of cards. Errors are as those of [Read].
func ReadSeries(file string, data []byte, cardFor func(name string, set tile.Set) (*card.Card, error)) (*Series, error) {
	s := &Series{}
	lines, err := s.readAxes(file, data)
	if err != nil {
		return nil, err
	}
	cards := map[string]*card.Card{}
	for values := range s.combinations() {
		text, name, err := s.cellText(file, lines, values)
		if err != nil {
			return nil, err
		}
		x, c, err := Read(file, []byte(text), func(set tile.Set) (*card.Card, error) {
			key := fmt.Sprint(name, set)
			if cards[key] == nil {
				c, err := cardFor(name, set)
				if err != nil {
					return nil, err
				}
				cards[key] = c
			}
			return cards[key], nil
		})
		var problems card.Problems
		if errors.As(err, &problems) {
			for i := range problems {
				problems[i].Found += " (with " + s.cellName(values) + ")"
			}
		}
		if err != nil {
			return nil, err
		}
		x.Cell, x.Together = s.cellName(values), s.count()
		if err := x.Check(c); err != nil {
			return nil, err
		}
		s.Name, s.Asks = x.Name, x.Asks
		s.Cells = append(s.Cells, Cell{values, x, c})
	}
	return s, nil
}

// readAxes reads the lines that begin with over, and gives all lines with those left empty.
func (s *Series) readAxes(file string, data []byte) (lines []string, err error) {
	var problems card.Problems
	for raw := range bytes.SplitSeq(bytes.TrimPrefix(data, []byte("\uFEFF")), []byte("\n")) {
		line := strings.TrimSuffix(string(raw), "\r")
		m := overLine().FindStringSubmatch(line)
		if m == nil {
			lines = append(lines, line)
			continue
		}
		lines = append(lines, "")
		text, _ := stripComment(m[1])
		name, rest, _ := strings.Cut(strings.TrimSpace(text), " ")
		axis := Axis{Name: name}
		for value := range strings.SplitSeq(rest, "|") {
			axis.Values = append(axis.Values, strings.Join(strings.Fields(value), " "))
		}
		twice := slices.ContainsFunc(s.Axes, func(a Axis) bool { return a.Name == name })
		distinct := slices.Compact(slices.Sorted(slices.Values(axis.Values)))
		if !axisName().MatchString(name) || slices.Contains(nameTaken, name) || twice || len(axis.Values) < 2 || slices.Contains(axis.Values, "") || len(distinct) < len(axis.Values) {
			problems = append(problems, card.Problem{File: file, Line: len(lines), Column: 1, Found: fmt.Sprintf("%q", strings.TrimSpace(line)),
				Right: "a name of its own in small letters and two or more values, each once, with | between them, as in over offer 0 | 1 | 2"})
		}
		s.Axes = append(s.Axes, axis)
	}
	if len(problems) > 0 {
		return nil, problems
	}
	if n := s.count(); n > maxCells {
		return nil, card.Problems{{File: file, Line: 1, Column: 1, Found: fmt.Sprintf("%d experiments in a series", n), Right: fmt.Sprintf("%d at most", maxCells)}}
	}
	for _, a := range s.Axes {
		if a.Name != cardAxis && !slices.ContainsFunc(lines, func(l string) bool { return strings.Contains(l, "{"+a.Name+"}") }) {
			return nil, card.Problems{{File: file, Line: 1, Column: 1, Found: fmt.Sprintf("no {%s} in any line", a.Name), Right: fmt.Sprintf("{%s} where its values are to stand", a.Name)}}
		}
	}
	return lines, nil
}

// count is how many experiments there are.
func (s *Series) count() int {
	n := 1
	for _, a := range s.Axes {
		n = min(n*len(a.Values), maxCells+1)
	}
	return n
}

// combinations are the values of all axes, the last changing first.
func (s *Series) combinations() func(yield func([]string) bool) {
	return func(yield func([]string) bool) {
		for n := range s.count() {
			values := make([]string, len(s.Axes))
			for i := len(s.Axes) - 1; i >= 0; i-- {
				of := s.Axes[i].Values
				values[i], n = of[n%len(of)], n/len(of)
			}
			if !yield(values) {
				return
			}
		}
	}
}

// cellName says which of the series has these values.
func (s *Series) cellName(values []string) string {
	var parts []string
	for i, a := range s.Axes {
		parts = append(parts, a.Name+" "+values[i])
	}
	return strings.Join(parts, ", ")
}

// cellText is the file with the values in place, and the name of the card.
func (s *Series) cellText(file string, lines, values []string) (text, cardName string, err error) {
	of := map[string]string{}
	for i, a := range s.Axes {
		of[a.Name] = values[i]
	}
	filled := slices.Clone(lines)
	for i, line := range lines {
		filled[i] = inBraces().ReplaceAllStringFunc(line, func(braced string) string {
			value, there := of[braced[1:len(braced)-1]]
			if !there && err == nil {
				err = card.Problems{{File: file, Line: i + 1, Column: column(line, braced, 0), Found: braced, Right: "the name of a line that begins with over"}}
			}
			return value
		})
	}
	return strings.Join(filled, "\n"), of[cardAxis], err
}
