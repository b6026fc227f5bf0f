package findings

import (
	"fmt"
	"math"
	"strings"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/paper/draw"
	"secondpass/paper/wording"
	"secondpass/research/experiment"
)

// Plot is a chart of a result.
type Plot struct {
	// Key names it in addresses and files, Name for people.
	Key, Name string
	// Grid says that it needs its usual width, however narrow the place is.
	Grid bool
	// Draw lays it out in a width of units, 0 for the usual one.
	Draw func(width float64) *draw.Scene
}

// ExperimentPlots are the charts that a result has something for: of each measure the differences, then the ways and the measure by
// way. The keys of those of the second measure end in -2, and so on.
func ExperimentPlots(r *experiment.Result) []Plot {
	var plots []Plot
	for k, f := range r.Findings() {
		plots = append(plots, MeasurePlots(r, k, &f)...)
	}
	return plots
}

// MeasurePlots are those of one measure, by its number from 0 and what the result shows of it.
func MeasurePlots(r *experiment.Result, measure int, f *experiment.Findings) []Plot {
	key, name := "", ""
	if measure > 0 {
		key = fmt.Sprintf("-%d", measure+1)
	}
	if len(r.Of().Also) > 0 {
		name = ", " + f.Of.Measure.String()
	}
	plots := []Plot{
		{"differences" + key, "Differences" + name, false, func(w float64) *draw.Scene { return differences(r, f, w) }},
		{"ways" + key, "The ways" + name, false, func(w float64) *draw.Scene { return ways(r, f, w) }},
	}
	if drawnByValue(f) {
		plots = append(plots, Plot{"values" + key, "How often each value" + name, false, func(w float64) *draw.Scene { return values(r, f, w) }})
	}
	return plots
}

// SeriesPlot draws the differences in the first measure of several results, one of a series each or of several questions, on one scale. The
// measure and the claim have to be the same.
func SeriesPlot(results []*experiment.Result) (Plot, error) {
	first := results[0].Of()
	p := draw.DotPlot{
		ChartFrame: draw.ChartFrame{Title: "Difference in " + first.Measure.String()},
		Axis:       wording.ExperimentUnit(first.Measure), Zero: true,
		Mark: Effect(first), MarkWords: "smallest that matters: " + minus(first.ClaimText()),
	}
	deals, seeds := 0, map[uint64]bool{}
	for _, r := range results {
		f := r.Findings()[0]
		if f.Of.Measure != first.Measure || f.Of.Claim != first.Claim {
			return Plot{}, fmt.Errorf("%s measures %s, %s, and %s %s, %s; one picture is of one measure and claim", first.Title(), first.Measure, first.ClaimText(), f.Of.Title(), f.Of.Measure, f.Of.ClaimText())
		}
		deals, seeds[r.Settings.Seed] = deals+r.Deals, true
		for _, c := range f.Comparisons {
			where := f.Of.Cell
			if where == "" {
				where = f.Of.Name
			}
			if len(f.Comparisons) > 1 || len(results) > 1 && f.Of.Name != first.Name {
				where += ", " + c.Way + " less " + c.Against
			}
			p.Rows = append(p.Rows, draw.DotRow{
				Label:  where + ": " + c.Verdict.String(),
				Values: []draw.Span{span(c.Difference, unitScale(f.Of.Measure))},
				Words:  minus(wording.ExperimentDifference(f.Of.Measure, c.Difference)),
			})
		}
	}
	f := results[0].Findings()[0]
	p.Caption = fmt.Sprintf("%s: %s in all. 95 %% intervals, valid however often one looks", first.Name, wording.Plural(deals, "deal"))
	if first.Together > 1 {
		p.Caption += fmt.Sprintf(", for all %d comparisons together", f.Together)
	}
	if len(seeds) == 1 {
		p.Caption += fmt.Sprintf("; seed %d", results[0].Settings.Seed)
	}
	p.Caption += "."
	return Plot{Key: "series", Name: p.Title, Draw: func(width float64) *draw.Scene {
		p.Width = width
		return p.Scene()
	}}, nil
}

// FindPlot is the plot of a key, or nil.
func FindPlot(plots []Plot, key string) *Plot {
	for i := range plots {
		if plots[i].Key == key {
			return &plots[i]
		}
	}
	return nil
}

// Caption says what stands behind every figure of a result.
func Caption(r *experiment.Result) string {
	return fmt.Sprintf("%s of %d, card %s, seed %d. 95 %% intervals, valid however often one looks.",
		capital(wording.Plural(r.Deals, "deal")), r.Settings.Deals, r.Card.Name, r.Settings.Seed)
}

// unitScale turns the unit of a measure into that of its figures: shares are shown in per cent.
func unitScale(m experiment.Measure) float64 {
	if m.Share() {
		return 100
	}
	return 1
}

// span is an interval as a chart has it; ends that are not known are left out.
func span[U unit.Unit](i stat.Interval[U], scale float64) draw.Span {
	s := draw.Span{Value: scale * float64(i.Value), Low: scale * float64(i.Low), High: scale * float64(i.High)}
	if !i.Bounded() {
		s.Low, s.High = math.NaN(), math.NaN()
	}
	if i.N == 0 {
		s.Value = math.NaN()
	}
	return s
}

// Effect is the smallest effect that matters as a difference, with its sign, in the unit of the figures.
func Effect(s *experiment.Experiment) float64 {
	effect := float64(s.Claim.Effect) * unitScale(s.Measure)
	if s.Claim.Less {
		effect = -effect
	}
	return effect
}

// differences draws the comparisons on one scale, with zero and the smallest effect that matters.
func differences(r *experiment.Result, f *experiment.Findings, width float64) *draw.Scene {
	s := f.Of
	p := draw.DotPlot{
		ChartFrame: draw.ChartFrame{Title: "Difference in " + s.Measure.String(), Caption: Caption(r), Width: width},
		Axis:       wording.ExperimentUnit(s.Measure), Zero: true,
		Mark: Effect(s), MarkWords: "smallest that matters: " + minus(s.ClaimText()),
	}
	for _, c := range f.Comparisons {
		p.Rows = append(p.Rows, draw.DotRow{
			Label:  fmt.Sprintf("%s less %s: %s", c.Way, c.Against, c.Verdict),
			Values: []draw.Span{span(c.Difference, unitScale(s.Measure))},
			Words:  minus(wording.ExperimentDifference(s.Measure, c.Difference)),
		})
	}
	return p.Scene()
}

// ways draws the mean of each way, or of both sides of a split.
func ways(r *experiment.Result, f *experiment.Findings, width float64) *draw.Scene {
	s := f.Of
	unit := s.Measure.Unit()
	if s.Measure.Share() {
		unit = "% of " + map[bool]string{true: "Charlestons", false: "games"}[unit == "clean"]
	}
	p := draw.DotPlot{
		ChartFrame: draw.ChartFrame{Title: capital(s.Measure.String()) + ", each way for itself", Caption: Caption(r), Width: width},
		Axis:       unit,
	}
	row := func(label string, i stat.Interval[experiment.Amount]) {
		p.Rows = append(p.Rows, draw.DotRow{Label: label, Values: []draw.Span{span(i, unitScale(s.Measure))}, Words: minus(wording.ExperimentValue(s.Measure, i))})
	}
	for _, w := range f.Ways {
		row(w.Way, w.Value)
	}
	for _, c := range f.Comparisons {
		if c.Inside != nil {
			row(c.Way, *c.Inside)
			row(c.Against, *c.Outside)
		}
	}
	return p.Scene()
}

// mostSeries is how many ways stand side by side in a histogram.
const mostSeries = 4

// drawnByValue says whether the measure is a small number, and not just yes or no.
func drawnByValue(f *experiment.Findings) bool {
	if f.Of.Measure.Share() || len(f.Ways) > mostSeries {
		return false
	}
	for _, w := range f.Ways {
		if w.Histogram.Count() == 0 {
			return false
		}
	}
	return true
}

// values draws how often each way had each value, in per cent of its deals.
func values(r *experiment.Result, f *experiment.Findings, width float64) *draw.Scene {
	s := f.Of
	c := draw.HistogramChart{
		ChartFrame: draw.ChartFrame{Title: capital(s.Measure.String()) + ": how often each value", Width: width,
			Caption: fmt.Sprintf("%s, card %s, seed %d. Shares of the deals with a value; the intervals are those of the means.",
				capital(wording.Plural(r.Deals, "deal")), r.Card.Name, r.Settings.Seed)},
		Across: s.Measure.Unit(), Up: "% of deals", First: firstValue(f),
	}
	for _, w := range f.Ways {
		series := draw.HistogramSeries{Name: w.Way}
		for _, n := range w.Histogram[min(c.First, len(w.Histogram)):] {
			series.Values = append(series.Values, 100*float64(n)/float64(max(w.Value.N, 1)))
		}
		c.Series = append(c.Series, series)
	}
	return c.Scene()
}

// firstValue is the smallest value that any way has.
func firstValue(f *experiment.Findings) int {
	first := math.MaxInt
	for _, w := range f.Ways {
		for v, n := range w.Histogram {
			if n > 0 {
				first = min(first, v)
				break
			}
		}
	}
	return first
}

// capital writes a text's first letter large.
func capital(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

// minus writes the sign that belongs to figures.
func minus(text string) string { return strings.ReplaceAll(text, "-", "−") }
