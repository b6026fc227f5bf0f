package experiment_test

import (
	"flag"
	"testing"

	"secondpass/engine/player"
	"secondpass/internal/goodness"
	"secondpass/internal/oracle"
	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

var theoryDeals = flag.Int("theory", 1500, "deals against the exact chances")

// oneHand is a card of a single hand without alternatives.
const oneHand = "card One\nsection Evens\n25 exposed FFF 22b 444c 66d 8888b\n"

// Jokers, flowers, white dragons, pairs and tiles away in random deals have the exact chances that R works out from the
// hypergeometric distribution (dhyper, choose; testdata/deals.R). The chi-square tests use fixed seeds: each fails by chance
// for one seed in 10,000.
func TestDealsAgainstTheory(t *testing.T) {
	expected := map[string][]float64{}
	for _, row := range oracle.R(t, "testdata/deals.R") {
		expected[row.Name] = append(expected[row.Name], row.Out[0])
	}
	if len(expected) != 5 {
		t.Fatalf("the script tells of %d measures", len(expected))
	}
	for measure, chances := range expected {
		s := read(t, "experiment Theory\nseat N\nothers random\nmeasure "+measure+"\nclaim more by 1\nway \"a\" random+stop=always ; courtesy off\nway \"b\" random+stop=always ; courtesy off\n")
		c, _, err := card.Read("one.card", []byte(oneHand), tile.Usual)
		if err != nil {
			t.Fatal(err)
		}
		tuning, _ := player.TuningFor(c)
		r, err := experiment.Start(s, c, tuning, 7, *theoryDeals, "test")
		if err != nil {
			t.Fatal(err)
		}
		if err := r.Run(t.Context(), nil); err != nil {
			t.Fatal(err)
		}
		histogram := r.Findings()[0].Ways[0].Histogram
		observed, wanted := make([]int, len(chances)), make([]float64, len(chances))
		for v := range chances {
			if v < len(histogram) {
				observed[v] = int(histogram[v])
			}
			wanted[v] = chances[v] * float64(*theoryDeals)
		}
		test, err := goodness.ChiSquareTest(observed, wanted)
		if err != nil || test.P < 1e-4 {
			t.Errorf("%s: %v against %.1f: %+v, %v", measure, observed, wanted, test, err)
		}
		t.Logf("%s: chi-square %.1f, %d degrees of freedom, p %.3f", measure, test.Stat, test.DF, test.P)
	}
}
