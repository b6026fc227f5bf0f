package stat

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"secondpass/engine/unit"
)

// noShare is the interval of a share without data: anything from 0 to 1.
var noShare = Interval[unit.Chance]{High: 1}

// Wilson returns the share successes/n with its 95 % score interval, all in
// 0..1. It is meant for a number of trials fixed in advance; see [BernoulliCS]
// for a run that is watched. With n = 0, and for counts that cannot be, it
// returns value 0, low 0, high 1, n 0.
//
// Source: E. B. Wilson, Probable inference, the law of succession, and
// statistical inference, J. Amer. Statist. Assoc. 22 (1927) 209-212; method 3
// (no continuity correction) of R. G. Newcombe, Statist. Med. 17 (1998) 857-872.
func Wilson(successes, n int) Interval[unit.Chance] {
	if !possible(successes, n) {
		return noShare
	}
	x, total := float64(successes), float64(n)
	low, high := wilsonEnds(x, total-x, z95)
	return between[unit.Chance](x/total, low, high, n)
}

// wilsonEnds are the roots p of (share-p)^2 = z^2 p(1-p)/(x+y), where share is x/(x+y): the ends of a score interval z
// normal deviates wide for x successes and y failures, 0 or more and together above 0, which need not be whole.
func wilsonEnds(x, y, z float64) (low, high float64) {
	total := x + y
	centre := (x + float64(z*z/2)) / (total + float64(z*z))
	half := float64(z / (total + float64(z*z)) * math.Sqrt(float64(x*y/total)+float64(z*z/4)))
	low, high = centre-half, centre+half
	// The ends are exact here; rounding would leave them a hair off.
	if x == 0 {
		low = 0
	}
	if y == 0 {
		high = 1
	}
	return low, high
}

// ClopperPearsonLow returns the lower end, 0..1, of the one-sided "exact" interval of the share successes/n with an error of
// alpha, above 0 and below 1: whatever the true share is, the end lies above it at most so often. Without successes, and
// for counts that cannot be, it is 0.
//
// Source: C. J. Clopper and E. S. Pearson, The use of confidence or fiducial
// limits illustrated in the case of the binomial, Biometrika 26 (1934) 404-413,
// in the form of beta quantiles.
func ClopperPearsonLow(successes, n int, alpha float64) unit.Chance {
	if !possible(successes, n) || successes == 0 {
		return 0
	}
	return unit.Chance(mathext.InvRegIncBeta(float64(successes), float64(n-successes)+1, alpha))
}

// possible reports whether successes out of n is a count of at least one trial.
func possible(successes, n int) bool {
	return n > 0 && successes >= 0 && successes <= n
}

// RuleOfThree is how far from what was seen a mean of n numbers, each of them 0..1, can be where all were alike: 3/n, near
// enough the exact 95 % limit of a share of which nothing was seen. Without numbers it is 3.
//
// Source: J. A. Hanley and A. Lippman-Hand, If nothing goes wrong, is everything all right?, JAMA 249 (1983) 1743-1745.
func RuleOfThree(n int) float64 { return 3 / max(1, float64(n)) }
