package cli

import (
	"fmt"
	"strings"

	"charm.land/lipgloss/v2"

	"secondpass/card"
	"secondpass/charleston"
	"secondpass/fit"
	"secondpass/internal/stat"
	"secondpass/tile"
)

// pageWidth is the number of columns that output keeps to.
const pageWidth = 80

var numerals = [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"}

func numeral(n int) string {
	if n < len(numerals) {
		return numerals[n]
	}
	return fmt.Sprint(n)
}

// inWords says a rack in words: "one 3 bam, two white dragons".
func inWords(r tile.Rack) string {
	var parts []string
	for k, n := range r {
		if n == 0 {
			continue
		}
		name := tile.Kind(k).Name()
		if n > 1 {
			name += "s"
		}
		parts = append(parts, numeral(int(n))+" "+name)
	}
	return strings.Join(parts, ", ")
}

// groupsText is groups with blanks between them.
func groupsText(groups []card.Group) string { return strings.Join(groupStrings(groups), " ") }

func groupStrings(groups []card.Group) []string {
	words := make([]string, len(groups))
	for i, g := range groups {
		words[i] = g.String()
	}
	return words
}

// kindsText is kinds in canonical text.
func kindsText(kinds []tile.Kind) string { return tile.List(kinds) }

// tilesText is a rack with its number of tiles in front: "3: 17c 9d"; "none" when empty.
func tilesText(r tile.Rack) string {
	if r.Size() == 0 {
		return "none"
	}
	return fmt.Sprintf("%d: %s", r.Size(), r)
}

func orNone(text string) string {
	if text == "" {
		return "none"
	}
	return text
}

func exposedText(concealed bool) string {
	if concealed {
		return "concealed"
	}
	return "exposed"
}

// nearText is "Runs 3: 5 away".
func nearText(r *fit.Reading) string {
	if r.Away == 0 {
		return r.OnCard().Name + ": complete"
	}
	return fmt.Sprintf("%s: %d away", r.OnCard().Name, r.Away)
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// stepText is the step with its number: "1 first right".
func stepText(s charleston.Step) string { return fmt.Sprintf("%d %s", s, s) }

// wrap breaks text at blanks to a width; lines after the first are indented.
func wrap(text string, width, indent int) string {
	lines := strings.Split(lipgloss.NewStyle().Width(width-indent).Render(text), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	return strings.Join(lines, "\n"+strings.Repeat(" ", indent))
}

// sideBySide sets cells beside each other, each wrapped to its width.
func sideBySide(widths []int, cells []string) string {
	blocks := make([]string, len(cells))
	for i, c := range cells {
		blocks[i] = lipgloss.NewStyle().Width(widths[i]).PaddingRight(1).Render(c)
	}
	lines := strings.Split(lipgloss.JoinHorizontal(lipgloss.Top, blocks...), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	return strings.Join(lines, "\n")
}

// share is a proportion in per cent with its interval: "41.2 % (40.2 to 42.2)".
func share(i stat.Interval) string {
	return fmt.Sprintf("%.1f %% (%.1f to %.1f)", 100*i.Value, 100*i.Low, 100*i.High)
}

// mean is a mean with its interval.
func mean(i stat.Interval) string {
	if !i.Bounded() {
		return fmt.Sprintf("%.2f (too few games)", i.Value)
	}
	return fmt.Sprintf("%.2f (%.2f to %.2f)", i.Value, i.Low, i.High)
}

// shown says whether a difference was: its interval leaves 0 out.
func shown(i stat.Interval) string {
	if i.Holds(0) {
		return ", no difference shown"
	}
	return ""
}
