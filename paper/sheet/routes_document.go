package sheet

import (
	"fmt"

	"secondpass/exercise"
)

// RoutesDocument is the sheet of Routes for paper: tiles of PrintTile where the routes then fit side by
// side, steps never split between pages, the heads of the routes repeated, and the comparison on a page
// of its own with lines for a remark. More than one route is printed across.
func RoutesDocument(e *exercise.Exercise, columns []exercise.Column, figures []Figure, paper PaperSize) *Document {
	columns = columns[:min(len(columns), MostRoutes)]
	p := newRoutesSheet(e, columns, figures)
	d := NewDocument(e.Name, fmt.Sprintf("%s, seed %d", e.Name, e.Seed), paper, len(columns) > 1)
	scale := min(PrintTile*Millimetre/routeTile, d.Width()/p.blockWidth())

	heading := &Scene{Width: p.blockWidth()}
	heading.Height = p.heading(heading)
	d.scaled(heading, scale).keep = true
	for _, r := range p.rows() {
		part := &Scene{Height: r.height}
		r.draw(part, 0)
		b := d.scaled(part, scale)
		b.keep = r.keep
		if r.active != nil && !r.named {
			again := &Scene{}
			again.Height = p.headsAgain(again, 0, r.active)
			b.head = &block{height: again.Height * scale, draw: placed(again, d.left(), scale)}
		}
	}
	d.NewPage()
	// Laid out wider and then drawn smaller where a page would not hold it above the lines.
	const lines, linesRoom = 3, 3*9*Millimetre + 60
	foot := drawComparison(columns, figures, d.Width())
	d.Drawing(drawComparison(columns, figures, d.Width()*max(1, foot.Height/(d.bodyHeight()-linesRoom))))
	d.Strong("Remark")
	d.Lines(lines)
	return d
}

// scaled adds a scene as a block.
func (d *Document) scaled(part *Scene, scale float64) *block {
	return d.add(part.Height*scale, placed(part, d.left(), scale))
}

// placed draws a scene at a height on the page.
func placed(part *Scene, x, scale float64) func(s *Scene, y float64) {
	return func(s *Scene, y float64) { s.Place(part, x, y, scale) }
}
