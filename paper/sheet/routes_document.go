package sheet

import (
	"fmt"

	"secondpass/exercise"
	"secondpass/paper/draw"
)

// RoutesDocument is the sheet of Routes for paper: tiles of PrintTile where the routes then fit side by
// side, steps never split between pages, the heads of the routes repeated, and the comparison on a page
// of its own with lines for a remark. More than one route is printed across.
func RoutesDocument(e *exercise.Exercise, columns []exercise.Column, figures []Figure, paper draw.PaperSize) *draw.Document {
	columns = columns[:min(len(columns), MostRoutes)]
	p := newRoutesSheet(e, columns, figures)
	d := draw.NewDocument(e.Name, fmt.Sprintf("%s, seed %d", e.Name, e.Seed), paper, len(columns) > 1)
	scale := min(PrintTile*draw.Millimetre/routeTile, d.Width()/p.blockWidth())

	heading := &draw.Scene{Width: p.blockWidth()}
	heading.Height = p.heading(heading)
	d.Add(draw.Part{Scene: heading, Scale: scale, Keep: true})
	for _, r := range p.rows() {
		part := &draw.Scene{Height: r.height}
		r.draw(part, 0)
		var again *draw.Scene
		if r.active != nil && !r.named {
			again = &draw.Scene{}
			again.Height = p.headsAgain(again, 0, r.active)
		}
		d.Add(draw.Part{Scene: part, Scale: scale, Keep: r.keep, Head: again})
	}
	d.NewPage()
	// Laid out wider and then drawn smaller where a page would not hold it above the lines.
	const lines, linesRoom = 3, 3*9*draw.Millimetre + 60
	foot := drawComparison(columns, figures, d.Width())
	d.Drawing(drawComparison(columns, figures, d.Width()*max(1, foot.Height/(d.BodyHeight()-linesRoom))))
	d.Strong("Remark")
	d.Lines(lines)
	return d
}
