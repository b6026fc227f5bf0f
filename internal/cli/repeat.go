package cli

import (
	"fmt"
	"io"
	"strings"

	"secondpass/exercise"
	"secondpass/internal/stat"
)

// printRepeated prints what a repeat found: each aim, the histogram, every two aims.
func printRepeated(w io.Writer, r *exercise.Repeated) {
	fmt.Fprintf(w, "\nRepeated over %s of incoming tiles, the same for every aim.\n", plural(r.Games, "fresh draw"))
	fmt.Fprintf(w, "Seed %d, %s, 95 %% intervals in brackets.\n\n", r.Seed, plural(r.Games, "game"))
	for _, a := range r.Aims {
		fmt.Fprintf(w, "%s\n", a.Aim)
		fmt.Fprintf(w, "  spare, best hand   %-24s clean %s\n", mean(a.SpareBest), share(a.CleanBest))
		fmt.Fprintf(w, "  spare, plan        %-24s clean %s\n", mean(a.SparePlan), share(a.CleanPlan))
		fmt.Fprintf(w, "  options            %-24s away  %s\n", mean(a.Options), mean(a.Away))
	}
	fmt.Fprintf(w, "\nSpare tiles of the best hand at the end, share of games (clean is %d or fewer)\n", exercise.CleanSpares)
	printHistograms(w, r.Aims)
	if len(r.Pairs) > 0 {
		fmt.Fprintf(w, "\nDifferences on the same tiles, the second less the first\n")
	}
	for _, p := range r.Pairs {
		printPair(w, p)
	}
}

// cleanText is a difference of shares in points of per cent.
func cleanText(i stat.Interval) string {
	return fmt.Sprintf("%s points (%s to %s)", plus(100*i.Value, 1), plus(100*i.Low, 1), plus(100*i.High, 1))
}

func printPair(w io.Writer, p exercise.PairResult) {
	fmt.Fprintf(w, "%s less %s\n", p.Second, p.First)
	line := func(what, figure string, i stat.Interval) {
		fmt.Fprintf(w, "  %-19s%s%s\n", what, figure, shown(i))
	}
	line("spare, best hand", signed(p.SpareBest), p.SpareBest)
	line("clean, best hand", cleanText(p.CleanBest), p.CleanBest)
	line("spare, plan", signed(p.SparePlan), p.SparePlan)
	line("clean, plan", cleanText(p.CleanPlan), p.CleanPlan)
	line("options", signed(p.Options), p.Options)
	line("away", signed(p.Away), p.Away)
}

// plus is a number with its sign, and never "-0.0".
func plus(x float64, digits int) string {
	text := fmt.Sprintf("%+.*f", digits, x)
	if strings.Trim(text, "-0.") == "" {
		return "+" + text[1:]
	}
	return text
}

func signed(i stat.Interval) string {
	if !i.Bounded() {
		return fmt.Sprintf("%+.2f (too few games)", i.Value)
	}
	return fmt.Sprintf("%s (%s to %s)", plus(i.Value, 2), plus(i.Low, 2), plus(i.High, 2))
}

// printHistograms draws the bars of up to three aims beside each other. All bars have one scale
// that starts at 0.
func printHistograms(w io.Writer, aims []exercise.AimResult) {
	for first := 0; first < len(aims); first += perBlock {
		block := aims[first:min(first+perBlock, len(aims))]
		width := (pageWidth - 6) / len(block)
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
			line += fmt.Sprintf("%-*s", width, clip(a.Aim, width-1))
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

func clip(text string, width int) string {
	if r := []rune(text); len(r) > width {
		return string(r[:width-1]) + "."
	}
	return text
}
