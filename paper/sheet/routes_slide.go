package sheet

import (
	"slices"
	"strings"

	"secondpass/paper/draw"
)

// mostWhole is the most routes whose steps are all drawn in a picture with a size: those of more would be too small to read.
const mostWhole = 3

// LeavesOut says what the picture of so many routes in a shape leaves out; it is empty where nothing is.
func LeavesOut(routes int, shape Shape) string {
	if shape == Natural || routes <= mostWhole {
		return ""
	}
	return "Of each route: the step at which it parts from another, and how it ends. The other steps and the rest of the comparison are left out."
}

// overview is a picture of more routes than can be read with all their steps: of each the step at which it parts from another and the
// rack at the end, in rows of so many routes.
func (p *routesSheet) overview(perRow int, shape Shape) *draw.Scene {
	const between = 40.
	parts := make([]*draw.Scene, len(p.columns))
	width := 0.
	for i := range p.columns {
		parts[i] = p.outline(i)
		width = max(width, parts[i].Width)
	}
	s := &draw.Scene{Title: p.title(), Width: float64(perRow)*(width+between) - between}
	y := s.Paragraph(0, 0, s.Width, p.exercise.Name, draw.Serif, draw.TitleSize, draw.Ink)
	y = s.Paragraph(0, y, s.Width, LeavesOut(len(p.columns), shape), draw.Sans, draw.CaptionSize, draw.Ink2) + 8
	for row := range slices.Chunk(parts, perRow) {
		s.Line(0, y, s.Width, y, draw.Rule, 1.5)
		height := 0.
		for i, part := range row {
			s.Place(part, float64(i)*(width+between), y+8, 1)
			height = max(height, part.Height)
		}
		y += height + 16
	}
	s.Height = y
	return s
}

// outline is one route of an overview.
func (p *routesSheet) outline(column int) *draw.Scene {
	const indent = 42.
	c := &p.columns[column]
	s := &draw.Scene{}
	drawBadge(s, 18, 18, p.looks[column], c.Route.ID)
	tiles := Tiles(c.Trail.Now.Rack())
	MarkSpare(tiles, c.End().Spare())
	room := StripWidth(tiles, routeTile)
	name := draw.Clip(aimWords(c.Route), draw.Bold, draw.BodySize, room*.7)
	s.Write(draw.Text{X: indent, Y: 25, Text: name, Font: draw.Bold, Size: draw.BodySize})
	y := 40.
	if span := p.parting(column); span != nil {
		s.Write(draw.Text{X: indent + draw.Measure(name, draw.Bold, draw.BodySize) + 14, Y: 25, Text: span.key.label(), Size: draw.CaptionSize, Tone: draw.Ink2})
		cell := cellOf(c, *span)
		if cell.words != "" {
			y = s.Paragraph(indent, y, room, cell.words, draw.Sans, draw.CaptionSize, draw.Ink2) + 2
		}
		if len(cell.passed) > 0 {
			s.Width = drawMoves(s, &cell, indent, y, routeTile)
			y += captions(routeTile)*1.2 + routeTile*(above+tileHeight+below) + 4
		}
	}
	y += routeTile * above
	Strip(s, indent, y, routeTile, tiles)
	y += routeTile*(tileHeight+below) + draw.CaptionSize
	end := c.End()
	right := drawNear(s, indent, y, draw.CaptionSize, "", &end.Nearest)
	if plan := end.PlanApart(); plan != nil {
		const words = "; plan "
		if x := drawNear(&draw.Scene{}, right, y, draw.CaptionSize, words, plan); x <= indent+room {
			right = drawNear(s, right, y, draw.CaptionSize, words, plan)
		} else {
			y += draw.CaptionSize * draw.LineHeight
			right = max(right, drawNear(s, indent, y, draw.CaptionSize, "plan ", plan))
		}
	}
	s.Width = max(s.Width, indent+room, right)
	s.Height = y + draw.CaptionSize*.5
	for i := range p.figures {
		if f := &p.figures[i]; len(f.Spans) > column { // the first of the simulated ones is the chance to win
			label, _, _ := strings.Cut(f.Label, ", ")
			s.Height = s.Paragraph(indent, s.Height, room, label+": "+f.Words[column], draw.Bold, draw.CaptionSize, draw.Ink)
			break
		}
	}
	return s
}

// parting is the row at which a route parts from its parent, that of the first at which another parts from it; nil when it has not come so
// far.
func (p *routesSheet) parting(column int) *rowSpan {
	at := p.parts[column]
	if column == 0 {
		at = slices.Min(p.parts[1:])
	}
	i := slices.IndexFunc(p.spans[column], func(r rowSpan) bool { return r.first <= at && at <= r.last })
	if i < 0 {
		return nil
	}
	return &p.spans[column][i]
}
