package cli

import (
	"strings"

	"charm.land/lipgloss/v2"
)

// pageWidth is the number of columns that output keeps to.
const pageWidth = 80

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
