package draw

import "slices"

// Table is rows of text under a head.
type Table struct {
	Head []string
	Rows [][]string
	// Right lists the columns, from 0, that stand to the right, as figures do.
	Right []int
}

// tablePadding is the room left and right in a cell together, and above and below.
const tablePadding, tableLeading = 12., 9.

// Table adds a table. Rows are not split, and the last does not stand alone; the head is repeated on every page.
func (d *Document) Table(t Table) {
	widths := t.widths(d.Width())
	head := d.tableRow(&t, widths, t.Head, Bold, Style{Stroke: Ink, Width: 2})
	first := head
	first.keep = true
	d.blocks = append(d.blocks, first)
	for i, cells := range t.Rows {
		row := d.tableRow(&t, widths, cells, Sans, Style{Stroke: Rule, Width: 1})
		row.head, row.keep = &head, i >= len(t.Rows)-2
		d.blocks = append(d.blocks, row)
	}
	d.add(12, func(*Scene, float64) {})
}

// tableRow lays a row out.
func (d *Document) tableRow(t *Table, widths []float64, cells []string, font Font, line Style) block {
	left, total := d.left(), 0.
	wrapped, most := make([][]string, len(widths)), 1
	for i, w := range widths {
		total += w
		if i < len(cells) {
			wrapped[i] = Wrap(cells[i], font, paperSmall, w-tablePadding)
			most = max(most, len(wrapped[i]))
		}
	}
	const leading = paperSmall * 1.25
	height := float64(most)*leading + tableLeading
	return block{height: height, draw: func(s *Scene, y float64) {
		x := left
		for i, lines := range wrapped {
			for j, text := range lines {
				out := Text{X: x, Y: y + tableLeading/2 + paperSmall + float64(j)*leading, Text: text, Font: font, Size: paperSmall}
				if slices.Contains(t.Right, i) {
					out.X, out.Anchor = x+widths[i]-tablePadding, End
				}
				s.Write(out)
			}
			x += widths[i]
		}
		s.Draw(Polyline(left, y+height, left+total, y+height), line)
	}}
}

// widths is the width of each column: what its texts need, as far as that is no more than an equal share
// of what narrower columns leave.
func (t *Table) widths(total float64) []float64 {
	var widths []float64
	for r, cells := range append([][]string{t.Head}, t.Rows...) {
		font := Sans
		if r == 0 {
			font = Bold
		}
		for i, cell := range cells {
			if i == len(widths) {
				widths = append(widths, tablePadding)
			}
			widths[i] = max(widths[i], Measure(cell, font, paperSmall)+tablePadding+1)
		}
	}
	byWidth := slices.Clone(widths)
	slices.Sort(byWidth)
	for i, w := range byWidth {
		share := total / float64(len(widths)-i)
		if w > share {
			for j := range widths {
				widths[j] = min(widths[j], share)
			}
			break
		}
		total -= w
	}
	return widths
}
