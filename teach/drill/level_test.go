package drill

import (
	"math"
	"testing"

	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
)

// The level moves all chances of a key together, so that their mean is that of whole games; costs and right answers stay. An answer
// that is judged later stands where it would have stood.
func TestLift(t *testing.T) {
	chance := func(v, off unit.Chance) stat.Interval[unit.Chance] {
		return stat.Interval[unit.Chance]{Value: v, Low: v - off, High: v + off, N: 1024}
	}
	cost := stat.Interval[unit.ChanceDifference]{Value: .04, Low: .03, High: .05, N: 1024}
	k := Key{Games: 1024, Answers: []Answer{{Chance: chance(.26, .003), Cost: cost}, {Right: true, Chance: chance(.30, .003)}}}
	k.lift([]int{0, 1}, chance(.21, .02))
	if k.Whole != 1024 {
		t.Errorf("%d whole games", k.Whole)
	}
	// The ends are root sums of squares of the parts, by hand.
	half := math.Sqrt(.02*.02 + .003*.003 + math.Pow(1.959964*sim.QuickDoubtOfTwo, 2))
	for i, want := range []float64{.19, .23} {
		got := k.Answers[i].Chance
		if math.Abs(float64(got.Value)-want) > 1e-12 || math.Abs(float64(got.High)-want-half) > 1e-6 || math.Abs(want-half-float64(got.Low)) > 1e-6 {
			t.Errorf("answer %d: %+v, wanted %.2f by %.4f to either side", i, got, want, half)
		}
	}
	if k.Answers[0].Cost != cost || !k.Answers[1].Right || k.Best() != 1 {
		t.Errorf("the answers are others: %+v", k.Answers)
	}
	free := Answer{Chance: chance(.26, .003), Cost: cost}
	k.beside(&free)
	if math.Abs(float64(free.Chance.Value)-.19) > 1e-12 || free.Chance.Low >= .19 || free.Chance.High <= .19 {
		t.Errorf("an answer judged later: %+v", free.Chance)
	}
}
