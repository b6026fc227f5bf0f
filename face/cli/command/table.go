package command

import (
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"

	"github.com/mattn/go-runewidth"
)

// Table is rows of cells beside each other. Where there is too little room, cells are continued below themselves, within their
// columns; where that is still too little, the columns stand in blocks one below the other, each led by the first column.
type Table struct {
	// widths is what each column gets where there is room for all, with the blank behind it; the last takes what it needs.
	widths []int
	rows   []tableRow
}

// tableRow is cells, or a line between rows that has the whole width.
type tableRow struct {
	cells  []string
	line   string
	indent int
}

// NewTable makes a table whose columns, but the last, are so wide, with the blank behind each.
func NewTable(widths ...int) *Table { return &Table{widths: append(widths, 0)} }

// Row adds a row; cells that are left out at its end are empty.
func (t *Table) Row(cells ...string) {
	t.rows = append(t.rows, tableRow{cells: append(cells, make([]string, len(t.widths)-len(cells))...)})
}

// Line adds a line between rows, set in so far.
func (t *Table) Line(indent int, format string, args ...any) {
	t.rows = append(t.rows, tableRow{line: fmt.Sprintf(format, args...), indent: indent})
}

// Print prints a table, no wider than w unless a single word is.
func (t *Table) Print(w io.Writer) {
	if t.widest() <= Columns(w) {
		for _, r := range t.rows {
			if r.cells == nil {
				r.printLine(w)
				continue
			}
			line := ""
			for i, cell := range r.cells {
				line += cell + strings.Repeat(" ", max(0, t.widths[i]-1-runewidth.StringWidth(cell))) + " "
			}
			fmt.Fprintln(w, strings.TrimRight(line, " "))
		}
		return
	}
	if b, ok := t.lastBroken(Columns(w)); ok {
		t.printBlock(w, b, true)
		return
	}
	for i, b := range t.blocks(Columns(w)) {
		if i > 0 {
			fmt.Fprintln(w)
		}
		t.printBlock(w, b, i == 0)
	}
}

func (r *tableRow) printLine(w io.Writer) {
	fmt.Fprintln(w, strings.Repeat(" ", r.indent)+Wrap(w, r.line, r.indent))
}

// widest is how wide the rows are where each column has its width.
func (t *Table) widest() (widest int) {
	for _, r := range t.rows {
		wide := 0
		for i, cell := range r.cells {
			if cell != "" {
				widest = max(widest, wide+runewidth.StringWidth(cell))
			}
			wide += max(t.widths[i], runewidth.StringWidth(cell)+1)
		}
	}
	return widest
}

// lastBroken is all columns, of which the last alone is broken, if it has room for words then.
func (t *Table) lastBroken(room int) (b tableBlock, ok bool) {
	last := len(t.widths) - 1
	for i, wide := range t.widths {
		b.columns, b.widths = append(b.columns, i), append(b.widths, wide)
		room -= wide
	}
	b.widths[last] = room + 1
	return b, room >= roomForWords && !slices.ContainsFunc(t.rows, func(r tableRow) bool {
		for i := range r.cells[:min(last, len(r.cells))] {
			if runewidth.StringWidth(r.cells[i]) >= t.widths[i] {
				return true
			}
		}
		return false
	})
}

// tableBlock is columns that stand beside each other, and how wide they are.
type tableBlock struct{ columns, widths []int }

// blocks lays the columns out in so much room: each is at least as wide as its widest word, and what is left goes to those that
// lack least, after the first.
func (t *Table) blocks(room int) (blocks []tableBlock) {
	least, most := make([]int, len(t.widths)), make([]int, len(t.widths))
	for _, r := range t.rows {
		for i, cell := range r.cells {
			most[i] = max(most[i], runewidth.StringWidth(cell)+1)
			for _, word := range strings.Split(together(cell), " ") {
				least[i] = max(least[i], runewidth.StringWidth(word)+1)
			}
		}
	}
	for next := 1; next < len(t.widths); {
		b, left := tableBlock{columns: []int{0}}, room+1-least[0]
		for ; next < len(t.widths) && (len(b.columns) == 1 || least[next] <= left); next++ {
			b.columns = append(b.columns, next)
			left -= least[next]
		}
		b.widths = make([]int, len(b.columns))
		lack := func(i int) int { return most[b.columns[i]] - least[b.columns[i]] }
		order := make([]int, len(b.columns))
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order[1:], func(i, j int) int { return lack(i) - lack(j) })
		for _, i := range order {
			more := max(0, min(lack(i), left))
			b.widths[i] = least[b.columns[i]] + more
			left -= more
		}
		blocks = append(blocks, b)
	}
	return blocks
}

// printBlock prints some columns; rows that have nothing there are left out of all blocks but the first, and so are lines between.
func (t *Table) printBlock(w io.Writer, b tableBlock, first bool) {
	for _, r := range t.rows {
		if r.cells == nil {
			if first || r.line == "" {
				r.printLine(w)
			}
			continue
		}
		cells, filled := make([]string, len(b.columns)), first
		for i, column := range b.columns {
			cells[i] = together(r.cells[column])
			filled = filled || i > 0 && cells[i] != ""
		}
		if filled {
			fmt.Fprintln(w, strings.ReplaceAll(SideBySide(b.widths, cells), noBreak, " "))
		}
	}
}

// noBreak is a blank at which no line is broken.
const noBreak = "\u00a0"

// inOne are blanks within brackets, and those before a sign of per cent.
var inOne = regexp.MustCompile(`\([^()]*\)| %`)

// together is a cell in which what belongs together is not broken.
func together(cell string) string {
	return inOne.ReplaceAllStringFunc(cell, func(part string) string { return strings.ReplaceAll(part, " ", noBreak) })
}
