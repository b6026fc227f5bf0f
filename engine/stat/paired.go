package stat

import (
	"math"

	"secondpass/engine/unit"
)

// PairedProportions returns the difference of two shares measured on the same
// n pairs, first minus second, with its 95 % interval, all in -1..1.
//
// The four counts say how many pairs succeeded on both (n11), on the first only
// (n10), on the second only (n01) and on neither (n00). N is their sum. With no
// pairs, and for negative counts, it returns value 0, low -1, high 1, n 0.
//
// Source: R. G. Newcombe, Improved confidence intervals for the difference
// between binomial proportions based on paired data, Statist. Med. 17 (1998)
// 2635-2650, method 10: the Wilson intervals of the two shares, joined by the
// correlation of the pairs.
func PairedProportions(n11, n10, n01, n00 int) Interval[unit.ChanceDifference] {
	n := n11 + n10 + n01 + n00
	if n <= 0 || min(n11, n10, n01, n00) < 0 {
		return between[unit.ChanceDifference](0, -1, 1, 0)
	}
	first, second := Wilson(n11+n10, n).Plain(), Wilson(n11+n01, n).Plain()
	diff := float64(n10-n01) / float64(n)
	phi := pairCorrelation(n11, n10, n01, n00)
	// The ends need no cutting off at -1 and 1: they lie within first.Low -
	// second.High and first.High - second.Low.
	return between[unit.ChanceDifference](diff,
		diff-joined(first.Value-first.Low, second.High-second.Value, phi),
		diff+joined(first.High-first.Value, second.Value-second.Low, phi), n)
}

// joined is the half width of a difference whose terms have half widths a and b
// and correlation phi.
func joined(a, b, phi float64) float64 {
	// The sum is at least (a-b)^2; max guards against rounding below 0.
	return math.Sqrt(max(0, float64(a*a)+float64(b*b)-float64(2*phi*a*b)))
}

// pairCorrelation is the phi coefficient of the 2x2 table. As method 10 asks, a
// positive one is first moved towards 0 by half a pair, since a correlation
// taken too high makes the interval too narrow. A table with an empty row or
// column has none and gives 0.
func pairCorrelation(n11, n10, n01, n00 int) float64 {
	a, b, c, d := float64(n11), float64(n10), float64(n01), float64(n00)
	margins := (a + b) * (c + d) * (a + c) * (b + d)
	if margins == 0 {
		return 0
	}
	excess := float64(a*d) - float64(b*c)
	if excess > 0 {
		excess = max(0, excess-(a+b+c+d)/2)
	}
	return excess / math.Sqrt(margins)
}
