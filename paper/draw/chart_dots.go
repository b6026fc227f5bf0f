package draw

import "math"

// DotPlot is figures with their intervals on one scale, a row each.
type DotPlot struct {
	ChartFrame
	// Axis names the scale with its unit.
	Axis string
	// Series are names where a row has several figures, told apart by the marker's shape and colour.
	Series []string
	Rows   []DotRow
	// Zero draws a line at 0 and takes 0 in: for differences.
	Zero bool
	// Mark is a value at which a dashed line stands, MarkWords what it says; without words there is none.
	Mark      float64
	MarkWords string
	// Low and High bound the scale where they differ; else it fits the figures.
	Low, High float64
}

// DotRow is a row of a DotPlot.
type DotRow struct {
	Label string
	// Values has a figure for each series; one whose value is no number is left out.
	Values []Span
	// Words stands at the right, as in "26.2 (25.3 to 27.2)".
	Words string
	// Even says that the row is not shown to be worse than the best: a thick margin stands beside it.
	Even bool
}

// Len is how many rows there are.
func (c DotPlot) Len() int { return len(c.Rows) }

// Part is the rows from..to on the scale of all.
func (c DotPlot) Part(from, to int) DotPlot {
	c.Low, c.High = c.ends()
	c.Rows = c.Rows[from:to]
	return c
}

// ends are those of the scale.
func (c *DotPlot) ends() (low, high float64) {
	if c.Low < c.High {
		return c.Low, c.High
	}
	low, high = math.Inf(1), math.Inf(-1)
	for _, r := range c.Rows {
		for _, v := range r.Values {
			bounds(&low, &high, v.Value, v.Low, v.High)
		}
	}
	if c.Zero {
		bounds(&low, &high, 0)
	}
	if c.MarkWords != "" {
		bounds(&low, &high, c.Mark)
	}
	return low, high
}

// Scene draws the chart.
func (c DotPlot) Scene() *Scene {
	s, y := c.begin(c.Series, func(s *Scene, x, y float64, n int) {
		s.Line(x+2, y, x+34, y, seriesTone(n), 3)
		s.marker(x+18, y, n)
	})
	low, high := c.ends()
	var labels, words []string
	for _, r := range c.Rows {
		labels, words = append(labels, r.Label), append(words, r.Words)
	}
	left := labelRoom(labels, s.Width, .36) + 12
	right := labelRoom(words, s.Width, .3)
	scale := newAxis(low, high, int((s.Width-left-right)/110)+1, left+12, s.Width-right-12)
	if c.MarkWords != "" {
		y = s.markWords(&c, &scale, y)
	}
	top := y
	var rows Scene
	for _, r := range c.Rows {
		y = rows.dotRow(r, y, left, right, s.Width, &scale)
	}
	bottom := s.acrossAxis(&scale, y, top, c.Axis)
	if c.Zero {
		s.Line(scale.at(0), top, scale.at(0), y, Ink, 2)
	}
	if c.MarkWords != "" {
		s.Line(scale.at(c.Mark), top-4, scale.at(c.Mark), y, Ink, 2, 7, 5)
	}
	s.Place(&rows, 0, 0, 1)
	return c.finish(s, bottom)
}

// markWords writes what the marked value is above its line.
func (s *Scene) markWords(c *DotPlot, scale *axis, y float64) float64 {
	for _, line := range Wrap(c.MarkWords, Sans, CaptionSize, s.Width) {
		half := Measure(line, Sans, CaptionSize) / 2
		s.Write(Text{X: min(max(scale.at(c.Mark), half), s.Width-half), Y: y + CaptionSize, Text: line, Size: CaptionSize, Anchor: Middle})
		y += CaptionSize * LineHeight
	}
	return y + 4
}

// dotRow draws a row and returns where the next begins.
func (s *Scene) dotRow(r DotRow, y, left, right, width float64, scale *axis) float64 {
	lines := Wrap(r.Label, Sans, CaptionSize, left-24)
	words := Wrap(r.Words, Sans, CaptionSize, right-10)
	height := max(20*float64(max(1, len(r.Values)))+10, float64(max(len(lines), len(words)))*CaptionSize*1.25+10)
	for side, text := range [][]string{lines, words} {
		base := y + height/2 - float64(len(text)-1)*CaptionSize*.625 + CaptionSize*.36
		for i, line := range text {
			t := Text{X: 12, Y: base + float64(i)*CaptionSize*1.25, Text: line, Size: CaptionSize}
			if side == 1 {
				t.X, t.Anchor = width, End
			}
			s.Write(t)
		}
	}
	if r.Even {
		s.Line(2, y, 2, y+height, Ink, 5)
	}
	s.Line(0, y+height, left, y+height, Rule, 1)
	for n, v := range r.Values {
		if !known(v.Value) {
			continue
		}
		at := y + height/2 + (float64(n)-float64(len(r.Values)-1)/2)*20
		if known(v.Low) && known(v.High) {
			s.whisker(scale, v, at, seriesTone(n))
		}
		s.marker(scale.at(v.Value), at, n)
	}
	return y + height
}

// whisker draws an interval, with an upright end where it does not leave the scale.
func (s *Scene) whisker(scale *axis, v Span, y float64, tone Tone) {
	s.Line(scale.at(v.Low), y, scale.at(v.High), y, tone, 3)
	for _, end := range []float64{v.Low, v.High} {
		if end >= scale.low && end <= scale.high {
			s.Line(scale.at(end), y-5, scale.at(end), y+5, tone, 2)
		}
	}
}
