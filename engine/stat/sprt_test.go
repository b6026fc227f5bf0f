package stat_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"secondpass/engine/stat"
)

// scored gathers scores 0, 1, 2, ... from how often each was seen.
func scored(counts []int) stat.IntMoments[float64] {
	var m stat.IntMoments[float64]
	for score, n := range counts {
		for range n {
			m.Add(score)
		}
	}
	return m
}

// The normal approximation is close to the generalised likelihood ratio by its definition: the likelihood of the
// counts at their maximum under each of the two means, found by Lagrange's multiplier.
func TestGSPRTAgreesWithTheLikelihoods(t *testing.T) {
	for _, counts := range [][]int{{14, 35, 48, 27, 4}, {100, 400, 800, 420, 110}, {40, 90, 130, 95, 60}} {
		m := scored(counts)
		for _, bounds := range [][2]float64{{2, 2.05}, {1.98, 2.02}, {1.9, 2.1}} {
			got, _ := stat.GSPRT(m, bounds[0], bounds[1])
			want := logLikelihood(counts, bounds[1]) - logLikelihood(counts, bounds[0])
			if math.Abs(got-want) > .05*math.Abs(want)+.02 {
				t.Errorf("%v, means %v: ratio %.4f, by the likelihoods %.4f", counts, bounds, got, want)
			}
		}
	}
}

// logLikelihood is the greatest log-likelihood of counts of the scores 0, 1, 2, ... under a mean (A. B. Owen,
// Empirical likelihood ratio confidence intervals for a single functional, Biometrika 75 (1988) 237-249): the shares
// are c/(n(1+x(score-mean))) with the x at which they have that mean.
func logLikelihood(counts []int, mean float64) float64 {
	n := 0.0
	for _, c := range counts {
		n += float64(c)
	}
	low, high := -1/(float64(len(counts)-1)-mean)+1e-12, 1/mean-1e-12
	slope := func(x float64) float64 {
		sum := 0.0
		for score, c := range counts {
			d := float64(score) - mean
			sum += float64(c) * d / (1 + x*d)
		}
		return sum
	}
	for range 200 {
		if middle := (low + high) / 2; slope(middle) > 0 {
			low = middle
		} else {
			high = middle
		}
	}
	sum := 0.0
	for score, c := range counts {
		sum += float64(c) * math.Log(float64(c)/(n*(1+low*(float64(score)-mean))))
	}
	return sum
}

// Looked at after every block, the test says "holds" of no effect, and "does not hold" of a true one, in
// about one run of twenty at most, and comes to a verdict in the end.
func TestGSPRTErrors(t *testing.T) {
	const runs, blocks, effect = 400, 4000, .6
	rng := rand.New(rand.NewPCG(11, 11))
	wrong := map[string]int{}
	for _, truth := range []float64{0, effect} {
		name := map[bool]string{true: "no effect", false: "effect"}[truth == 0]
		for range runs {
			var m stat.IntMoments[float64]
			verdict := stat.NotShown
			for range blocks {
				m.Add(skewed(rng, truth))
				if _, verdict = stat.GSPRT(m, 0, effect); verdict != stat.NotShown {
					break
				}
			}
			if verdict == stat.NotShown || (verdict == stat.Holds) == (truth == 0) {
				wrong[name]++
			}
		}
	}
	for name, n := range wrong {
		if limit := .05*runs + 3*math.Sqrt(.05*.95*runs); float64(n) > limit {
			t.Errorf("%s: %d of %d runs wrong or undecided", name, n, runs)
		}
	}
}

// skewed draws whole numbers with a mean, like wins of one seat less those of three over four games.
func skewed(rng *rand.Rand, mean float64) int {
	x := -4
	for range 4 {
		if rng.Float64() < .25+mean/16 {
			x += 4
		}
	}
	return x
}

func TestGSPRTSaysNothingEarly(t *testing.T) {
	var m stat.IntMoments[float64]
	for i := range 127 {
		m.Add(5 + i%2)
	}
	if ratio, v := stat.GSPRT(m, 0, 1); ratio != 0 || v != stat.NotShown {
		t.Errorf("after 127 blocks %v %v", ratio, v)
	}
	var equal stat.IntMoments[float64]
	for range 1000 {
		equal.Add(3)
	}
	if ratio, v := stat.GSPRT(equal, 0, 1); ratio != 0 || v != stat.NotShown {
		t.Errorf("of equal blocks %v %v", ratio, v)
	}
}
