package view

import (
	"fmt"
	"html/template"
	"math"
	"regexp"
	"strconv"
	"strings"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/paper/wording"
)

// Figure is a number with its interval, in words and as a bar on a scale.
type Figure struct {
	Class, Value, Range string
	Of                  string // the letter of the route it belongs to, where routes stand side by side
	Bar                 template.HTML
}

// Scale is a stretch of a line with ticks on it, for numbers of one unit.
type Scale[U unit.Unit] struct {
	Low, High, Step float64
	// Factor turns the figure's unit into that of the scale: 100 for per cent.
	Factor float64
}

// ScaleOf is a scale that holds all the intervals with a little room, with three to six round steps.
func ScaleOf[U unit.Unit](factor float64, intervals ...stat.Interval[U]) Scale[U] {
	low, high := math.Inf(1), math.Inf(-1)
	for _, one := range intervals {
		i := one.Plain()
		l, h := i.Low, i.High
		if !i.Bounded() {
			l, h = i.Value, i.Value
		}
		low, high = min(low, l*factor), max(high, h*factor)
	}
	if math.IsInf(low, 0) {
		low, high = 0, 1
	}
	step := roundStep((high - low) / 4)
	low, high = math.Floor(low/step)*step, math.Ceil(high/step)*step
	if low == high {
		low, high = low-step, high+step
	}
	return Scale[U]{low, high, step, factor}
}

// roundStep is the smallest of 1, 2, 5, 10 and so on, times a power of ten, that is no less than x.
func roundStep(x float64) float64 {
	if x <= 0 {
		return 1
	}
	power := math.Pow(10, math.Floor(math.Log10(x)))
	for _, m := range []float64{1, 2, 5} {
		if m*power >= x*(1-1e-9) {
			return m * power
		}
	}
	return 10 * power
}

// At is a place on the scale in per cent of its width.
func (s Scale[U]) At(x U) float64 {
	return 100 * min(max((float64(x)*s.Factor-s.Low)/(s.High-s.Low), 0), 1)
}

func (s Scale[U]) ticks() []float64 {
	var t []float64
	for i := 0; s.Low+float64(i)*s.Step <= s.High+s.Step/1e6; i++ {
		t = append(t, s.Low+float64(i)*s.Step)
	}
	return t
}

// number is a tick without needless digits.
func number(x float64) string {
	text := fmt.Sprintf("%.2f", x)
	text = strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
	if text == "-0" {
		return "0"
	}
	return strings.Replace(text, "-", "−", 1)
}

func (s Scale[U]) Words() string {
	return fmt.Sprintf("scale %s to %s", number(s.Low), number(s.High))
}

// barView is a bar as its template draws it; places are in per cent of the width.
type barView struct {
	Ticks            []string
	Bounded          bool
	Low, High, Value string
	Marks            []markView
}

// markView is a value that a bar is compared with.
type markView struct{ Class, At string }

// place is a place in per cent of the width, as SVG takes it.
func place(percent float64) string { return fmt.Sprintf("%.2f%%", percent) }

// Bar draws an interval on the scale. The figures stand beside it in words, so it is hidden from those who hear.
func (s Scale[U]) Bar(i stat.Interval[U]) template.HTML { return fill("bar", s.bar(i)) }

// BarWith is the bar of an interval with zero and another value marked.
func (s Scale[U]) BarWith(i stat.Interval[U], zero, mark U) template.HTML {
	b := s.bar(i)
	b.Marks = []markView{{"zero", place(s.At(zero))}, {"effect", place(s.At(mark))}}
	return fill("bar", b)
}

func (s Scale[U]) bar(i stat.Interval[U]) barView {
	b := barView{Bounded: i.Bounded(), Value: place(s.At(i.Value))}
	for _, t := range s.ticks() {
		b.Ticks = append(b.Ticks, place(s.share(t)))
	}
	if b.Bounded {
		b.Low, b.High = place(s.At(i.Low)), place(s.At(i.High))
	}
	return b
}

// share is where a tick stands in per cent of the width.
func (s Scale[U]) share(tick float64) float64 { return 100 * (tick - s.Low) / (s.High - s.Low) }

// axisTick is a number under a bar.
type axisTick struct{ At, Anchor, Number string }

// Axis is the numbers under which bars of one scale stand.
func (s Scale[U]) Axis() template.HTML {
	ticks := s.ticks()
	out := make([]axisTick, len(ticks))
	for i, t := range ticks {
		out[i] = axisTick{place(s.share(t)), "middle", number(t)}
	}
	if n := len(out); n > 0 {
		out[n-1].Anchor = "end"
		out[0].Anchor = "start"
	}
	return fill("axis", out)
}

// PercentFigures are shares in per cent on one scale.
func PercentFigures(intervals []stat.Interval[unit.Chance]) ([]Figure, string) {
	s := ScaleOf(100, intervals...)
	out := make([]Figure, len(intervals))
	for n, i := range intervals {
		out[n] = Figure{Value: fmt.Sprintf("%.1f %%", 100*i.Value), Range: RangeText(100*i.Low, 100*i.High, i.Bounded()), Bar: s.Bar(i)}
	}
	return out, s.Words() + " %"
}

// PointFigures are means in points on one scale.
func PointFigures(intervals []stat.Interval[unit.NetPoints]) ([]Figure, string) {
	s := ScaleOf(1, intervals...)
	out := make([]Figure, len(intervals))
	for n, i := range intervals {
		out[n] = Figure{Value: Minus(wording.Plus(i.Value, 1)), Range: RangeText(i.Low, i.High, i.Bounded()), Bar: s.Bar(i)}
	}
	return out, s.Words()
}

// RangeText is an interval to one digit, or that there are too few games for one.
func RangeText[U unit.Unit](low, high U, bounded bool) string {
	if !bounded {
		return "too few games"
	}
	return Minus(fmt.Sprintf("%.1f to %.1f", low, high))
}

var hyphened = regexp.MustCompile(`(^|[\s(])-(\d)`)

// Minus writes the sign that belongs to figures below zero.
func Minus(text string) string { return hyphened.ReplaceAllString(text, "${1}−$2") }

// ChanceGap is a difference of chances in percentage points with its interval.
func ChanceGap(i stat.Interval[unit.ChanceDifference]) string { return Minus(wording.ChancePoints(i)) }

// PointGap is a difference of points with its interval.
func PointGap(i stat.Interval[unit.NetPoints]) string { return Minus(wording.Points(i)) }

// On is an interval as a figure on the scale, to so many digits; nothing counted is nothing shown.
func (s Scale[U]) On(i stat.Interval[U], digits int, sign string) Figure {
	if i.N == 0 {
		return Figure{}
	}
	f := Figure{Value: Minus(strconv.FormatFloat(s.Factor*float64(i.Value), 'f', digits, 64)) + sign, Bar: s.Bar(i), Range: "too few"}
	if i.Bounded() {
		f.Range = Minus(fmt.Sprintf("%.*f to %.*f", digits, s.Factor*float64(i.Low), digits, s.Factor*float64(i.High)))
	}
	return f
}
