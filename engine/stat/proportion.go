package stat

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

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
	share := float64(successes) / float64(n)
	low, high := wilsonEnds(successes, n)
	return between[unit.Chance](share, low, high, n)
}

// wilsonEnds are the roots p of (share-p)^2 = z^2 p(1-p)/n.
func wilsonEnds(successes, n int) (low, high float64) {
	x, y, total := float64(successes), float64(n-successes), float64(n)
	centre := (x + z95*z95/2) / (total + z95*z95)
	half := z95 / (total + z95*z95) * math.Sqrt(x*y/total+z95*z95/4)
	low, high = centre-half, centre+half
	// The ends are exact here; rounding would leave them a hair off.
	if successes == 0 {
		low = 0
	}
	if successes == n {
		high = 1
	}
	return low, high
}

// ClopperPearson returns the share successes/n with its 95 % "exact" interval,
// all in 0..1: it holds the true share at least 95 % of the time whatever that
// share is, at the price of being wider than [Wilson]. With n = 0, and for
// counts that cannot be, it returns value 0, low 0, high 1, n 0.
//
// Source: C. J. Clopper and E. S. Pearson, The use of confidence or fiducial
// limits illustrated in the case of the binomial, Biometrika 26 (1934) 404-413,
// in the form of beta quantiles.
func ClopperPearson(successes, n int) Interval[unit.Chance] {
	if !possible(successes, n) {
		return noShare
	}
	x, y := float64(successes), float64(n-successes)
	low, high := 0.0, 1.0
	if successes > 0 {
		low = distuv.Beta{Alpha: x, Beta: y + 1}.Quantile(Alpha / 2)
	}
	if successes < n {
		high = distuv.Beta{Alpha: x + 1, Beta: y}.Quantile(1 - Alpha/2)
	}
	return between[unit.Chance](x/float64(n), low, high, n)
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
