package draw

import (
	"math"
	"strconv"
)

// BarChart is horizontal bars that start at zero, with an interval at their end where there is one.
type BarChart struct {
	ChartFrame
	// Axis names the scale with its unit.
	Axis string
	Bars []Bar
	// Low and High bound the scale where they differ; else it goes from 0 and fits the figures.
	Low, High float64
}

// Bar is a bar of a BarChart. Low and High equal to Value draw no interval.
type Bar struct {
	Label string
	Span
	// Words stands at the right.
	Words string
}

// Len is how many bars there are.
func (c BarChart) Len() int { return len(c.Bars) }

// Part is the bars from..to on the scale of all.
func (c BarChart) Part(from, to int) BarChart {
	c.Low, c.High = c.ends()
	c.Bars = c.Bars[from:to]
	return c
}

// ends are those of the scale.
func (c *BarChart) ends() (low, high float64) {
	if c.Low < c.High {
		return c.Low, c.High
	}
	for _, b := range c.Bars {
		bounds(&low, &high, b.Value, b.Low, b.High)
	}
	return low, high
}

// Scene draws the chart.
func (c BarChart) Scene() *Scene {
	s, y := c.begin(nil, nil)
	low, high := c.ends()
	var labels, words []string
	for _, b := range c.Bars {
		labels, words = append(labels, b.Label), append(words, b.Words)
	}
	left, right := labelRoom(labels, s.Width, .36), labelRoom(words, s.Width, .3)
	scale := newAxis(low, high, int((s.Width-left-right)/110)+1, left, s.Width-right-12)
	top := y
	var rows Scene
	for _, b := range c.Bars {
		const height = 30.
		rows.Write(Text{X: left - 10, Y: y + 20, Text: Clip(b.Label, Sans, CaptionSize, left-10), Size: CaptionSize, Anchor: End})
		rows.Write(Text{X: s.Width, Y: y + 20, Text: Clip(b.Words, Sans, CaptionSize, right-6), Size: CaptionSize, Anchor: End})
		if known(b.Value) {
			rows.block(scale.at(0), y+6, scale.at(b.Value)-scale.at(0), height-12, 0)
			if known(b.Low) && known(b.High) && b.Low < b.High {
				rows.Line(scale.at(b.Low), y+height/2, scale.at(b.High), y+height/2, Paper, 6)
				rows.whisker(&scale, b.Span, y+height/2, Ink)
			}
		}
		y += height
	}
	bottom := s.acrossAxis(&scale, y+4, top, c.Axis)
	s.Place(&rows, 0, 0, 1)
	s.Line(scale.at(0), top, scale.at(0), y+4, Ink, 2)
	return c.finish(s, bottom)
}

// HistogramChart is how often each whole number was seen, for one series or several side by side.
type HistogramChart struct {
	ChartFrame
	// Across and Up name the axes with their units.
	Across, Up string
	// First is the number that element 0 of a series counts.
	First  int
	Series []HistogramSeries
}

// HistogramSeries is one series of a HistogramChart: counts or shares, as the axis says.
type HistogramSeries struct {
	Name   string
	Values []float64
}

// Scene draws the chart.
func (c HistogramChart) Scene() *Scene {
	var names []string
	bins, high := 1, 0.
	low := 0.
	for _, series := range c.Series {
		names = append(names, series.Name)
		bins = max(bins, len(series.Values))
		bounds(&low, &high, series.Values...)
	}
	s, y := c.begin(names, func(s *Scene, x, y float64, n int) { s.block(x+4, y-8, 28, 16, n) })
	const height = 260.
	up := newAxis(0, high, 5, 0, 0)
	s.Write(Text{Y: y + CaptionSize, Text: Clip(c.Up, Sans, CaptionSize, s.Width), Size: CaptionSize})
	y += 34
	up.from, up.to = y+height, y
	left := upRoom(&up)
	s.upAxis(&up, left, s.Width)
	slot := (s.Width - left) / float64(bins)
	wide := min(slot*.84/float64(max(1, len(c.Series))), 60)
	every := 1
	for float64(every)*slot < 30 {
		every++
	}
	for bin := range bins {
		middle := left + (float64(bin)+.5)*slot
		for n, series := range c.Series {
			if bin < len(series.Values) && known(series.Values[bin]) && series.Values[bin] > 0 {
				x := middle + (float64(n)-float64(len(c.Series))/2)*wide
				s.block(x+1, up.at(series.Values[bin]), wide-2, up.at(0)-up.at(series.Values[bin]), n)
			}
		}
		if bin%every == 0 {
			s.Write(Text{X: middle, Y: y + height + 22, Text: strconv.Itoa(c.First + bin), Size: CaptionSize, Anchor: Middle, Tone: Ink2})
		}
	}
	s.Line(left, y+height, s.Width, y+height, Ink, 2)
	return c.finish(s, s.axisName(&axis{from: left, to: s.Width}, y+height+28, c.Across))
}

// LineChart is one or more lines with bands for their intervals.
type LineChart struct {
	ChartFrame
	// Across and Up name the axes with their units.
	Across, Up string
	Series     []LineSeries
	// Zero takes 0 into the upright axis and draws a line there.
	Zero bool
}

// LineSeries is one line of a LineChart, its points from left to right.
type LineSeries struct {
	Name   string
	Points []LinePoint
}

// LinePoint is a point of a line with its interval.
type LinePoint struct {
	X float64
	Span
}

// Scene draws the chart.
func (c LineChart) Scene() *Scene {
	var names []string
	x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, series := range c.Series {
		names = append(names, series.Name)
		for _, p := range series.Points {
			bounds(&x0, &x1, p.X)
			bounds(&y0, &y1, p.Value, p.Low, p.High)
		}
	}
	if c.Zero {
		bounds(&y0, &y1, 0)
	}
	s, y := c.begin(names, func(s *Scene, x, y float64, n int) {
		s.Draw(Polyline(x+2, y, x+34, y), seriesLine(n, 3))
		s.marker(x+18, y, n)
	})
	const height = 280.
	s.Write(Text{Y: y + CaptionSize, Text: Clip(c.Up, Sans, CaptionSize, s.Width), Size: CaptionSize})
	y += 34
	up := newAxis(y0, y1, 5, y+height, y)
	left := upRoom(&up)
	s.upAxis(&up, left, s.Width)
	across := newAxis(x0, x1, int((s.Width-left)/110)+1, left, s.Width-20)
	for n, series := range c.Series {
		s.band(series.Points, &across, &up, n)
	}
	for n, series := range c.Series {
		s.curve(series.Points, &across, &up, n)
	}
	if c.Zero {
		s.Line(left, up.at(0), s.Width, up.at(0), Ink, 2)
	}
	bottom := s.acrossAxis(&across, y+height, y+height, c.Across)
	return c.finish(s, bottom)
}

// drawable is the points that are numbers.
func drawable(points []LinePoint) []LinePoint {
	var out []LinePoint
	for _, p := range points {
		if known(p.X) && known(p.Value) {
			out = append(out, p)
		}
	}
	return out
}

// band draws the intervals of a line as a pale ground within thin edges.
func (s *Scene) band(points []LinePoint, across, up *axis, n int) {
	var high, low []float64
	for _, p := range drawable(points) {
		if known(p.Low) && known(p.High) {
			high = append(high, across.at(p.X), up.at(p.High))
			low = append(low, across.at(p.X), up.at(p.Low))
		}
	}
	if len(high) < 4 {
		return
	}
	outline := Polyline(high...)
	for i := len(low) - 2; i >= 0; i -= 2 {
		outline.LineTo(low[i], low[i+1])
	}
	outline.ClosePath()
	s.Draw(outline, Style{Fill: seriesTone(n), Fade: .86})
	for _, edge := range [][]float64{high, low} {
		s.Draw(Polyline(edge...), seriesLine(n, 1))
	}
}

// curve draws a line with its markers.
func (s *Scene) curve(points []LinePoint, across, up *axis, n int) {
	var line []float64
	points = drawable(points)
	for _, p := range points {
		line = append(line, across.at(p.X), up.at(p.Value))
	}
	s.Draw(Polyline(line...), seriesLine(n, 3))
	if len(points) > 30 {
		return
	}
	for _, p := range points {
		s.marker(across.at(p.X), up.at(p.Value), n)
	}
}
