package web

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"secondpass/engine/stat"
	"secondpass/paper/wording"
)

// figure is a number with its interval, in words and as a bar on a scale.
type figure struct {
	Class, Value, Range string
	Of                  string // the letter of the route it belongs to, where routes stand side by side
	Bar                 template.HTML
}

// scale is a stretch of a line with ticks on it.
type scale struct {
	low, high, step float64
	// factor turns the figure's unit into that of the scale: 100 for per cent.
	factor float64
}

// scaleOf is a scale that holds all the intervals with a little room, with three to six round steps.
func scaleOf(factor float64, intervals ...stat.Interval) scale {
	low, high := math.Inf(1), math.Inf(-1)
	for _, i := range intervals {
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
	return scale{low, high, step, factor}
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

// at is a place on the scale in per cent of its width.
func (s scale) at(x float64) float64 {
	return 100 * min(max((x*s.factor-s.low)/(s.high-s.low), 0), 1)
}

func (s scale) ticks() []float64 {
	var t []float64
	for i := 0; s.low+float64(i)*s.step <= s.high+s.step/1e6; i++ {
		t = append(t, s.low+float64(i)*s.step)
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

func (s scale) words() string {
	return fmt.Sprintf("scale %s to %s", number(s.low), number(s.high))
}

// bar draws an interval on the scale. The figures stand beside it in words, so it is hidden from those who hear.
func (s scale) bar(i stat.Interval) template.HTML {
	var b strings.Builder
	b.WriteString(`<svg class="iv" aria-hidden="true"><line class="ax" x1="0" x2="100%" y1="27" y2="27"/>`)
	for _, t := range s.ticks() {
		at := 100 * (t - s.low) / (s.high - s.low)
		fmt.Fprintf(&b, `<line class="tk" x1="%.2f%%" x2="%.2f%%" y1="24" y2="31"/>`, at, at)
	}
	if i.Bounded() {
		fmt.Fprintf(&b, `<line class="rng" x1="%.2f%%" x2="%.2f%%" y1="14" y2="14"/>`, s.at(i.Low), s.at(i.High))
	}
	fmt.Fprintf(&b, `<line class="val" x1="%.2f%%" x2="%.2f%%" y1="3" y2="25"/></svg>`, s.at(i.Value), s.at(i.Value))
	return template.HTML(b.String())
}

// axis is the numbers under which bars of one scale stand.
func (s scale) axis() template.HTML {
	var b strings.Builder
	b.WriteString(`<svg class="axis" aria-hidden="true">`)
	ticks := s.ticks()
	for i, t := range ticks {
		anchor := "middle"
		switch i {
		case 0:
			anchor = "start"
		case len(ticks) - 1:
			anchor = "end"
		}
		fmt.Fprintf(&b, `<text x="%.2f%%" y="16" text-anchor="%s">%s</text>`, 100*(t-s.low)/(s.high-s.low), anchor, number(t))
	}
	b.WriteString(`</svg>`)
	return template.HTML(b.String())
}

// percentFigures are shares in per cent on one scale.
func percentFigures(intervals []stat.Interval) ([]figure, string) {
	s := scaleOf(100, intervals...)
	out := make([]figure, len(intervals))
	for n, i := range intervals {
		out[n] = figure{Value: fmt.Sprintf("%.1f %%", 100*i.Value), Range: rangeText(100*i.Low, 100*i.High, i.Bounded()), Bar: s.bar(i)}
	}
	return out, s.words() + " %"
}

// pointFigures are means in points on one scale.
func pointFigures(intervals []stat.Interval) ([]figure, string) {
	s := scaleOf(1, intervals...)
	out := make([]figure, len(intervals))
	for n, i := range intervals {
		out[n] = figure{Value: minus(wording.Plus(i.Value, 1)), Range: rangeText(i.Low, i.High, i.Bounded()), Bar: s.bar(i)}
	}
	return out, s.words()
}

func rangeText(low, high float64, bounded bool) string {
	if !bounded {
		return "too few games"
	}
	return minus(fmt.Sprintf("%.1f to %.1f", low, high))
}

// minus writes the sign that belongs to figures.
func minus(text string) string { return strings.ReplaceAll(text, "-", "−") }

// chanceGap is a difference of chances in points of a hundred with its interval.
func chanceGap(i stat.Interval) string { return minus(wording.ChancePoints(i)) }

func pointGap(i stat.Interval) string { return minus(wording.Points(i)) }

// barWith is the bar of an interval with zero and another value marked.
func (s scale) barWith(i stat.Interval, zero, mark float64) template.HTML {
	lines := fmt.Sprintf(`<line class="zero" x1="%.2f%%" x2="%.2f%%" y1="0" y2="31"/><line class="effect" x1="%.2f%%" x2="%.2f%%" y1="0" y2="31"/></svg>`,
		s.at(zero), s.at(zero), s.at(mark), s.at(mark))
	return template.HTML(strings.TrimSuffix(string(s.bar(i)), "</svg>") + lines)
}
