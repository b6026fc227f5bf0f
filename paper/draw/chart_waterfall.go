package draw

import "math"

// Waterfall is a ledger lying down: from a start value by costs and swings to an end value, a row for
// each. Costs are solid, swings hatched, values rings.
type Waterfall struct {
	ChartFrame
	// Axis names the scale with its unit.
	Axis   string
	Events []WaterfallEvent
}

// EventKind says what a row of a Waterfall is.
type EventKind uint8

// The kinds of rows: a value reached, what a choice lost, and what chance brought.
const (
	ValueEvent EventKind = iota
	CostEvent
	SwingEvent
)

// WaterfallEvent is a row of a Waterfall.
type WaterfallEvent struct {
	Kind EventKind
	// Step and What say when and what in words; Words are the figures at the right, as in
	// "cost −0.4 (−0.7 to −0.1)".
	Step, What, Words string
	// Amount is the value itself at a ValueEvent, else the change: a cost has a negative one. An
	// amount of 0 draws no bar.
	Amount float64
}

// Scene draws the chart.
func (c Waterfall) Scene() *Scene {
	s, y := c.begin([]string{"cost: what a choice lost", "swing: what came, against what was to be expected", "value"}, func(s *Scene, x, y float64, n int) {
		switch n {
		case 0:
			s.eventBar(x+2, y, 32, CostEvent)
		case 1:
			s.eventBar(x+2, y, 32, SwingEvent)
		case 2:
			s.Line(x, y, x+22, y, Ink, 2)
			s.ring(x+26, y)
		}
	})
	low, high, now := math.Inf(1), math.Inf(-1), 0.
	var steps, whats, words []string
	for _, e := range c.Events {
		steps, whats, words = append(steps, e.Step), append(whats, e.What), append(words, e.Words)
		now = e.next(now)
		bounds(&low, &high, now)
	}
	narrow := s.Width < 620
	left := labelRoom(steps, s.Width, .2)
	middle := labelRoom(whats, s.Width, .26)
	right := labelRoom(words, s.Width, .26)
	from := left + middle
	if narrow {
		from, middle, right = 8, s.Width-left, labelRoom(words, s.Width, .4)
	}
	scale := newAxis(low, high, int((s.Width-from-right)/110)+1, from+10, s.Width-right-14)
	y = s.fallAxis(&c, &scale, y)
	now = math.NaN()
	for _, e := range c.Events {
		y = s.fallRow(&e, y, &scale, now, [3]float64{left, middle, right}, narrow)
		now = e.next(now)
	}
	return c.finish(s, y+4)
}

// next is the value after an event.
func (e *WaterfallEvent) next(now float64) float64 {
	if e.Kind == ValueEvent {
		return e.Amount
	}
	return now + e.Amount
}

// fallAxis draws the scale above the rows.
func (s *Scene) fallAxis(c *Waterfall, scale *axis, y float64) float64 {
	s.Write(Text{X: scale.from, Y: y + CaptionSize, Text: Clip(c.Axis, Sans, CaptionSize, s.Width-scale.from), Size: CaptionSize})
	for _, v := range scale.ticks {
		s.Write(Text{X: scale.at(v), Y: y + CaptionSize*2.4, Text: scale.label(v), Size: CaptionSize, Anchor: Middle, Tone: Ink2})
	}
	y += CaptionSize * 2.9
	s.Line(0, y, s.Width, y, Ink, 2)
	return y
}

// fallRow draws one event. now is the value before it, no number at the first. widths are those of the
// step, of what happened and of the figures; a narrow row has its bar below the words.
func (s *Scene) fallRow(e *WaterfallEvent, y float64, scale *axis, now float64, widths [3]float64, narrow bool) float64 {
	font := Sans
	if e.Kind == ValueEvent {
		font = Bold
	}
	if narrow {
		widths[1] -= widths[2]
	}
	lines := 1
	for i, text := range []string{e.Step, e.What, e.Words} {
		parts := Wrap(text, font, CaptionSize, widths[i]-12)
		lines = max(lines, len(parts))
		for j, part := range parts {
			t := Text{X: []float64{0, widths[0], s.Width}[i], Y: y + 23 + float64(j)*CaptionSize*1.25, Text: part, Font: font, Size: CaptionSize}
			if i == 2 {
				t.Anchor = End
			}
			s.Write(t)
		}
	}
	height := 36 + float64(lines-1)*CaptionSize*1.25
	at, top := y+height/2, y
	if narrow {
		at, height = y+height+8, height+28
		top = at - 14
	}
	after := e.next(now)
	switch {
	case e.Kind == ValueEvent:
		s.Line(scale.from, at, scale.at(after), at, Ink, 2)
		s.ring(scale.at(after), at)
	case e.Amount != 0 && known(after):
		s.eventBar(scale.at(now), at, scale.at(after)-scale.at(now), e.Kind)
		s.Line(scale.at(now), top+3, scale.at(now), at+11, Line, 1.5, 3, 3)
	case known(now):
		s.Line(scale.at(now), top, scale.at(now), y+height, Line, 1.5, 3, 3)
	}
	s.Line(0, y+height, s.Width, y+height, Rule, 1.5)
	if e.Kind == ValueEvent {
		s.Line(0, y+height, s.Width, y+height, Ink, 2)
	}
	return y + height
}

// eventBar draws the bar of a change from x over a width, which may go to the left.
func (s *Scene) eventBar(x, y, width float64, kind EventKind) {
	if width < 0 {
		x, width = x+width, -width
	}
	const half = 8
	outline := polygon(x, y-half, x+width, y-half, x+width, y+half, x, y+half)
	switch kind {
	case CostEvent:
		s.Draw(outline, Style{Fill: RouteB})
	case SwingEvent:
		s.Draw(outline, Style{Fill: Paper})
		s.hatch(x, y-half, width, 2*half, RouteA, 1)
		s.Draw(outline, Style{Stroke: RouteA, Width: 2})
	default:
		s.Draw(outline, Style{Fill: Paper, Stroke: Ink2, Width: 2, Dash: []float64{4, 3}})
	}
}

// ring is the sign of a value.
func (s *Scene) ring(x, y float64) {
	s.Draw(Circle(x, y, 7), Style{Fill: Paper, Stroke: Ink, Width: 4.5})
}
