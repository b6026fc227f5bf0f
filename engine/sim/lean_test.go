package sim

import (
	"math/rand/v2"
	"testing"
)

// Candidates that are as far from the strong player's as was found, valued by games as noisy as short ones: what is chosen gains on
// average, most of what games enough for all would gain, and games go to those that may be best.
func TestChosenGains(t *testing.T) {
	const candidates, games, noise, decisions = 9, 32, 0.05, 2000
	rng := rand.New(rand.NewPCG(7, 7))
	gain, best, otherwise, played := 0.0, 0.0, 0, 0
	for range decisions {
		var lead [candidates]float64
		most := 0.0
		for i := 1; i < candidates; i++ {
			lead[i] = rng.NormFloat64()*passLean.spread - passLean.behind
			most = max(most, lead[i])
		}
		chosen := passLean.choose(candidates, games, func(i int, _ uint64) (float64, error) {
			played++
			return lead[i] + rng.NormFloat64()*noise, nil
		})
		gain += lead[chosen]
		best += most
		otherwise += boolInt(chosen != 0)
	}
	// 9 meet 32 games, 5 of them 32 more, 3 of these 64 and 2 of these 128.
	if want := decisions * (9*32 + 5*32 + 3*64 + 2*128); played != want {
		t.Errorf("%d games, not %d", played, want)
	}
	if gain < best/3 {
		t.Errorf("what is chosen gains %.4f a decision of the %.4f that the best would", gain/decisions, best/decisions)
	}
	if otherwise == 0 || otherwise == decisions {
		t.Errorf("another than the strong player's is chosen in %d of %d decisions", otherwise, decisions)
	}
	// None is better: the strong player's stays.
	other := 0
	for range decisions {
		other += boolInt(passLean.choose(candidates, games, func(i int, _ uint64) (float64, error) {
			return -0.02*float64(boolInt(i > 0)) + rng.NormFloat64()*noise, nil
		}) != 0)
	}
	if other > decisions/50 {
		t.Errorf("of candidates 2 points behind one is chosen in %d of %d decisions", other, decisions)
	}
}
