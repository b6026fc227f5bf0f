package stat_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"secondpass/engine/stat"
)

// A mixture has the mean and variance of the mixed numbers, however the games were grouped.
func TestJoint(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, w := range []float64{0, 0.25, 0.9, 1} {
		var all, first, second stat.Joint[float64]
		var plain stat.Moments
		for n := range 500 {
			x := rng.IntN(1000)
			y := x/2 + 1_000_000*rng.IntN(2)
			all.Add(x, y)
			if n < 123 {
				first.Add(x, y)
			} else {
				second.Add(x, y)
			}
			plain.Add((1-w)*float64(x) + w*float64(y))
		}
		first.Merge(second)
		m := all.Mixed(w)
		if first != all || m.Count() != 500 || math.Abs(m.Mean()/plain.Mean()-1) > 1e-12 || math.Abs(m.Variance()/plain.Variance()-1) > 1e-9 {
			t.Errorf("weight %g: mean %g, variance %g; %g, %g are right", w, m.Mean(), m.Variance(), plain.Mean(), plain.Variance())
		}
		if less := all.Negated().Mixed(w); less.Mean() != -m.Mean() || less.Variance() != m.Variance() {
			t.Errorf("weight %g: negated %g, %g", w, less.Mean(), less.Variance())
		}
	}
}
