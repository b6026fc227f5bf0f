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
