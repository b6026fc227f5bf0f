package cardreport

import (
	"math"
	"math/rand/v2"
	"testing"

	"secondpass/engine/stat"
)

// covers fails where a 95 % interval missed the truth more or less often than chance allows: 99.99 % limits of
// a binomial of so many runs, widened to the side of too much cover by half a point for discreteness.
func covers(t *testing.T, what string, hits, runs int) {
	t.Helper()
	share := float64(hits) / float64(runs)
	slack := 3.9 * math.Sqrt(stat.Level*stat.Alpha/float64(runs))
	if share < stat.Level-slack-0.005 || share > stat.Level+slack+0.01 {
		t.Errorf("%s: %.3f of %d intervals hold the truth", what, share, runs)
	}
}

// The interval of a lift holds the lift of the distribution as often as it says.
func TestLiftCoverage(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for _, row := range []struct{ held, given, otherwise float64 }{{0.1, 0.1, 0.1}, {0.05, 0.3, 0.1}, {0.3, 0.05, 0.2}} {
		const runs, racks = 1500, 2000
		came := row.held*row.given + (1-row.held)*row.otherwise
		hits := 0
		for range runs {
			s := newSigns(1, 1)
			for range racks {
				var held []int
				chance := row.otherwise
				if rng.Float64() < row.held {
					held, chance = []int{0}, row.given
				}
				section := -1
				if rng.Float64() < chance {
					section = 0
				}
				s.add(measuring, held, section)
			}
			if s.lift(measuring, 0, 0).Plain().Holds(row.given / came) {
				hits++
			}
		}
		covers(t, "lift", hits, runs)
	}
	if i := stat.Lift(0, 50, 100, 1000); i.Value != 0 || i.Low != 0 || i.High <= 0.3 || !i.Bounded() {
		t.Errorf("none came: %v", i)
	}
	if i := stat.Lift(0, 0, 100, 1000); i.Bounded() {
		t.Errorf("none held: %v", i)
	}
}

// Signs are not found where there are none, a true one is, and its figures are of the other half.
func TestSignsAreFoundHonestly(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	list := holdings()
	others, right := 0, 0
	const runs = 20
	for range runs {
		s := newSigns(2, len(list))
		for n := range 4000 {
			var held []int
			for h := range list {
				if rng.IntN(20) == 0 {
					held = append(held, h)
				}
			}
			section, planted := -1, len(held) > 0 && held[0] == 0
			switch r := rng.Float64(); {
			case r < 0.1:
				section = 0
			case r < 0.2 || planted && r < 0.4: // the first holding triples the second section
				section = 1
			}
			s.add(halfOf(n), held, section)
		}
		others += len(s.best(list, 0))
		for _, sign := range s.best(list, 1) {
			if sign.Holding != list[0] {
				others++
				continue
			}
			right++
			if sign.Racks != int(s.Held[measuring][0]) || sign.Lift.Value < 1.5 {
				t.Errorf("the planted sign: %+v", sign)
			}
		}
	}
	// One of 40 sections may have a false one; 40 were looked at.
	if right < runs-2 || others > 5 {
		t.Errorf("%d of %d planted signs found, and %d others", right, runs, others)
	}
}
