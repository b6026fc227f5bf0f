package experiment

import (
	"testing"

	"secondpass/engine/stat"
)

// The verdicts are those that the package comment defines, in either direction of the claim.
func TestVerdicts(t *testing.T) {
	for _, row := range []struct {
		low, high Amount
		verdict   stat.Verdict
		note      Note
	}{
		{0.02, 0.03, stat.Holds, Shown},
		{0.01, 0.03, stat.Holds, Shown},
		{0.005, 0.03, stat.NotShown, Shown},
		{-0.005, 0.03, stat.NotShown, Unclear},
		{-0.02, 0.01, stat.NotShown, Unclear},
		{0.002, 0.009, stat.DoesNotHold, Shown},
		{-0.005, 0.009, stat.DoesNotHold, Even},
		{-0.03, 0.009, stat.DoesNotHold, Unclear},
		{-0.03, -0.001, stat.DoesNotHold, Opposite},
		{-0.03, -0.02, stat.DoesNotHold, Opposite},
	} {
		middle := (row.low + row.high) / 2
		more := stat.Interval[Amount]{Value: middle, Low: row.low, High: row.high, N: 1000}
		less := stat.Interval[Amount]{Value: -middle, Low: -row.high, High: -row.low, N: 1000}
		if v, n := (Claim{Effect: 0.01}).verdict(more); v != row.verdict || n != row.note {
			t.Errorf("more, %v to %v: %s, %s", row.low, row.high, v, n)
		}
		if v, n := (Claim{Effect: 0.01, Less: true}).verdict(less); v != row.verdict || n != row.note {
			t.Errorf("less, %v to %v: %s, %s", row.low, row.high, v, n)
		}
	}
	if v, n := (Claim{Effect: 0.01}).verdict(stat.Interval[Amount]{}); v != stat.NotShown || n != Unclear {
		t.Errorf("of no deals: %s, %s", v, n)
	}
}

// The variance of a split's difference is that of a difference of two independent means, so that for a fixed number of deals
// its standard error is Welch's (B. L. Welch, Biometrika 29 (1938) 350-362): sqrt(v1/n1 + v0/n0).
func TestSplitSample(t *testing.T) {
	var in, out stat.IntMoments
	for i := range 90 {
		in.Add(i % 2)
	}
	for i := range 400 {
		out.Add(i % 5)
	}
	s := splitSample{&in, &out}
	want := in.Variance()/90 + out.Variance()/400
	if got := s.Variance() / float64(s.Count()); got < want*(1-1e-12) || got > want*(1+1e-12) || s.Mean() != in.Mean()-out.Mean() || s.Count() != 490 {
		t.Errorf("variance of the mean %v, want %v", got, want)
	}
}
