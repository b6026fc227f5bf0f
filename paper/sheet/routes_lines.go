package sheet

import (
	"slices"

	"secondpass/paper/draw"
)

// line draws a stretch of a column's margin line.
func (p *routesSheet) line(s *draw.Scene, column int, y1, y2 float64, alone bool) {
	x := p.lineX(column)
	style := routeStyle(p.looks[column])
	if alone {
		style = draw.Style{Stroke: draw.Ink, Width: lineWidth}
	}
	s.Draw(draw.Polyline(x, y1, x, y2), style)
}

// routeStyle is the pencil of a look: colour and pattern say the same.
func routeStyle(look int) draw.Style {
	switch look {
	case 1:
		return draw.Style{Stroke: draw.RouteB, Width: lineWidth, Dash: []float64{12, 7}}
	case 2:
		return draw.Style{Stroke: draw.RouteC, Width: lineWidth + 1, Dash: []float64{.1, 9}, Round: true}
	}
	return draw.Style{Stroke: draw.RouteA, Width: lineWidth}
}

// routeTone is the colour of a look's pencil.
func routeTone(look int) draw.Tone {
	return []draw.Tone{draw.RouteA, draw.RouteB, draw.RouteC}[look]
}

// lines draws the margin lines of all active columns over a row.
func (p *routesSheet) lines(s *draw.Scene, active []bool, y1, y2 float64) {
	alone := len(p.columns) > 1 && !slices.Contains(active[1:], true)
	for i := range p.columns {
		if active[i] {
			p.line(s, i, y1, y2, alone)
		}
	}
}

// forks adds a row where columns part that do so here; those that part from one of them follow in another row.
func (p *routesSheet) forks(rows []row, here func(int) bool) []row {
	for {
		var parting []int
		for i := range p.columns {
			if !p.active[i] && p.active[p.parent[i]] && here(i) {
				parting = append(parting, i)
			}
		}
		if len(parting) == 0 {
			return rows
		}
		rows = append(rows, p.fork(parting))
	}
}

// fork is the row in which columns part from their parents: the connecting lines, then the heads.
func (p *routesSheet) fork(columns []int) row {
	before := slices.Clone(p.active)
	first := !slices.Contains(before[1:], true)
	for _, i := range columns {
		p.active[i] = true
	}
	active := slices.Clone(p.active)
	const height, head = 52., headsHeight
	return row{height: height + head, keep: true, named: true, active: before, draw: func(s *draw.Scene, y float64) {
		p.lines(s, before, y, y+10)
		p.lines(s, active, y+height, y+height+head)
		for i := range p.columns {
			if before[i] {
				p.line(s, i, y+10, y+height, false)
			}
		}
		for _, column := range slices.Backward(columns) { // the nearest branch lies on those that go further
			p.branch(s, y, column)
		}
		if first {
			p.heads(s, y+height, 0)
		}
		for _, column := range columns {
			p.heads(s, y+height, column)
		}
	}}
}

// branch is the line from where a column parts from its parent to where its own begins, in the look of the column.
func (p *routesSheet) branch(s *draw.Scene, y float64, column int) {
	const height = 52.
	from, to := p.lineX(p.parent[column]), p.lineX(column)
	branch := draw.Polyline(from, y+10, to-30, y+10)
	branch.CurveTo(draw.Point{X: to - 30*(1-draw.Kappa), Y: y + 10}, draw.Point{X: to, Y: y + 10 + 30*(1-draw.Kappa)}, draw.Point{X: to, Y: y + 40})
	branch.LineTo(to, y+height)
	s.Draw(branch, routeStyle(p.looks[column]))
	s.Draw(draw.Circle(from, y+10, 6.5), draw.Style{Fill: draw.Paper, Stroke: draw.Ink, Width: 4})
	s.Write(draw.Text{X: p.cellX(p.parent[column]), Y: y + 36, Text: "The routes part here.", Size: draw.CaptionSize, Tone: draw.Ink2})
}
