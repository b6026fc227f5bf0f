package class_test

import (
	"testing"

	"secondpass/advice"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/charleston"
	"secondpass/teach/class"
)

// A judgement that was stopped says what is shown by then: what costs something, and why; which is best only the end says.
func TestJudgeThatWasStopped(t *testing.T) {
	behind := func(low float64) stat.Interval[unit.ChanceDifference] {
		return stat.Interval[unit.ChanceDifference]{Value: .05, Low: unit.ChanceDifference(low), High: .1, N: 200}
	}
	candidate := func(text string, even bool, b stat.Interval[unit.ChanceDifference]) advice.Candidate {
		return advice.Candidate{Action: charleston.Action{Kind: charleston.Pass, Own: pass(t, text).Own}, Standing: advice.Standing{Final: true, Even: even, Behind: b}}
	}
	a := advice.Advice{Whole: 200, Candidates: []advice.Candidate{candidate("1b 2b 3b", true, stat.Interval[unit.ChanceDifference]{}),
		candidate("1c 2c 3c", true, behind(-.01)), candidate("1d 2d 3d", false, behind(.02)), candidate("4d 5d 6d", false, behind(.01))}}
	asked := []class.Choice{pass(t, "1c 2c 3c"), pass(t, "1d 2d 3d")}
	why := func(int) *class.Reason { return &class.Reason{Text: "because"} }
	for _, test := range []struct {
		end     advice.StopReason
		stopped bool
		costs   int // the best one is among them, asked for or not, where it is known
	}{{"", true, 2}, {advice.Interrupted, true, 2}, {advice.AllPlayed, false, 3}, {advice.AllApart, false, 3}} {
		a.Stopped = test.end
		j := class.Judge(&a, 1, asked, why)
		if j.Stopped != test.stopped || j.Over() == test.stopped || len(j.Costs) != test.costs {
			t.Fatalf("%q: %+v", test.end, j)
		}
		for _, c := range j.Costs {
			if test.stopped && (c.Best || c.Even) {
				t.Errorf("%q: %v is best or even", test.end, c.Choice)
			}
			if worse := c.Behind.Low > 0; (c.Reason != nil) != (worse || !test.stopped) {
				t.Errorf("%q: the reason of %v is %v", test.end, c.Choice, c.Reason)
			}
		}
	}
	if (*class.Judgement)(nil).Over() {
		t.Error("none is over")
	}
}
