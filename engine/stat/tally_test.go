package stat_test

import (
	"testing"

	"pgregory.net/rapid"

	"secondpass/engine/stat"
)

// Every two candidates of a tally have the sums of their differences as counted one by one, in both directions, however
// the games are merged; of numbers 0 and 1 it has the four counts as well.
func TestPairedAgainstCounting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(1, 5).Draw(t, "candidates")
		high := rapid.SampledFrom([]int{1, 900}).Draw(t, "high")
		games := rapid.SliceOfN(rapid.SliceOfN(rapid.IntRange(1-high, high).Filter(func(x int) bool { return high > 1 || x >= 0 }), k, k), 0, 30).Draw(t, "games")
		cut := rapid.IntRange(0, len(games)).Draw(t, "cut")
		first, second := stat.NewPaired[float64](k), stat.NewPaired[float64](k)
		for n, g := range games {
			if n < cut {
				first.Add(g)
			} else {
				second.Add(g)
			}
		}
		second.Merge(first)
		for i := range k {
			for j := range k {
				var less stat.IntMoments[float64]
				cells := [4]int{}
				for _, g := range games {
					less.Add(g[i] - g[j])
					if high == 1 {
						cells[2*(1-g[i])+1-g[j]]++
					}
				}
				if got := second.Less(i, j); got != less {
					t.Fatalf("%d less %d: %+v, counted %+v", i, j, got, less)
				}
				if high > 1 {
					continue
				}
				if both, onlyI, onlyJ, neither := second.Shares(i, j); [4]int{both, onlyI, onlyJ, neither} != cells {
					t.Fatalf("%d and %d: %d %d %d %d, counted %v", i, j, both, onlyI, onlyJ, neither, cells)
				}
			}
		}
		if second.Count() != len(games) {
			t.Fatalf("%d games of %d", second.Count(), len(games))
		}
	})
}
