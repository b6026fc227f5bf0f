package sheet

import (
	"strings"

	"secondpass/exercise"
	"secondpass/exercise/comparison"
	"secondpass/paper/draw"
	"secondpass/paper/wording"
)

// Figure is a row of a comparison that is not read off the racks: a chance, points, a note.
type Figure struct {
	// Label names the figure with its unit. Words has a text for each route, Less one for the difference;
	// it may be empty.
	Label string
	Words []string
	Less  string
	// Spans are drawn as bars on one scale from Low to High, where there are any: one for each route.
	Spans     []draw.Span
	Low, High float64
}

// Comparison is a picture of how one to six routes stand at their ends: tiles away, spare tiles, clean
// or not, options, gaps, and the figures given. Routes beyond the sixth are left out.
func Comparison(heading string, columns []exercise.Column, figures []Figure, shape Shape) *draw.Scene {
	columns = columns[:min(len(columns), MostRoutes)]
	return framed(shape, func(layout int) *draw.Scene {
		if layout > 3 {
			return nil
		}
		wider := max(1, float64(len(columns))/3)
		foot := drawComparison(columns, figures, wider*[]float64{1: 1100, 2: 800, 3: 1400}[layout])
		s := &draw.Scene{Width: foot.Width, Title: heading}
		y := s.Paragraph(0, 0, s.Width, heading, draw.Serif, draw.LargeSize, draw.Ink) + 12
		s.Place(foot, 0, y, 1)
		s.Height = y + foot.Height
		return s
	})
}

// footRow is one row of the comparison: its label, and for each route a text, tiles or both.
type footRow struct {
	label string
	bold  bool
	words []string
	tiles [][]Tile
	less  string
	spans []draw.Span
	scale [2]float64
}

// drawComparison draws the table of a comparison in a width.
func drawComparison(columns []exercise.Column, figures []Figure, width float64) *draw.Scene {
	s := &draw.Scene{Width: width}
	rows := footRows(columns, figures)
	lessWidth := 0.
	for _, f := range figures {
		if f.Less != "" {
			lessWidth = min(190, width*.2)
		}
	}
	label := min(max(150, width*.26), 330)
	column := (width - label - lessWidth) / float64(len(columns))
	y := s.Paragraph(0, 0, width, "Comparison", draw.Serif, draw.TitleSize, draw.Ink) + 12
	looks := looksOf(columns)
	for i := range columns {
		x := label + float64(i)*column
		r := columns[i].Route
		drawBadge(s, x+19, y+18, looks[i], r.ID)
		s.Write(draw.Text{X: x + 46, Y: y + 24, Text: draw.Clip(aimWords(r), draw.Bold, draw.BodySize, column-56), Font: draw.Bold, Size: draw.BodySize})
	}
	y += 48
	s.Line(0, y, width, y, draw.Ink, 2.5)
	for _, r := range rows {
		y = drawFootRow(s, r, looks, y, label, column, lessWidth)
		s.Line(0, y, width, y, draw.Rule, 1.5)
	}
	s.Height = y + 4
	return s
}

// aimWords is what a route steers for, behind its name where that is more than a letter.
func aimWords(r *exercise.Route) string {
	aim := exercise.AimText(r.Aim())
	if len(r.Aim()) == 0 {
		aim = "the whole card"
	}
	if len([]rune(r.Name)) > 2 {
		return r.Name + ": " + aim
	}
	return aim
}

func footRows(columns []exercise.Column, figures []Figure) []footRow {
	var rows []footRow
	for _, r := range comparison.AtEnd(columns) {
		row := footRow{label: r.Label + ", " + r.Note, bold: len(rows) == 0}
		for i := range r.Values {
			tiles, words := measured(r.Measure, &r.Values[i])
			row.tiles, row.words = append(row.tiles, tiles), append(row.words, words)
		}
		rows = append(rows, row)
	}
	for _, f := range figures {
		rows = append(rows, footRow{label: f.Label, bold: len(f.Spans) > 0, words: f.Words, less: f.Less, spans: f.Spans, scale: [2]float64{f.Low, f.High}})
	}
	return rows
}

// measured is a value in words, or as tiles where they are counted.
func measured(m *comparison.Measure, v *comparison.Value) (tiles []Tile, words string) {
	switch {
	case v.None():
		return nil, "not yet over"
	case v.HasTiles && m.Less != "" && v.Tiles.Size() > 0:
		tiles = Tiles(v.Tiles)
		for i := range tiles {
			tiles[i].Spare = m.Left
		}
		return tiles, ""
	}
	return nil, strings.Join(wording.Measured(m, v), ", ")
}

// drawFootRow draws one row and returns where the next begins.
func drawFootRow(s *draw.Scene, r footRow, looks []int, y, label, column, less float64) float64 {
	const pad = 8.
	bottom := s.Paragraph(0, y+pad, label-12, r.label, draw.Sans, draw.CaptionSize, draw.Ink2)
	font, size := draw.Sans, float64(draw.BodySize)
	if r.bold {
		font = draw.Bold
	}
	for i, words := range r.words {
		x := label + float64(i)*column
		below := s.Paragraph(x, y+pad-2, column-16, words, font, size, draw.Ink)
		if len(r.spans) > i {
			below = drawBar(s, x, below+4, column-28, routeTone(looks[i]), r.spans[i], r.scale)
		}
		bottom = max(bottom, below)
	}
	for i, tiles := range r.tiles {
		top := y + pad + 4
		for _, part := range wrapStrip(tiles, routeTile, column-16) {
			Strip(s, label+float64(i)*column, top, routeTile, part)
			top += routeTile * (tileHeight + below + .1)
			bottom = max(bottom, top)
		}
	}
	if r.less != "" {
		x := label + float64(len(r.words))*column
		bottom = max(bottom, s.Paragraph(x, y+pad-2, less, r.less, draw.Sans, draw.BodySize, draw.Ink))
	}
	return bottom + pad - 2
}

// drawBar draws an interval as a thick stretch of a scale, the value as a cut with a line in it.
func drawBar(s *draw.Scene, x, y, width float64, tone draw.Tone, v draw.Span, scale [2]float64) float64 {
	at := func(value float64) float64 {
		if scale[1] <= scale[0] {
			return x
		}
		return x + width*min(1, max(0, (value-scale[0])/(scale[1]-scale[0])))
	}
	s.Line(x, y+18, x+width, y+18, draw.Rule, 2)
	for i := range 4 {
		tick := x + width*float64(i)/3
		s.Line(tick, y+14, tick, y+22, draw.Line, 1.5)
	}
	s.Line(at(v.Low), y+7, at(v.High), y+7, tone, 9)
	s.Line(at(v.Value), y-1, at(v.Value), y+15, draw.Paper, 8)
	s.Line(at(v.Value), y-1, at(v.Value), y+15, tone, 4)
	return y + 26
}
