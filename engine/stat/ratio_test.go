package stat_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"secondpass/engine/stat"
)

// The share of tiles that hang together within a game is held by its interval as often as it says: in every game all
// tiles of a kind go, or each by itself, at a chance that differs from game to game.
func TestClustersCoverage(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, row := range []struct {
		chance float64
		games  int
	}{{0.5, 60}, {0.1, 200}, {0.02, 1000}, {0.97, 400}} {
		const runs = 1500
		hits := 0
		for range runs {
			var r stat.Clusters
			for range row.games {
				whole, part := rng.IntN(5), 0
				together, all := rng.IntN(2) == 0, rng.Float64() < row.chance
				for range whole {
					if together && all || !together && rng.Float64() < row.chance {
						part++
					}
				}
				r.Add(part, whole)
			}
			if i := r.Share(); i.Plain().Holds(row.chance) {
				hits++
			}
		}
		// 99.99 % limits of a binomial of so many runs, and half a point to the side of too much cover.
		slack := 3.9 * math.Sqrt(stat.Level*stat.Alpha/runs)
		if share := float64(hits) / runs; share < stat.Level-slack-.005 || share > stat.Level+slack+.01 {
			t.Errorf("chance %v, %d games: %.3f of the intervals hold it", row.chance, row.games, share)
		}
	}
}

// With one tile a game the ratio is a plain share, and its interval Wilson's but for one game.
func TestClustersOfOneTile(t *testing.T) {
	var r stat.Clusters
	for i := range 100 {
		r.Add(min(i%4, 1), 1)
	}
	i, w := r.Share().Plain(), stat.Wilson(75, 100).Plain()
	if i.Value != 0.75 || i.N != 100 || math.Abs(i.Low-w.Low) > 0.001 || math.Abs(i.High-w.High) > 0.001 {
		t.Errorf("%v, Wilson has %v", i, w)
	}
	none := stat.Clusters{}
	none.Add(0, 8)
	none.Add(0, 8)
	if i := none.Share(); i.Value != 0 || math.Abs(float64(i.High-stat.Wilson(0, 2).High)) > 1e-12 {
		t.Errorf("nothing in two games: %v", i)
	}
}

// As a sample two independent means have the variance of their difference, so that for a fixed number of deals
// its standard error is Welch's (B. L. Welch, Biometrika 29 (1938) 350-362): sqrt(v1/n1 + v0/n0).
func TestIndependent(t *testing.T) {
	var in, out stat.IntMoments[float64]
	for i := range 90 {
		in.Add(i % 2)
	}
	for i := range 400 {
		out.Add(i % 5)
	}
	s := stat.Independent{First: in, Second: out}
	want := in.Variance()/90 + out.Variance()/400
	if got := s.Variance() / float64(s.Count()); got < want*(1-1e-12) || got > want*(1+1e-12) || s.Mean() != in.Mean()-out.Mean() || s.Count() != 490 {
		t.Errorf("variance of the mean %v, want %v", got, want)
	}
}
