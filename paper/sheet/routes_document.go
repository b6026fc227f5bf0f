package sheet

import (
	"fmt"

	"secondpass/exercise"
	"secondpass/paper/draw"
)

// Tiles of a printed sheet are no smaller than fairTile, in millimetres, where the page allows it, and never smaller than leastPrinted.
const (
	fairTile     = 6.
	leastPrinted = 4.
	// printedMargin is that of a printed sheet, in millimetres.
	printedMargin = 12.
)

// RoutesDocument is the sheet of Routes for paper: one or two routes upright on two pages, the comparison below the steps, their
// tiles as large as that allows; else steps across, three routes side by side at most, further ones on pages of their own, and the
// comparison of all on a page by itself. Racks stand in two rows where tiles would else be too small. Steps are never split between pages,
// and the heads of the routes are repeated on each.
func RoutesDocument(e *exercise.Exercise, columns []exercise.Column, figures []Figure, paper draw.PaperSize) *draw.Document {
	_, d := printedSheet(e, columns, figures, paper)
	return d
}

// printedSheet is the document with how it is laid out.
func printedSheet(e *exercise.Exercise, columns []exercise.Column, figures []Figure, paper draw.PaperSize) (*printed, *draw.Document) {
	columns = columns[:min(len(columns), MostRoutes)]
	if len(columns) <= 2 {
		for mm := PrintTile; mm >= leastPrinted; mm -= .25 {
			for pack := oneRow; pack <= stacked; pack++ {
				p := &printed{e, columns, figures, paper, mm, pack}
				if d := p.upright(); d != nil {
					return p, d
				}
			}
		}
	}
	p := &printed{e, columns, figures, paper, PrintTile, oneRow}
	return p, p.across()
}

// remarkLines is how many lines there are to write on where there is room.
const remarkLines = 3

// printed is a sheet on paper, its tiles of a width in millimetres.
type printed struct {
	exercise *exercise.Exercise
	columns  []exercise.Column
	figures  []Figure
	paper    draw.PaperSize
	mm       float64
	pack     packing
}

// upright is the sheet on two upright pages at most, its comparison as little smaller and with as many lines for a remark as that allows; nil where it does not fit.
func (p *printed) upright() *draw.Document {
	var fits *draw.Document
	for _, foot := range []struct {
		tight float64
		lines int
	}{{1.7, 1}, {1.7, remarkLines}, {1.5, remarkLines}, {1.3, remarkLines}, {1.15, remarkLines}, {1, remarkLines}} {
		d := p.document(false)
		if !p.add(d, newRoutesSheet(p.exercise, p.columns, p.figures, p.pack)) {
			return nil
		}
		p.addFoot(d, foot.tight, foot.lines)
		if len(d.Pages()) > 2 {
			return fits
		}
		fits = d
	}
	return fits
}

// across is the sheet on pages that lie on their side.
func (p *printed) across() *draw.Document {
	d := p.document(len(p.columns) > 1)
	for g, group := range groupsOf(p.columns) {
		if g > 0 {
			d.NewPage()
		}
		var sheet *routesSheet
		for pack := oneRow; pack <= stacked; pack++ {
			sheet = newRoutesSheet(p.exercise, group, p.figures, pack)
			if p.mm = min(PrintTile, d.Width()/sheet.blockWidth()*routeTile/draw.Millimetre); p.mm >= fairTile {
				break
			}
		}
		p.add(d, sheet)
	}
	d.NewPage()
	// Laid out wider and then drawn smaller where a page would not hold it above the lines.
	const linesRoom = remarkLines*9*draw.Millimetre + 60
	foot := drawComparison(p.columns, p.figures, d.Width())
	p.addFoot(d, max(1, foot.Height/(d.BodyHeight()-linesRoom), min(1.3, float64(len(p.columns))/3)), remarkLines)
	return d
}

// groupsOf divides routes into as few groups of three at most as it takes, about equally large.
func groupsOf(columns []exercise.Column) [][]exercise.Column {
	const most = 3
	n := max(1, (len(columns)+most-1)/most)
	groups := make([][]exercise.Column, n)
	for g := range groups {
		groups[g] = columns[len(columns)*g/n : len(columns)*(g+1)/n]
	}
	return groups
}

func (p *printed) document(across bool) *draw.Document {
	d := draw.NewDocument(p.exercise.Name, fmt.Sprintf("%s, seed %d", p.exercise.Name, p.exercise.Seed), p.paper, across)
	d.SetMargin(printedMargin)
	return d
}

// add adds the heading and the rows of a sheet; false where they are wider than a page.
func (p *printed) add(d *draw.Document, sheet *routesSheet) bool {
	scale := p.mm * draw.Millimetre / routeTile
	if scale*sheet.blockWidth() > d.Width()+.01 {
		return false
	}
	heading := &draw.Scene{Width: d.Width() / scale}
	heading.Height = sheet.heading(heading)
	d.Add(draw.Part{Scene: heading, Scale: scale, Keep: true})
	for _, r := range sheet.rows() {
		part := &draw.Scene{Height: r.height}
		r.draw(part, 0)
		var again *draw.Scene
		if r.active != nil && !r.named {
			again = &draw.Scene{}
			again.Height = sheet.headsAgain(again, 0, r.active)
		}
		d.Add(draw.Part{Scene: part, Scale: scale, Keep: r.keep, Head: again})
	}
	return true
}

// addFoot adds the comparison, as many times smaller as tight says, and lines to write on.
func (p *printed) addFoot(d *draw.Document, tight float64, lines int) {
	d.Drawing(drawComparison(p.columns, p.figures, d.Width()*tight))
	d.Strong("Remark")
	d.Lines("", lines)
}
