package command

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/mattn/go-runewidth"

	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// roomForWords is the fewest columns in which text is set: where fewer are left beside an indent, as on a narrow terminal, the
// text runs on below its line.
const roomForWords = 24

// Wrap breaks text at blanks to the columns of w; lines after the first are indented. No word is broken, also not at a hyphen.
func Wrap(w io.Writer, text string, indent int) string {
	width := Columns(w) - indent
	if width < roomForWords {
		return text
	}
	return strings.Join(lines(text, width), "\n"+strings.Repeat(" ", indent))
}

// lines are those of a text, broken at blanks so that none is wider than width unless a single word is.
func lines(text string, width int) []string {
	var all []string
	for line := range strings.SplitSeq(text, "\n") {
		words := strings.Split(line, " ")
		filled := words[0]
		for _, word := range words[1:] {
			if strings.Trim(filled, " ") == "" || runewidth.StringWidth(filled)+1+runewidth.StringWidth(word) <= width {
				filled += " " + word
				continue
			}
			all, filled = append(all, strings.TrimRight(filled, " ")), word
		}
		all = append(all, strings.TrimRight(filled, " "))
	}
	return all
}

// Hanging breaks lines that name something and say what it is, as in a list of commands: each is continued where its text begins,
// behind its last two blanks. Other lines, as commands to be copied, stay as they are.
func Hanging(w io.Writer, text string) string {
	var all []string
	for line := range strings.SplitSeq(text, "\n") {
		gap := strings.LastIndex(line, "  ")
		if gap < 0 || strings.TrimSpace(line[:gap]) == "" {
			all = append(all, line)
			continue
		}
		at := gap + 2
		all = append(all, line[:at]+Wrap(w, line[at:], at))
	}
	return strings.Join(all, "\n")
}

// SideBySide sets cells beside each other, each broken to its width less a blank.
func SideBySide(widths []int, cells []string) string {
	columns, height := make([][]string, len(cells)), 0
	for i, c := range cells {
		columns[i] = lines(c, widths[i]-1)
		height = max(height, len(columns[i]))
	}
	rows := make([]string, height)
	for i := range rows {
		for j, c := range columns {
			cell := ""
			if i < len(c) {
				cell = c[i]
			}
			rows[i] += runewidth.FillRight(cell, widths[j])
		}
		rows[i] = strings.TrimRight(rows[i], " ")
	}
	return strings.Join(rows, "\n")
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

// ListedLine is that for programs.
type ListedLine struct {
	ID int64 `json:"id"`
	// Name is that of an exercise, Title that of a lesson.
	Name    string `json:"name,omitempty"`
	Title   string `json:"title,omitempty"`
	Changed string `json:"changed"`
}

// PrintList prints saved things; field is what JSON calls the name, none what is said where there are none.
func (g *Globals) PrintList(list []Listed, field, none string) error {
	if g.JSON {
		entries := []ListedLine{}
		for _, e := range list {
			line := ListedLine{ID: e.ID, Name: e.Name, Changed: e.Changed.UTC().Format(time.RFC3339)}
			if field == "title" {
				line.Name, line.Title = "", e.Name
			}
			entries = append(entries, line)
		}
		return g.Answer(entries)
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
