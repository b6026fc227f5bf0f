package reply

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"secondpass/advice"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/rules/charleston"
)

// Three readers whose decisions cost what a made-up review says: totals, means and the dearest decision by hand, and each way is
// judged once. The interval of the mean is Student's: with 3 of them t(2; 0.975) is 4.302653 (tables of Student's t).
func TestCosts(t *testing.T) {
	e := dealt(t, charleston.South, exercise.MockPasses, 1)
	_, first := walked(t, e, 0, 0, 0, 1, 0)
	_, second := walked(t, e, 0, 100, 0, 1, 0)
	_, broken := walked(t, e, 0)
	replies := Collect(e, strings.Join([]string{"Ada: " + first, "Bo: " + first, "Cy: " + second, "Di: " + broken}, "\n"))
	tally, err := Count(replies)
	if err != nil {
		t.Fatal(err)
	}
	judged := 0
	review := func(_ context.Context, _ *exercise.Exercise, r *exercise.Route) (*advice.Review, error) {
		judged++
		rev := &advice.Review{}
		for i, d := range r.Decisions {
			cost := unit.ChanceDifference(.01 * float64(i))
			if d.Step == charleston.FirstAcross && fmt.Sprint(d.Own) != fmt.Sprint(replies[0].Route().Decisions[1].Own) {
				cost = .5
			}
			worth := advice.Worth{Cost: stat.Interval[unit.ChanceDifference]{Value: cost, Low: cost - .01, High: cost + .02, N: 100}}
			rev.Entries = append(rev.Entries, advice.Entry{Decision: d, Worth: worth})
		}
		return rev, nil
	}
	c, err := Judge(context.Background(), replies, tally, review, nil)
	if err != nil {
		t.Fatal(err)
	}
	if judged != 3 {
		t.Errorf("%d ways were judged, there are 3", judged)
	}
	const low, high = .0 + .01 + .02 + .03 + .04, .5 + .02 + .03 + .04 // of a whole passing
	if got := []float64{float64(c.Readers[0].Cost), float64(c.Readers[1].Cost), float64(c.Readers[2].Cost)}; math.Abs(got[0]-low)+math.Abs(got[1]-low)+math.Abs(got[2]-high) > 1e-12 || c.Readers[2].Reply != 2 {
		t.Errorf("readers %+v, wanted %v, %v, %v", c.Readers, low, low, high)
	}
	mean := (2*low + high) / 3
	half := 4.302653 * math.Sqrt((2*(low-mean)*(low-mean)+(high-mean)*(high-mean))/2/3)
	if math.Abs(float64(c.Mean.Value)-mean) > 1e-12 || math.Abs(float64(c.Mean.High-c.Mean.Value)-half) > 1e-6 {
		t.Errorf("mean %+v, wanted %v by %v", c.Mean, mean, half)
	}
	if d := c.Dearest; d == nil || tally.Steps[d.Step].Step != charleston.FirstAcross || math.Abs(float64(d.Sum)-.5) > 1e-12 {
		t.Errorf("the dearest is %+v", d)
	}
	across := c.Steps[1].Choices[c.Dearest.Choice]
	if !across.OneRack || across.Cost.Low != .49 || across.Cost.High != .52 {
		t.Errorf("the cost of one decision is %+v, wanted that of its games", across)
	}
	// The three to the left were passed by all alike, but with two racks: the mean over readers.
	if left := c.Steps[2].Choices; len(left) == 1 && left[0].OneRack {
		t.Errorf("the cost of a choice with two racks is %+v", left[0])
	}
	var out strings.Builder
	if err := WriteCSV(&out, replies, c, func(*Reply) string { return "" }); err != nil || !strings.Contains(out.String(), ",0.5,0.49,0.52\n") {
		t.Errorf("%v\n%s", err, &out)
	}
}
