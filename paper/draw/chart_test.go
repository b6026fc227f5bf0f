package draw

import (
	"fmt"
	"math"
	"testing"

	"secondpass/internal/picture"
)

const sampleCaption = "10,000 games each, paired, seed 4711. Bars are 95 % intervals. Sample figures."

// charts is one of every chart, with figures made up for the picture.
func charts(width float64) map[string]*Scene {
	frame := func(title string) ChartFrame { return ChartFrame{Title: title, Caption: sampleCaption, Width: width} }
	out := map[string]*Scene{}
	dots := DotPlot{ChartFrame: frame("Chance to win after each pass"), Axis: "Chance to win in %"}
	for i, label := range []string{"2b 5c 9d", "8b 5c 9d", "2b 8b 9d", "5c 6d 9d", "9d FF"} {
		v := 26.2 - float64(i*i)*.4
		dots.Rows = append(dots.Rows, DotRow{Label: label, Values: []Span{{v, v - 1, v + .9}}, Words: fmt.Sprintf("%.1f (%.1f to %.1f)", v, v-1, v+.9), Even: i < 3})
	}
	out["dots"] = dots.Scene()
	gaps := DotPlot{ChartFrame: frame("Keeping flowers less not keeping them, by card section"), Axis: "Difference in percentage points", Series: []string{"strong players", "greedy players", "nearest players"}, Zero: true}
	for i, label := range []string{"Evens", "Odds", "Runs", "Winds and dragons, a long label that has to wrap"} {
		v := float64(i) - 1.2
		gaps.Rows = append(gaps.Rows, DotRow{Label: label, Values: []Span{{v, v - .8, v + .8}, {v / 2, v/2 - .4, v/2 + .5}, {math.NaN(), 0, 0}}, Words: "no difference shown"})
		if i > 1 {
			gaps.Rows[i].Values[2] = Span{-.5, -1, 0}
		}
	}
	out["gaps"] = gaps.Scene()
	bars := BarChart{ChartFrame: frame("How often each hand is won with"), Axis: "Share of wins in %"}
	for i, label := range []string{"Evens 1", "Runs 3", "Winds 2", "Singles and pairs 1"} {
		v := 12 - float64(i)*3.3
		bars.Bars = append(bars.Bars, Bar{Label: label, Span: Span{v, v - .9, v + 1}, Words: fmt.Sprintf("%.1f %%", v)})
	}
	out["bars"] = bars.Scene()
	out["histogram"] = HistogramChart{ChartFrame: frame("Spare tiles at the end"), Across: "Spare tiles of the nearest hand", Up: "Share of games in %",
		Series: []HistogramSeries{{"Evens", []float64{1, 4, 12, 22, 28, 20, 9, 4}}, {"Runs", []float64{2, 7, 18, 25, 23, 15, 7, 3}}, {"free", []float64{4, 10, 22, 26, 20, 11, 5, 2}}, {"fourth", []float64{4, 10, 22, 26, 20, 11, 5, 2}}}}.Scene()
	line := LineChart{ChartFrame: frame("Tiles away by step"), Across: "Step of the Charleston", Up: "Mean tiles away", Zero: true}
	for n, name := range []string{"strong", "greedy", "nearest"} {
		series := LineSeries{Name: name}
		for i := range 8 {
			v := 7 - float64(i)*.5/(1+float64(n)*.3)
			series.Points = append(series.Points, LinePoint{float64(i), Span{v, v - .25, v + .25}})
		}
		line.Series = append(line.Series, series)
	}
	out["line"] = line.Scene()
	heat := HeatGrid{ChartFrame: frame("How often each kind is passed"), Across: "Step", Down: "Kind", Unit: "per cent of racks that hold it", Digits: 1}
	heat.Columns = []string{"first right", "first across", "first left", "second left", "second across", "last right", "courtesy"}
	for i, kind := range []string{"1b", "4c", "9d", "N", "R", "0", "F"} {
		heat.Rows = append(heat.Rows, kind)
		var row []float64
		for j := range heat.Columns {
			row = append(row, float64((i*7+j*5)%40)*1.3)
		}
		row[i%7] = math.NaN()
		heat.Values = append(heat.Values, row)
	}
	out["heat"] = heat.Scene()
	out["waterfall"] = Waterfall{ChartFrame: frame("Review of route A"), Axis: "Chance to win in %", Events: []WaterfallEvent{
		{Kind: ValueEvent, Step: "Start", What: "the deal", Words: "22.4 %", Amount: 22.4},
		{Kind: CostEvent, Step: "1 First right", What: "passed 9c 1d W", Words: "cost −0.4 (−0.7 to −0.1)", Amount: -.4},
		{Kind: SwingEvent, What: "came 7b 4c 6d", Words: "swing +5.6", Amount: 5.6},
		{Kind: CostEvent, Step: "2 First across", What: "passed 3b 7b 5d", Words: "no cost shown"},
		{Kind: SwingEvent, What: "came 2b 5c 9d", Words: "swing −1.4", Amount: -1.4},
		{Kind: ValueEvent, Step: "End", What: "the rack after all passes", Words: "26.2 %", Amount: 26.2},
	}}.Scene()
	return out
}

func TestCharts(t *testing.T) {
	picture.Looking(t)
	for name, s := range charts(0) {
		keepPNG(t, name+".png", s, &Light, int(s.Width))
		keepPNG(t, name+"-print.png", s, &Print, int(s.Width))
	}
	for name, s := range charts(360) {
		keepPNG(t, name+"-narrow.png", s, &Light, int(s.Width))
	}
}

// keepPNG renders a scene for looking at.
func keepPNG(t *testing.T, name string, s *Scene, theme *Theme, width int) {
	t.Helper()
	data, err := s.PNG(theme, width)
	if err != nil {
		t.Fatal(err)
	}
	picture.Keep(t, name, data)
}
