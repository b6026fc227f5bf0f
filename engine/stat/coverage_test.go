package stat_test

import (
	"math/rand/v2"
	"testing"

	"secondpass/engine/stat"
)

// The tests of this file play many imaginary experiments with a known truth and
// count how often an interval holds it. Seeds are fixed, so a failure repeats.

// source is the random source of one experiment.
func source(experiment int) *rand.Rand {
	return rand.New(rand.NewPCG(20260101, uint64(experiment)))
}

// band is where the coverage of an interval for a fixed number of games must
// lie: 95 % with room for the approximation and for 4,000 experiments.
const (
	experiments           = 4000
	leastCover, mostCover = .93, .975
)

func checkCoverage(t *testing.T, holds func(r *rand.Rand) bool) {
	t.Helper()
	held := 0
	for e := range experiments {
		if holds(source(e)) {
			held++
		}
	}
	if share := float64(held) / experiments; share < leastCover || share > mostCover {
		t.Errorf("the truth was held in %.3f of the experiments, want %.3f..%.3f", share, leastCover, mostCover)
	}
}

func TestWilsonCoverage(t *testing.T) {
	for _, row := range []struct {
		name string
		p    float64
		n    int
	}{
		{"a rare win", .05, 200},
		{"one seat of four", .25, 100},
		{"even", .5, 60},
	} {
		t.Run(row.name, func(t *testing.T) {
			checkCoverage(t, func(r *rand.Rand) bool {
				successes := 0
				for range row.n {
					if r.Float64() < row.p {
						successes++
					}
				}
				return stat.Wilson(successes, row.n).Plain().Holds(row.p)
			})
		})
	}
}

func TestPairedProportionsCoverage(t *testing.T) {
	const n = 150
	for _, row := range []struct {
		name          string
		n11, n10, n01 float64 // chances of the cells; n00 has the rest
	}{
		{"alike, strongly paired", .20, .05, .05},
		{"different, paired", .15, .10, .04},
		{"different, unrelated", .12, .28, .18},
		{"alike, opposed", .02, .28, .28},
	} {
		t.Run(row.name, func(t *testing.T) {
			checkCoverage(t, func(r *rand.Rand) bool {
				var cells [4]int
				for range n {
					u := r.Float64()
					switch {
					case u < row.n11:
						cells[0]++
					case u < row.n11+row.n10:
						cells[1]++
					case u < row.n11+row.n10+row.n01:
						cells[2]++
					default:
						cells[3]++
					}
				}
				got := stat.PairedProportions(cells[0], cells[1], cells[2], cells[3]).Plain()
				return got.Holds(row.n10 - row.n01)
			})
		})
	}
}

func TestMeanTCoverage(t *testing.T) {
	checkCoverage(t, func(r *rand.Rand) bool {
		var m stat.IntMoments[float64]
		for range 12 {
			m.Add(r.IntN(6) + r.IntN(6))
		}
		return stat.MeanT[float64](m).Holds(5)
	})
}

// A watched run: the most deals it plays, and how many between two looks.
const (
	watched  = 1000 // runs
	mostLook = 1000 // deals a run
	block    = 16   // deals between looks
)

// pairedDeal is the difference two candidates make on one deal. better, 0 to .1,
// is how far the chances favour the first; 0 makes a null run.
type pairedDeal func(r *rand.Rand, better float64) int

// wins: each of the two wins a quarter of the deals, mostly the same ones.
func wins(r *rand.Rand, better float64) int {
	luck, own, other := r.Float64(), r.Float64(), r.Float64()
	first, second := .02, .02
	if luck < .25 {
		first, second = .75, .75
	}
	return won(own < first+better) - won(other < second)
}

// points: a deal is lost at 5 points or, one time in four, won at 25 or 50.
func points(r *rand.Rand, better float64) int {
	score := func(extra float64) int {
		switch u := r.Float64(); {
		case u < .05+extra:
			return 50
		case u < .25+extra:
			return 25
		}
		return -5
	}
	return score(better) - score(0)
}

// upset: nine times in ten the first is one point ahead, once it is nine behind.
// On average nothing, but most short runs look like a clear lead.
func upset(r *rand.Rand, better float64) int {
	if r.Float64() < .1-better/2 {
		return -9
	}
	return 1
}

func won(b bool) int {
	if b {
		return 1
	}
	return 0
}

// called plays watched runs, looks after every block, and gives the share of
// runs in which some look called a difference.
func called(deal pairedDeal, better float64, interval func(stat.Sample) stat.Interval[float64]) float64 {
	calls := 0
	for run := range watched {
		r := source(run)
		var m stat.IntMoments[float64]
		for n := 1; n <= mostLook; n++ {
			m.Add(deal(r, better))
			if n%block == 0 && !interval(m).Holds(0) {
				calls++
				break
			}
		}
	}
	return float64(calls) / watched
}

func TestWatchedMeanRarelyCallsAFalseDifference(t *testing.T) {
	for name, deal := range map[string]pairedDeal{"wins": wins, "points": points, "upset": upset} {
		for _, nOpt := range []int{300, 1000} {
			cs := func(s stat.Sample) stat.Interval[float64] { return stat.AsymptoticCS[float64](s, nOpt) }
			if share := called(deal, 0, cs); share > stat.Alpha {
				t.Errorf("%s, nOpt %d: a false difference in %.3f of the runs, want at most .05", name, nOpt, share)
			}
			// It must not buy that by never speaking.
			if share := called(deal, .1, cs); share < .5 {
				t.Errorf("%s, nOpt %d: a true difference seen in %.3f of the runs only", name, nOpt, share)
			}
		}
	}
}

func TestWatchingAFixedIntervalMisleads(t *testing.T) {
	// The same runs, watched through the interval for a fixed number of games:
	// the test above has something to prevent.
	if share := called(wins, 0, stat.MeanT); share < .15 {
		t.Errorf("a false difference in %.3f of the runs; the null runs are too easy", share)
	}
}

func TestWatchedShareRarelyLosesTheTruth(t *testing.T) {
	for _, p := range []float64{.02, .25, .5} {
		const nOpt = 500
		lostCS, lostWilson := 0, 0
		for run := range watched {
			r := source(run)
			successes := 0
			var cs, wilson bool
			for n := 1; n <= mostLook; n++ {
				if r.Float64() < p {
					successes++
				}
				if n%block == 0 {
					cs = cs || !stat.BernoulliCS(successes, n, nOpt).Plain().Holds(p)
					wilson = wilson || !stat.Wilson(successes, n).Plain().Holds(p)
				}
			}
			lostCS += won(cs)
			lostWilson += won(wilson)
		}
		if lostCS > watched*5/100 {
			t.Errorf("p=%g: lost in %d of %d runs, want at most 5 %%", p, lostCS, watched)
		}
		if lostWilson < watched*15/100 {
			t.Errorf("p=%g: Wilson lost it in %d runs only; the runs are too easy", p, lostWilson)
		}
	}
}

func TestNormalMixtureHoldsAWatchedSum(t *testing.T) {
	// Fair steps of +1 or -1: each adds a variance of 1, known beforehand.
	tuning := stat.NormalMixtureR(300)
	crossed := 0
	for run := range watched {
		r := source(run)
		sum := 0
		for n := 1; n <= mostLook; n++ {
			sum += 2*r.IntN(2) - 1
			if bound := stat.NormalMixture(float64(n), tuning); float64(sum) >= bound || float64(-sum) >= bound {
				crossed++
				break
			}
		}
	}
	if crossed == 0 || crossed > watched*5/100 {
		t.Errorf("crossed in %d of %d runs, want some but at most 5 %%", crossed, watched)
	}
}
