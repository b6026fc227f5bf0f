package stat_test

import (
	"math"
	"testing"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
)

// The half widths of a product's interval are those of its factors in quadrature, and it stays a chance.
func TestTimesAbout(t *testing.T) {
	chance := stat.Interval[unit.Chance]{Value: .4, Low: .37, High: .44, N: 100}
	got := stat.TimesAbout(chance, 1.5, .1).Plain() // half widths .045 and .06 beside .06
	if got.N != 100 || math.Abs(got.Value-.6) > 1e-12 || math.Abs(got.Low-(.6-.075)) > 1e-12 || math.Abs(got.High-(.6+.06*math.Sqrt2)) > 1e-12 {
		t.Errorf("%+v", got)
	}
	known, times := stat.TimesAbout(chance, 1.5, 0).Plain(), stat.Times(chance, 1.5).Plain()
	if math.Abs(known.Low-times.Low)+math.Abs(known.High-times.High) > 1e-12 || known.Value != times.Value {
		t.Errorf("by a known factor %+v, want %+v", known, times)
	}
	if cut := stat.TimesAbout(chance, 3, .5); cut.Value != 1 || cut.High != 1 || cut.Low < 0 {
		t.Errorf("more than sure: %+v", cut)
	}
}
