package stat_test

import (
	"encoding/json"
	"math"
	"testing"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
)

func TestIntervalMarshals(t *testing.T) {
	for want, i := range map[string]stat.Interval[float64]{
		`{"value":0.5,"low":0.25,"high":0.75,"n":4}`:   {Value: .5, Low: .25, High: .75, N: 4},
		`{"value":7,"low":null,"high":null,"n":1}`:     stat.MeanT[float64](stat.IntMoments[float64]{N: 1, Sum: 7, SumSq: 49}),
		`{"value":1.5,"low":0.25,"high":null,"n":300}`: {Value: 1.5, Low: .25, High: math.Inf(1), N: 300},
	} {
		got, err := json.Marshal(i)
		if err != nil || string(got) != want {
			t.Errorf("got %s, %v, want %s", got, err, want)
		}
		var back stat.Interval[float64]
		if err := json.Unmarshal(got, &back); err != nil || back != i {
			t.Errorf("%s is read as %+v, %v", got, back, err)
		}
	}
	var earlier stat.Interval[float64]
	const text = `{"value":7,"low":-1.7976931348623157e+308,"high":1.7976931348623157e+308,"n":1}`
	if err := json.Unmarshal([]byte(text), &earlier); err != nil || earlier.Bounded() {
		t.Errorf("an end that earlier files have is read as known: %+v, %v", earlier, err)
	}
	if err := json.Unmarshal([]byte(`{"value":"x"}`), &earlier); err == nil {
		t.Error("a text for a value is let through")
	}
}

// TestNoData pins what comes of no data and of counts that cannot be: an
// interval that says nothing.
func TestNoData(t *testing.T) {
	share := stat.Interval[float64]{Value: 0, Low: 0, High: 1, N: 0}
	diff := stat.Interval[float64]{Value: 0, Low: -1, High: 1, N: 0}
	line := func(value float64, n int) stat.Interval[float64] {
		return stat.Interval[float64]{Value: value, Low: math.Inf(-1), High: math.Inf(1), N: n}
	}
	one := stat.IntMoments[float64]{N: 1, Sum: 7, SumSq: 49}
	short := sample(127, 5, 6)
	for _, row := range []struct {
		name      string
		got, want stat.Interval[float64]
	}{
		{"wilson, no games", stat.Wilson(0, 0).Plain(), share},
		{"wilson, more successes than games", stat.Wilson(3, 2).Plain(), share},
		{"wilson, negative successes", stat.Wilson(-1, 2).Plain(), share},
		{"wilson, negative games", stat.Wilson(-2, -1).Plain(), share},
		{"difference of shares, no games", stat.DifferenceOfShares(0, 0, 1, 2, stat.Alpha).Plain(), diff},
		{"difference of shares, more successes than games", stat.DifferenceOfShares(1, 2, 3, 2, stat.Alpha).Plain(), diff},
		{"difference of means, too few", stat.DifferenceOfMeans[float64](one, short, stat.Alpha), line(7-short.Mean(), 128)},
		{"difference of means, nothing varied", stat.DifferenceOfMeans[float64](stat.IntMoments[float64]{N: 2, Sum: 4, SumSq: 8}, stat.IntMoments[float64]{N: 2}, stat.Alpha), line(2, 4)},
		{"lift, none held", stat.Lift(0, 0, 100, 1000).Plain(), stat.Interval[float64]{High: math.Inf(1)}},
		{"part of a whole, nothing", (&stat.Clusters{}).Share().Plain(), share},
		{"bernoulli, no games", stat.BernoulliCS(0, 0, 100).Plain(), share},
		{"bernoulli, more successes than games", stat.BernoulliCS(3, 2, 100).Plain(), share},
		{"paired, no pairs", stat.PairedProportions(0, 0, 0, 0).Plain(), diff},
		{"paired, negative count", stat.PairedProportions(5, -1, 3, 3).Plain(), diff},
		{"mean, no data", stat.MeanT[float64](stat.IntMoments[float64]{}), line(0, 0)},
		{"mean, one number", stat.MeanT[float64](one), line(7, 1)},
		{"watched mean, no data", stat.AsymptoticCS[float64](stat.Moments{}, 100), line(0, 0)},
		{"watched mean, too early", stat.AsymptoticCS[float64](short, 100), line(short.Mean(), 127)},
		{"watched mean, no spread", stat.AsymptoticCS[float64](sample(5000, 3, 3), 100), line(3, 5000)},
	} {
		if row.got != row.want {
			t.Errorf("%s: got %+v, want %+v", row.name, row.got, row.want)
		}
		if _, err := json.Marshal(row.got); err != nil {
			t.Errorf("%s: %v", row.name, err)
		}
	}
}

// sample is n numbers that are a and b in turn.
func sample(n, a, b int) stat.IntMoments[float64] {
	var m stat.IntMoments[float64]
	for i := range n {
		if i%2 == 0 {
			m.Add(a)
		} else {
			m.Add(b)
		}
	}
	return m
}

func TestBounded(t *testing.T) {
	for _, row := range []struct {
		name string
		i    stat.Interval[float64]
		want bool
	}{
		{"mean of one", stat.MeanT[float64](sample(1, 3, 3)), false},
		{"mean of two", stat.MeanT[float64](sample(2, 3, 4)), true},
		{"watched mean before it speaks", stat.AsymptoticCS[float64](sample(127, 3, 4), 500), false},
		{"watched mean once it speaks", stat.AsymptoticCS[float64](sample(128, 3, 4), 500), true},
		{"share of nothing", stat.Wilson(0, 0).Plain(), true},
	} {
		if got := row.i.Bounded(); got != row.want {
			t.Errorf("%s: bounded is %v: %+v", row.name, got, row.i)
		}
		if !row.want && !(row.i.Holds(0) && row.i.Holds(1e9)) {
			t.Errorf("%s: an unbounded interval must hold everything: %+v", row.name, row.i)
		}
	}
}

func TestHolds(t *testing.T) {
	i := stat.Interval[float64]{Value: 1, Low: 0, High: 2, N: 9}
	for x, want := range map[float64]bool{-.1: false, 0: true, 1: true, 2: true, 2.1: false, math.NaN(): false} {
		if i.Holds(x) != want {
			t.Errorf("Holds(%g) is %v", x, !want)
		}
	}
}

func TestEqualNumbersGiveAPoint(t *testing.T) {
	want := stat.Interval[float64]{Value: 25, Low: 25, High: 25, N: 30}
	if got := stat.MeanT[float64](sample(30, 25, 25)); got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
}

func TestIntMomentsKeepSmallSpreadOfLargeNumbers(t *testing.T) {
	// Half are 1e6, half 1e6+1: the variance is n/(4(n-1)), though the sums of
	// squares agree in their first 11 digits.
	m := sample(1_000_000, 1_000_000, 1_000_001)
	if want := 1e6 / (4 * (1e6 - 1)); m.Variance() != want {
		t.Errorf("variance %.17g, want %.17g", m.Variance(), want)
	}
}

func TestEndsAtNoneAndAll(t *testing.T) {
	for name, interval := range shares {
		if none := interval(0, 40); none.Low != 0 || none.Value != 0 {
			t.Errorf("%s, 0 of 40: %+v", name, none)
		}
		if all := interval(40, 40); all.High != 1 || all.Value != 1 {
			t.Errorf("%s, 40 of 40: %+v", name, all)
		}
	}
}

func TestTuningOutOfRange(t *testing.T) {
	if got, want := stat.BernoulliCS(7, 40, -5).Plain(), stat.BernoulliCS(7, 40, 16).Plain(); got != want {
		t.Errorf("share: got %+v, want as with nOpt 16, %+v", got, want)
	}
	if stat.BernoulliCS(7, 40, 16).Plain() == stat.BernoulliCS(7, 40, 17).Plain() {
		t.Errorf("share: nOpt 17 is taken as 16 too")
	}
	m := sample(200, 3, 4)
	if got, want := stat.AsymptoticCS[float64](m, 0), stat.AsymptoticCS[float64](m, 1); got != want {
		t.Errorf("mean: got %+v, want as with nOpt 1, %+v", got, want)
	}
}

func TestNotANumber(t *testing.T) {
	for name, got := range map[string]float64{
		"mixture, negative variance": stat.NormalMixture(-1, 5),
		"mixture, no tuning":         stat.NormalMixture(10, 0),
	} {
		if !math.IsNaN(got) {
			t.Errorf("%s: got %g, want NaN", name, got)
		}
	}
}

func TestEmptyHistogram(t *testing.T) {
	var h stat.Histogram
	if h.Count() != 0 || h.Mean() != 0 || h.Median() != 0 || h.Percentile(50) != 0 || h.AtMost(4) != 0 {
		t.Errorf("an empty histogram has values")
	}
	h.Merge(nil)
	if len(h) != 0 {
		t.Errorf("nothing merged into nothing gives %v", h)
	}
}

func TestPercentileOutOfRange(t *testing.T) {
	h := stat.Histogram{0, 2, 0, 5}
	if low, high := h.Percentile(-5), h.Percentile(250); low != 1 || high != 3 {
		t.Errorf("got %d and %d, want the smallest and largest value, 1 and 3", low, high)
	}
}

func TestHistogramRefusesNegative(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Errorf("a negative value was counted")
		}
	}()
	var h stat.Histogram
	h.Add(-1)
}

// Less squares and adds: two intervals of half-width 3 and 4 hundredths make one of 5.
func TestLess(t *testing.T) {
	d := stat.Less(stat.Interval[unit.Chance]{Value: .10, Low: .07, High: .13, N: 9}, stat.Interval[unit.Chance]{Value: .02, Low: -.02, High: .06, N: 5})
	near(t, "value", float64(d.Value), .08, 1e-12)
	near(t, "low", float64(d.Low), .03, 1e-12)
	near(t, "high", float64(d.High), .13, 1e-12)
	if d.N != 5 {
		t.Errorf("n is %d", d.N)
	}
}

func TestAUCOfOneKind(t *testing.T) {
	if got := stat.AUC([]float64{1}, nil); !math.IsNaN(got) {
		t.Errorf("AUC without one kind of case is %v, want none", got)
	}
}
