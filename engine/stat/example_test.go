package stat_test

import (
	"encoding/json"
	"fmt"

	"secondpass/engine/stat"
)

// A share of games, counted once at the end.
func ExampleWilson() {
	clean := stat.Wilson(10, 100).Plain()
	fmt.Printf("%.3f (%.4f to %.4f)\n", clean.Value, clean.Low, clean.High)

	text, err := json.Marshal(stat.Wilson(0, 0))
	fmt.Println(string(text), err)
	// Output:
	// 0.100 (0.0552 to 0.1744)
	// {"value":0,"low":0,"high":1,"n":0} <nil>
}

// Two passes tried on the same 161 deals: 59 deals won with either, 6 with the
// first only, 16 with the second only, 80 with neither.
func ExamplePairedProportions() {
	diff := stat.PairedProportions(59, 6, 16, 80).Plain()
	fmt.Printf("%.4f (%.4f to %.4f), shown: %v\n", diff.Value, diff.Low, diff.High, !diff.Holds(0))
	// Output: -0.0621 (-0.1186 to -0.0046), shown: true
}

// Points of two routes on the same deals: the difference on each deal is one
// number. Workers gather their own part; the order of merging does not matter.
func ExampleMeanT() {
	var here, there stat.IntMoments[float64]
	here.Add(2)
	here.Add(4)
	there.Add(6)
	here.Merge(there)
	diff := stat.MeanT[float64](here)
	fmt.Printf("%g points a deal, %d deals, no difference shown: %v\n", diff.Value, diff.N, diff.Holds(0))
	// Output: 4 points a deal, 3 deals, no difference shown: true
}

// Spares at the end of a Charleston: at most 4 is clean.
func ExampleHistogram() {
	var spares stat.Histogram
	for _, s := range []int{3, 5, 4, 2, 6, 4} {
		spares.Add(s)
	}
	fmt.Println("median", spares.Median(), "nine in ten at most", spares.Percentile(90))
	fmt.Println("clean:", spares.AtMost(4), "of", spares.Count())
	// Output:
	// median 4 nine in ten at most 6
	// clean: 4 of 6
}

// A run that is watched and stopped at will needs the wider interval.
func ExampleBernoulliCS() {
	watched, fixed := stat.BernoulliCS(700, 1000, 100).Plain(), stat.Wilson(700, 1000).Plain()
	fmt.Printf("watched %.3f to %.3f, fixed %.3f to %.3f\n", watched.Low, watched.High, fixed.Low, fixed.High)
	// Output: watched 0.652 to 0.746, fixed 0.671 to 0.728
}

// A screen that shows a running mean says nothing until there is something to say.
func ExampleAsymptoticCS() {
	var diff stat.IntMoments[float64]
	for game := range 200 {
		if game%4 == 0 {
			diff.Add(5)
		} else {
			diff.Add(-1)
		}
		if n := game + 1; n == 50 || n == 200 {
			running := stat.AsymptoticCS[float64](diff, 1000)
			fmt.Printf("after %d: known %v, no difference shown %v\n", n, running.Bounded(), running.Holds(0))
		}
	}
	// Output:
	// after 50: known false, no difference shown true
	// after 200: known true, no difference shown true
}
