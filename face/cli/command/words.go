package command

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"time"

	"charm.land/lipgloss/v2"

	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// PageWidth is the number of columns that output keeps to.
const PageWidth = 80

// Wrap breaks text at blanks to a width; lines after the first are indented.
func Wrap(text string, width, indent int) string {
	lines := strings.Split(lipgloss.NewStyle().Width(width-indent).Render(text), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	return strings.Join(lines, "\n"+strings.Repeat(" ", indent))
}

// SideBySide sets cells beside each other, each wrapped to its width.
func SideBySide(widths []int, cells []string) string {
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

// WriteJSON writes a value as one line.
func WriteJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return Failed(err)
	}
	return nil
}

// Clip cuts text to a width.
func Clip(text string, width int) string {
	if r := []rune(text); len(r) > width {
		return string(r[:width-1]) + "."
	}
	return text
}

// Listed is a line of a list of saved things.
type Listed struct {
	ID      int64
	Name    string
	Changed time.Time
}

// PrintList prints saved things; field is what JSON calls the name, none what is said where there are none.
func (g *Globals) PrintList(list []Listed, field, none string) error {
	if g.JSON {
		entries := []map[string]any{}
		for _, e := range list {
			entries = append(entries, map[string]any{"id": e.ID, field: e.Name, "changed": e.Changed.UTC().Format(time.RFC3339)})
		}
		return WriteJSON(g.Stdout, entries)
	}
	if len(list) == 0 {
		g.Remark("%s", none)
	}
	for _, e := range list {
		fmt.Fprintf(g.Stdout, "%4d  %s  %s\n", e.ID, e.Changed.Local().Format("2006-01-02 15:04"), e.Name)
	}
	return nil
}

// Mark stands before a candidate that is not shown to be worse than the best.
func Mark(even bool) string {
	if even {
		return "="
	}
	return " "
}

// LyingDiscards is the discards that nobody claimed.
func LyingDiscards(v table.View) tile.Rack {
	var r tile.Rack
	for i := range v.Discards() {
		if d := v.Discard(i); !d.Claimed {
			r[d.Tile]++
		}
	}
	return r
}

// OpenText is the open groups of a seat, and whether its hand is dead.
func OpenText(v table.View, seat charleston.Seat) string {
	var parts []string
	groups, n := v.Open(seat)
	for _, e := range groups[:n] {
		parts = append(parts, e.String())
	}
	if v.Dead(seat) {
		parts = append(parts, "the hand is dead")
	}
	return strings.Join(parts, ", ")
}
