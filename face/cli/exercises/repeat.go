package exercises

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
)

// printRepeated prints what a repeat found: each aim, the histogram, every two aims.
func printRepeated(w io.Writer, r *exercise.Repeated) {
	fmt.Fprintf(w, "\nRepeated over %s of incoming tiles, the same for every aim.\n", wording.Plural(r.Games, "fresh draw"))
	fmt.Fprintf(w, "Seed %d, %s, 95 %% intervals in brackets.\n\n", r.Seed, wording.Plural(r.Games, "game"))
	for _, a := range r.Aims {
		fmt.Fprintf(w, "%s\n", a.Aim)
		t := command.NewTable(21, 25)
		t.Row("  spare, nearest", wording.Mean(a.SpareBest), "clean "+wording.Share(a.CleanBest))
		t.Row("  spare, plan", wording.Mean(a.SparePlan), "clean "+wording.Share(a.CleanPlan))
		t.Row("  options", wording.Mean(a.Options), "away  "+wording.Mean(a.Away))
		t.Print(w)
	}
	fmt.Fprintf(w, "\nSpare tiles of the nearest hand at the end, share of games (clean is %d or fewer)\n", exercise.CleanSpares)
	printHistograms(w, r.Aims)
	if len(r.Pairs) > 0 {
		fmt.Fprintf(w, "\nDifferences on the same tiles, the second less the first\n")
	}
	for _, p := range r.Pairs {
		printPair(w, p)
	}
}

// cleanText is a difference of shares in percentage points.
func cleanText(i stat.Interval[unit.ChanceDifference]) string {
	return fmt.Sprintf("%s percentage points (%s to %s)", wording.Plus(100*i.Value, 1), wording.Plus(100*i.Low, 1), wording.Plus(100*i.High, 1))
}

func printPair(w io.Writer, p exercise.PairResult) {
	fmt.Fprintf(w, "%s less %s\n", p.Second, p.First)
	line := func(what, figure, shown string) {
		fmt.Fprintf(w, "  %-19s%s\n", what, command.Wrap(w, figure+shown, 21))
	}
	line("spare, nearest", wording.Signed(p.SpareBest), wording.Shown(p.SpareBest))
	line("clean, nearest", cleanText(p.CleanBest), wording.Shown(p.CleanBest))
	line("spare, plan", wording.Signed(p.SparePlan), wording.Shown(p.SparePlan))
	line("clean, plan", cleanText(p.CleanPlan), wording.Shown(p.CleanPlan))
	line("options", wording.Signed(p.Options), wording.Shown(p.Options))
	line("away", wording.Signed(p.Away), wording.Shown(p.Away))
}

// printHistograms draws the bars of as many aims beside each other as have room. All bars have one scale
// that starts at 0.
func printHistograms(w io.Writer, aims []exercise.AimResult) {
	for block := range slices.Chunk(aims, perBlock(w, routeWidth)) {
		width := (command.Columns(w) - 6) / len(block)
		var most float64
		values := 0
		for _, a := range block {
			values = max(values, len(a.Histogram))
			for _, n := range a.Histogram {
				most = max(most, float64(n)/float64(a.Histogram.Count()))
			}
		}
		line := "spare "
		for _, a := range block {
			line += fmt.Sprintf("%-*s", width, command.Clip(a.Aim, width-1))
		}
		fmt.Fprintln(w, strings.TrimRight(line, " "))
		for v := range values {
			line := fmt.Sprintf("%4d  ", v)
			for _, a := range block {
				var part float64
				if v < len(a.Histogram) {
					part = float64(a.Histogram[v]) / float64(a.Histogram.Count())
				}
				bar := strings.Repeat("#", int(part/most*float64(width-9)+0.5))
				line += fmt.Sprintf("%-*s", width, fmt.Sprintf("%5.1f%% %s", 100*part, bar))
			}
			fmt.Fprintln(w, strings.TrimRight(line, " "))
		}
	}
}
