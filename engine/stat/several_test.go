package stat_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"secondpass/engine/stat"
)

// 100 observations of span 2 have the variance 100 gathered, for which the authors' reference implementation gives the bound
// 30.35209 at the tuning 12.60056 (confseq's tests), which is that for 100 observations.
func TestBoundedCSPublished(t *testing.T) {
	var m stat.IntMoments[float64]
	for i := range 100 {
		m.Add(1 - 2*(i%2))
	}
	i := stat.BoundedCSOf[float64](m, 2, 100, 1)
	if math.Abs(i.High-0.3035209) > 1e-6 || math.Abs(i.Low+0.3035209) > 1e-6 || i.N != 100 {
		t.Errorf("%+v, want 0.3035209 either way", i)
	}
	if i := stat.BoundedCSOf[float64](stat.IntMoments[float64]{}, 2, 100, 1); i.Bounded() {
		t.Errorf("of nothing: %+v", i)
	}
}

// Rare differences are held at every look: 1 in 100 pairs differs, one way as often as the other.
func TestBoundedCSRare(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	missed := 0
	for range 200 {
		var m stat.IntMoments[float64]
		for range 2000 {
			m.Add([]int{-1, 1, 0}[min(2, rng.IntN(200))])
			if !stat.BoundedCSOf[float64](m, 2, 2000, 1).Holds(0) {
				missed++
				break
			}
		}
	}
	if missed > 10 {
		t.Errorf("%d of 200 sequences leave 0 out", missed)
	}
}

// Several differences together: the interval of each is that of a single one at the level 1 - 0.05/k, so that with k
// differences without an effect no more than one sequence in twenty ever leaves 0 out in any of them.
func TestSeveralTogether(t *testing.T) {
	const k = 5
	rng := rand.New(rand.NewPCG(3, 4))
	called := 0
	for range 200 {
		var ms [k]stat.IntMoments[float64]
		out := false
		for n := range 1500 {
			for i := range ms {
				ms[i].Add(rng.IntN(11) - 5)
				out = out || n%32 == 0 && !stat.AsymptoticCSOf[float64](ms[i], 1500, k).Holds(0)
			}
		}
		if out {
			called++
		}
	}
	if called > 10 {
		t.Errorf("%d of 200 call a difference", called)
	}
	var m stat.IntMoments[float64]
	for i := range 1000 {
		m.Add(i % 7)
	}
	one, five := stat.AsymptoticCS[float64](m, 1000), stat.AsymptoticCSOf[float64](m, 1000, k)
	// The formula of arXiv 2103.06476 at alpha = 0.01.
	log := -2 * math.Log(0.01)
	q := (log + math.Log(log) + 1) / 1000
	half := m.SD() * math.Sqrt(2*(1000*q+1)/(1000*1000*q)*math.Log(math.Sqrt(1000*q+1)/0.01))
	if math.Abs(five.High-five.Value-half) > 1e-12 || one.High >= five.High || stat.AsymptoticCSOf[float64](m, 1000, 1) != one {
		t.Errorf("%+v and %+v, half-width %v", one, five, half)
	}
}
