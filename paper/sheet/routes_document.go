package sheet

import (
	"fmt"

	"secondpass/exercise"
	"secondpass/paper/draw"
)

// RoutesDocument is the sheet of Routes for paper: on two upright pages where one or two routes fit there, the comparison below the steps,
// drawn as small as tight allows; else steps across, and the comparison on a page of its own. Steps are never split between pages, and the
// heads of the routes are repeated on each.
func RoutesDocument(e *exercise.Exercise, columns []exercise.Column, figures []Figure, paper draw.PaperSize) *draw.Document {
	columns = columns[:min(len(columns), MostRoutes)]
	if len(columns) <= 2 {
		for _, tight := range []float64{1, 1.15, 1.3, 1.5, 1.7} {
			if d := routesDocument(e, columns, figures, paper, tight); len(d.Pages()) <= 2 {
				return d
			}
		}
	}
	return routesDocument(e, columns, figures, paper, 0)
}

// remarkLines is how many lines there are to write on.
const remarkLines = 3

// routesDocument lays a sheet out upright, its comparison as many times smaller as tight says; 0 is across, with the comparison on a page of
// its own.
func routesDocument(e *exercise.Exercise, columns []exercise.Column, figures []Figure, paper draw.PaperSize, tight float64) *draw.Document {
	p := newRoutesSheet(e, columns, figures)
	d := draw.NewDocument(e.Name, fmt.Sprintf("%s, seed %d", e.Name, e.Seed), paper, tight == 0 && len(columns) > 1)
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
	if tight == 0 {
		d.NewPage()
		// Laid out wider and then drawn smaller where a page would not hold it above the lines.
		const linesRoom = remarkLines*9*draw.Millimetre + 60
		foot := drawComparison(columns, figures, d.Width())
		tight = max(1, foot.Height/(d.BodyHeight()-linesRoom))
	}
	d.Drawing(drawComparison(columns, figures, d.Width()*tight))
	d.Strong("Remark")
	d.Lines(remarkLines)
	return d
}
