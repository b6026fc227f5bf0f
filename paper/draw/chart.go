package draw

import (
	"math"
	"strconv"
	"strings"
)

// Span is a figure with its interval.
type Span struct{ Value, Low, High float64 }

// ChartFrame is what every chart has: a title, a caption that says how many games, which interval and
// which seed, and a width in units (0 for 860), to which labels and axis adapt.
type ChartFrame struct {
	Title, Caption string
	Width          float64
}

const (
	usualChartWidth = 860
	leastChartWidth = 320
)

func (f *ChartFrame) width() float64 {
	if f.Width == 0 {
		return usualChartWidth
	}
	return max(f.Width, leastChartWidth)
}

// begin starts a chart with its title and, where there are several series, their key. It returns where
// the chart goes on.
func (f *ChartFrame) begin(series []string, sample func(s *Scene, x, y float64, n int)) (*Scene, float64) {
	s := &Scene{Width: f.width(), Title: strings.TrimSpace(f.Title + ". " + f.Caption), Background: Paper}
	y := s.Paragraph(0, 0, s.Width, f.Title, Serif, HeadSize, Ink) + 6
	if len(series) > 1 {
		y = s.key(y, series, sample)
	}
	return s, y
}

// key writes the names of series, each behind a sample of how it is drawn.
func (s *Scene) key(y float64, series []string, sample func(s *Scene, x, y float64, n int)) float64 {
	x := 0.
	for n, name := range series {
		name = Clip(name, Sans, CaptionSize, s.Width-44)
		width := 42 + Measure(name, Sans, CaptionSize) + 26
		if x > 0 && x+width-26 > s.Width {
			x, y = 0, y+26
		}
		sample(s, x, y+12, n)
		s.Write(Text{X: x + 42, Y: y + 18, Text: name, Size: CaptionSize})
		x += width
	}
	return y + 34
}

// finish writes the caption below the chart.
func (f *ChartFrame) finish(s *Scene, y float64) *Scene {
	s.Height = s.Paragraph(0, y+6, s.Width, f.Caption, Sans, CaptionSize, Ink2) + 2
	return s
}

// axis is a scale from one place to another.
type axis struct {
	low, high  float64
	from, to   float64
	ticks      []float64
	tickDigits int
}

// newAxis is an axis over values that are finite, with about n ticks at round numbers.
func newAxis(low, high float64, n int, from, to float64) axis {
	if !(low < high) || math.IsInf(low, 0) || math.IsInf(high, 0) {
		if math.IsInf(low, 0) || math.IsNaN(low) {
			low = 0
		}
		low, high = low-.5, low+.5
	}
	step := roundStep((high - low) / float64(max(n, 1)))
	a := axis{from: from, to: to, tickDigits: max(0, int(math.Ceil(-math.Log10(step)-1e-9)))}
	first, last := math.Floor(low/step+1e-9), math.Ceil(high/step-1e-9)
	for i := first; i <= last; i++ {
		a.ticks = append(a.ticks, i*step)
	}
	a.low, a.high = first*step, last*step
	return a
}

// roundStep is the least of 1, 2, 5 times a power of ten that is no less than x.
func roundStep(x float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(x)))
	for _, factor := range []float64{1, 2, 5} {
		if factor*power >= x*(1-1e-9) {
			return factor * power
		}
	}
	return 10 * power
}

// at is the place of a value, held within the axis.
func (a *axis) at(v float64) float64 {
	share := (v - a.low) / (a.high - a.low)
	return a.from + (a.to-a.from)*min(1, max(0, share))
}

// label writes a value with the digits of the ticks.
func (a *axis) label(v float64) string { return figure(v, a.tickDigits) }

// figure writes a number with a true minus sign, and never "−0".
func figure(v float64, digits int) string {
	text := strconv.FormatFloat(v, 'f', digits, 64)
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	return strings.Replace(text, "-", "−", 1)
}

// bounds widens low and high to take in a value that is finite.
func bounds(low, high *float64, values ...float64) {
	for _, v := range values {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			*low, *high = min(*low, v), max(*high, v)
		}
	}
}

// known says whether a value is there to be drawn.
func known(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// acrossAxis draws a horizontal axis at y with its ticks and name; lines go up to top.
func (s *Scene) acrossAxis(a *axis, y, top float64, name string) float64 {
	for _, v := range a.ticks {
		s.Line(a.at(v), top, a.at(v), y, Rule, 1)
		s.Line(a.at(v), y, a.at(v), y+6, Line, 1.5)
		s.Write(Text{X: a.at(v), Y: y + 24, Text: a.label(v), Size: CaptionSize, Anchor: Middle, Tone: Ink2})
	}
	s.Line(a.from, y, a.to, y, Line, 1.5)
	return s.axisName(a, y+28, name)
}

// axisName writes the name below a horizontal axis.
func (s *Scene) axisName(a *axis, y float64, name string) float64 {
	lines := Wrap(name, Sans, CaptionSize, s.Width)
	for _, line := range lines {
		half := Measure(line, Sans, CaptionSize) / 2
		x := min(max((a.from+a.to)/2, half), s.Width-half)
		s.Write(Text{X: x, Y: y + CaptionSize, Text: line, Size: CaptionSize, Anchor: Middle})
		y += CaptionSize * LineHeight
	}
	return y + 6
}

// upAxis draws a vertical axis at x, its name above it.
func (s *Scene) upAxis(a *axis, x, right float64) {
	for _, v := range a.ticks {
		s.Line(x, a.at(v), right, a.at(v), Rule, 1)
		s.Write(Text{X: x - 8, Y: a.at(v) + CaptionSize*.36, Text: a.label(v), Size: CaptionSize, Anchor: End, Tone: Ink2})
	}
	s.Line(x, a.from, x, a.to, Line, 1.5)
}

// upRoom is the room that the labels of a vertical axis take.
func upRoom(a *axis) float64 {
	room := 0.
	for _, v := range a.ticks {
		room = max(room, Measure(a.label(v), Sans, CaptionSize))
	}
	return room + 12
}

// labelRoom is the room for labels left of a chart: as wide as the widest, up to a share of the width.
func labelRoom(labels []string, width, share float64) float64 {
	room := 0.
	for _, l := range labels {
		room = max(room, Measure(l, Sans, CaptionSize))
	}
	return min(room+14, width*share)
}

// seriesTones and the marker shapes tell series apart, each for itself enough.
var seriesTones = []Tone{RouteA, RouteB, RouteC, Ink}

// seriesTone is the colour of a series.
func seriesTone(n int) Tone { return seriesTones[n%len(seriesTones)] }

// marker draws the sign of a series: a disc, an open square, a triangle, an open diamond.
func (s *Scene) marker(x, y float64, n int) {
	tone := seriesTone(n)
	full, open := Style{Fill: tone, Stroke: Paper, Width: 1.5}, Style{Fill: Paper, Stroke: tone, Width: 2.6}
	switch n % 4 {
	case 0:
		s.Draw(Circle(x, y, 6.5), full)
	case 1:
		s.Draw(polygon(x-5, y-5, x+5, y-5, x+5, y+5, x-5, y+5), open)
	case 2:
		s.Draw(polygon(x, y-7.5, x+7, y+5.5, x-7, y+5.5), full)
	case 3:
		s.Draw(polygon(x, y-7, x+7, y, x, y+7, x-7, y), open)
	}
}

// seriesLine is how the line of a series is drawn: solid, dashed, dotted, dash and dot.
func seriesLine(n int, width float64) Style {
	style := Style{Stroke: seriesTone(n), Width: width}
	switch n % 4 {
	case 1:
		style.Dash = []float64{9, 6}
	case 2:
		style.Dash, style.Round = []float64{.1, 6}, true
	case 3:
		style.Dash = []float64{12, 5, 2, 5}
	}
	return style
}

// block draws a bar of a series: full, hatched one way, hollow, hatched the other way.
func (s *Scene) block(x, y, w, h float64, n int) {
	if w < 0 {
		x, w = x+w, -w
	}
	if h < 0 {
		y, h = y+h, -h
	}
	tone := seriesTone(n)
	outline := polygon(x, y, x+w, y, x+w, y+h, x, y+h)
	if n%4 == 0 {
		s.Draw(outline, Style{Fill: tone, Stroke: tone, Width: 1})
		return
	}
	s.Draw(outline, Style{Fill: Paper})
	switch n % 4 {
	case 1:
		s.hatch(x, y, w, h, tone, 1)
	case 3:
		s.hatch(x, y, w, h, tone, -1)
	}
	s.Draw(outline, Style{Stroke: tone, Width: 2})
}

// hatch fills a rectangle with slanting lines, 6 apart; lean 1 rises to the right, -1 falls.
func (s *Scene) hatch(x, y, w, h float64, tone Tone, lean float64) {
	const apart = 8.5
	var p Path
	for c := apart / 2; c < w+h; c += apart {
		// The line runs where (right from the left edge) + (down from the top) = c.
		x1, y1 := min(c, w), max(0, c-w)
		x2, y2 := max(0, c-h), min(c, h)
		if lean < 0 {
			x1, x2 = w-x1, w-x2
		}
		p.MoveTo(x+x1, y+y1)
		p.LineTo(x+x2, y+y2)
	}
	s.Draw(p, Style{Stroke: tone, Width: 2})
}
