package draw

import (
	"math"
	"strings"
)

// HeatGrid is a table whose cells show their figure and, by how dark they are, its size.
type HeatGrid struct {
	ChartFrame
	// Across and Down name what the columns and rows are, Unit what the figures are.
	Across, Down, Unit string
	Columns, Rows      []string
	// Values is by row, then column; a value that is no number leaves its cell empty.
	Values [][]float64
	// Digits is the decimals of the figures.
	Digits int
	// Low and High are the palest and the darkest value where they differ; else those of the figures.
	Low, High float64
}

// darkest is how far the darkest cell goes from the paper to the ink: as far as a figure in ink can be
// read on it in every theme.
const darkest = .36

// Len is how many rows there are.
func (c HeatGrid) Len() int { return len(c.Rows) }

// Part is the rows from..to with the tones of all.
func (c HeatGrid) Part(from, to int) HeatGrid {
	c.Low, c.High = c.ends()
	c.Rows, c.Values = c.Rows[from:to], c.Values[from:to]
	return c
}

// ends are the palest and the darkest value.
func (c *HeatGrid) ends() (low, high float64) {
	if c.Low < c.High {
		return c.Low, c.High
	}
	low, high = math.Inf(1), math.Inf(-1)
	for _, row := range c.Values {
		bounds(&low, &high, row...)
	}
	return low, high
}

// Scene draws the chart.
func (c HeatGrid) Scene() *Scene {
	s, y := c.begin(nil, nil)
	low, high := c.ends()
	left := labelRoom(append([]string{c.Down}, c.Rows...), s.Width, .34)
	cell := (s.Width - left) / float64(max(1, len(c.Columns)))
	cell = min(cell, 110)
	y = s.heatHeads(&c, y, left, cell)
	size := c.figureSize(cell)
	const height = 30.
	for i, name := range c.Rows {
		s.Write(Text{X: left - 10, Y: y + 21, Text: Clip(name, Sans, CaptionSize, left-10), Size: CaptionSize, Anchor: End})
		for j := range c.Columns {
			x := left + float64(j)*cell
			outline := polygon(x, y, x+cell, y, x+cell, y+height, x, y+height)
			if i >= len(c.Values) || j >= len(c.Values[i]) || !known(c.Values[i][j]) {
				s.Draw(polygon(x+2, y+2, x+cell-2, y+2, x+cell-2, y+height-2, x+2, y+height-2), Style{Stroke: Rule, Width: 1, Dash: []float64{4, 4}})
				continue
			}
			v := c.Values[i][j]
			tint := 0.
			if high > low {
				tint = darkest * min(1, max(0, (v-low)/(high-low)))
			}
			s.Draw(outline, Style{Fill: Ink, Fade: 1 - tint, Stroke: Paper, Width: 2})
			if size >= 11 {
				s.Write(Text{X: x + cell/2, Y: y + height/2 + size*.36, Text: figure(v, c.Digits), Size: size, Anchor: Middle})
			}
		}
		y += height
	}
	y = s.heatScale(&c, y+14, left, low, high)
	return c.finish(s, y)
}

// figureSize is the size of type in which all figures fit their cells.
func (c *HeatGrid) figureSize(cell float64) float64 {
	widest := 0.
	for _, row := range c.Values {
		for _, v := range row {
			if known(v) {
				widest = max(widest, Measure(figure(v, c.Digits), Sans, 1))
			}
		}
	}
	if widest == 0 {
		return CaptionSize
	}
	return min(CaptionSize, (cell-4)/widest)
}

// heatHeads writes the names above the grid.
func (s *Scene) heatHeads(c *HeatGrid, y, left, cell float64) float64 {
	s.Write(Text{X: left, Y: y + CaptionSize, Text: Clip(c.Across, Sans, CaptionSize, s.Width-left), Size: CaptionSize})
	s.Write(Text{X: left - 10, Y: y + CaptionSize, Text: Clip(c.Down, Sans, CaptionSize, left-10), Size: CaptionSize, Anchor: End})
	y += CaptionSize * 1.5
	size := headsSize(c.Columns, cell-4)
	lines, most := make([][]string, len(c.Columns)), 1
	for j, name := range c.Columns {
		lines[j] = Wrap(name, Sans, size, cell-3)
		most = max(most, len(lines[j]))
	}
	for j := range lines {
		for k, line := range lines[j] {
			s.Write(Text{X: left + (float64(j)+.5)*cell, Y: y + float64(most-len(lines[j])+k+1)*size*1.2, Text: line, Size: size, Anchor: Middle, Tone: Ink2})
		}
	}
	return y + float64(most)*size*1.2 + 8
}

// headsSize is the size of type in which no word is wider than a column, within reason.
func headsSize(names []string, width float64) float64 {
	size := float64(CaptionSize)
	for _, name := range names {
		for word := range strings.FieldsSeq(name) {
			size = min(size, width/Measure(word, Sans, 1))
		}
	}
	return max(size, 11)
}

// heatScale draws what the tones mean.
func (s *Scene) heatScale(c *HeatGrid, y, left, low, high float64) float64 {
	if !(low < high) {
		return y
	}
	const steps, wide = 5, 26.
	s.Write(Text{X: left - 10, Y: y + 15, Text: figure(low, c.Digits), Size: CaptionSize, Anchor: End, Tone: Ink2})
	for i := range steps {
		x := left + float64(i)*wide
		s.Draw(polygon(x, y, x+wide, y, x+wide, y+20, x, y+20), Style{Fill: Ink, Fade: 1 - darkest*float64(i)/(steps-1), Stroke: Line, Width: 1})
	}
	x := left + steps*wide + 8
	s.Write(Text{X: x, Y: y + 15, Text: Clip(figure(high, c.Digits)+"   "+c.Unit, Sans, CaptionSize, s.Width-x), Size: CaptionSize, Tone: Ink2})
	return y + 28
}
