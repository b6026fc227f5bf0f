package stat_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"secondpass/engine/stat"
)

// drawCounts draws a possible count of successes, with the ends drawn often.
func drawCounts(t *rapid.T) (successes, n int) {
	n = rapid.IntRange(1, 200_000).Draw(t, "n")
	return rapid.IntRange(0, n).Draw(t, "successes"), n
}

// shares are the intervals of a share.
var shares = map[string]func(successes, n int) stat.Interval[float64]{
	"wilson":    func(successes, n int) stat.Interval[float64] { return stat.Wilson(successes, n).Plain() },
	"bernoulli": func(successes, n int) stat.Interval[float64] { return stat.BernoulliCS(successes, n, 1000).Plain() },
}

func TestSharesStayInRangeAndMirror(t *testing.T) {
	for name, interval := range shares {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				x, n := drawCounts(t)
				got, mirror := interval(x, n), interval(n-x, n)
				if !(0 <= got.Low && got.Low <= got.Value && got.Value <= got.High && got.High <= 1) || got.N != n {
					t.Fatalf("%d of %d: %+v", x, n, got)
				}
				if !(got.Low < got.High) {
					t.Fatalf("%d of %d has no width: %+v", x, n, got)
				}
				// Counting failures instead must tell the same story.
				if math.Abs(got.Low-(1-mirror.High)) > 1e-9 || math.Abs(got.High-(1-mirror.Low)) > 1e-9 {
					t.Fatalf("%d of %d: %+v, mirrored %+v", x, n, got, mirror)
				}
			})
		})
	}
}

func TestSharesNarrowWithMoreGames(t *testing.T) {
	for name, interval := range shares {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				x, n := drawCounts(t)
				few, many := interval(x, n), interval(4*x, 4*n)
				if many.High-many.Low >= few.High-few.Low {
					t.Fatalf("%d of %d: %+v, four times as many: %+v", x, n, few, many)
				}
			})
		})
	}
}

func TestPairedProportionsProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cell := rapid.IntRange(0, 5000)
		a, b := cell.Draw(t, "n11"), cell.Draw(t, "n10")
		c, d := cell.Draw(t, "n01"), cell.Draw(t, "n00")
		got := stat.PairedProportions(a, b, c, d).Plain()
		if !(-1 <= got.Low && got.Low <= got.Value && got.Value <= got.High && got.High <= 1) {
			t.Fatalf("%+v", got)
		}
		// Naming the candidates the other way round, or counting failures
		// instead of successes, turns the sign and nothing else.
		for _, turned := range []stat.Interval[float64]{
			stat.PairedProportions(a, c, b, d).Plain(),
			stat.PairedProportions(d, c, b, a).Plain(),
		} {
			if math.Abs(got.Low+turned.High) > 1e-12 || math.Abs(got.High+turned.Low) > 1e-12 {
				t.Fatalf("%+v, turned %+v", got, turned)
			}
		}
	})
}

func TestPairingNarrows(t *testing.T) {
	// The same two shares, 40 % and 30 %: with the pairs in agreement, without
	// relation, and in opposition.
	agree := stat.PairedProportions(30, 10, 0, 60).Plain()
	unrelated := stat.PairedProportions(12, 28, 18, 42).Plain()
	oppose := stat.PairedProportions(0, 40, 30, 30).Plain()
	width := func(i stat.Interval[float64]) float64 { return i.High - i.Low }
	if !(width(agree) < width(unrelated) && width(unrelated) < width(oppose)) {
		t.Errorf("widths %g, %g, %g do not grow", width(agree), width(unrelated), width(oppose))
	}
}

// shards deals values into parts and gives the parts in another order.
func shards(t *rapid.T, values []int) [][]int {
	parts := make([][]int, rapid.IntRange(1, 8).Draw(t, "parts"))
	for _, v := range values {
		i := rapid.IntRange(0, len(parts)-1).Draw(t, "part")
		parts[i] = append(parts[i], v)
	}
	return rapid.Permutation(parts).Draw(t, "order")
}

func TestIntMomentsMergeInAnyOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := rapid.SliceOfN(rapid.IntRange(-1_000_000, 1_000_000), 0, 60).Draw(t, "values")
		var whole, merged stat.IntMoments[float64]
		for _, v := range values {
			whole.Add(v)
		}
		for _, part := range shards(t, values) {
			var m stat.IntMoments[float64]
			for _, v := range part {
				m.Add(v)
			}
			merged.Merge(m)
		}
		if merged != whole || stat.MeanT[float64](merged) != stat.MeanT[float64](whole) {
			t.Fatalf("merged %+v, whole %+v", merged, whole)
		}
	})
}

func TestHistogramMergesInAnyOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := rapid.SliceOfN(rapid.IntRange(0, 150), 0, 60).Draw(t, "values")
		var whole, merged stat.Histogram
		var sums stat.IntMoments[float64]
		for _, v := range values {
			whole.Add(v)
			sums.Add(v)
		}
		for _, part := range shards(t, values) {
			var h stat.Histogram
			for _, v := range part {
				h.Add(v)
			}
			before := slices.Clone(h)
			merged.Merge(h)
			if !slices.Equal(h, before) {
				t.Fatalf("Merge changed its argument from %v to %v", before, h)
			}
		}
		if !slices.Equal(merged, whole) {
			t.Fatalf("merged %v, whole %v", merged, whole)
		}
		if whole.Moments() != sums || whole.Count() != len(values) {
			t.Fatalf("histogram gives %+v, the values %+v", whole.Moments(), sums)
		}
	})
}

func TestMomentsMergeAgreesWithExactSums(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := rapid.SliceOfN(rapid.IntRange(-1000, 1000), 0, 60).Draw(t, "values")
		var exact stat.IntMoments[float64]
		var merged stat.Moments
		for _, v := range values {
			exact.Add(v)
		}
		for _, part := range shards(t, values) {
			var m stat.Moments
			for _, v := range part {
				m.Add(float64(v))
			}
			merged.Merge(m)
		}
		if merged.Count() != exact.Count() ||
			math.Abs(merged.Mean()-exact.Mean()) > 1e-9 ||
			math.Abs(merged.Variance()-exact.Variance()) > 1e-9*(1+exact.Variance()) {
			t.Fatalf("merged %+v, exact mean %g, variance %g", merged, exact.Mean(), exact.Variance())
		}
	})
}

// TestBernoulliCSBySteps plays the martingale one outcome at a time, as a gambler
// who bets on each with what the outcomes before it taught. Its wealth against
// either end of the interval must then be exactly 1/alpha, in whatever order the
// outcomes came.
func TestBernoulliCSBySteps(t *testing.T) {
	const nOpt = 200
	prior := stat.NormalMixtureR(nOpt) - 1
	rapid.Check(t, func(t *rapid.T) {
		rarity := rapid.SampledFrom([]int{2, 5, 40}).Draw(t, "one success in")
		seen := rapid.SliceOfN(rapid.IntRange(1, rarity), 20, 400).Draw(t, "outcomes")
		outcomes := make([]bool, len(seen))
		for i, o := range seen {
			outcomes[i] = o == rarity
		}
		successes := 0
		for _, o := range outcomes {
			if o {
				successes++
			}
		}
		logWealth := func(p float64) float64 {
			good, bad, sum := prior*p, prior*(1-p), 0.0
			for _, o := range outcomes {
				if o {
					sum += math.Log(good / (good + bad) / p)
					good++
				} else {
					sum += math.Log(bad / (good + bad) / (1 - p))
					bad++
				}
			}
			return sum
		}
		got := stat.BernoulliCS(successes, len(outcomes), nOpt).Plain()
		// One success never rules out a chance near 0, two do.
		if failures := len(outcomes) - successes; (got.Low == 0) != (successes < 2) || (got.High == 1) != (failures < 2) {
			t.Fatalf("%d successes, %d failures: %+v", successes, failures, got)
		}
		for _, end := range []float64{got.Low, got.High} {
			// An end at 0 or 1 is not where the wealth crosses.
			if end > 0 && end < 1 && math.Abs(logWealth(end)-math.Log(1/stat.Alpha)) > 1e-6 {
				t.Fatalf("%+v: log wealth %g at %g", got, logWealth(end), end)
			}
		}
	})
}

func TestAsymptoticCSIsANormalMixture(t *testing.T) {
	// With variance 1 the formula of one paper is that of the other with r = 1/q.
	log := -2 * math.Log(stat.Alpha)
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(128, 100_000).Draw(t, "n")
		nOpt := rapid.IntRange(1, 100_000).Draw(t, "nOpt")
		r := float64(nOpt) / (log + math.Log(log) + 1)
		want := stat.NormalMixture(float64(n), r) / float64(n)
		if got := stat.AsymptoticCS[float64](standard(n), nOpt).High; math.Abs(got/want-1) > 1e-12 {
			t.Fatalf("got %g, want %g", got, want)
		}
	})
}
