package stat

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// noShare is the interval of a share without data: anything from 0 to 1.
var noShare = Interval{Value: 0, Low: 0, High: 1, N: 0}

// Wilson returns the share successes/n with its 95 % score interval, all in
// 0..1. It is meant for a number of trials fixed in advance; see [BernoulliCS]
// for a run that is watched. With n = 0, and for counts that cannot be, it
// returns value 0, low 0, high 1, n 0.
//
// Source: E. B. Wilson, Probable inference, the law of succession, and
// statistical inference, J. Amer. Statist. Assoc. 22 (1927) 209-212; method 3
// (no continuity correction) of R. G. Newcombe, Statist. Med. 17 (1998) 857-872.
func Wilson(successes, n int) Interval {
	if !possible(successes, n) {
		return noShare
	}
	share := float64(successes) / float64(n)
	low, high := wilsonEnds(successes, n)
	return Interval{Value: share, Low: low, High: high, N: n}
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
func ClopperPearson(successes, n int) Interval {
	if !possible(successes, n) {
		return noShare
	}
	x, y := float64(successes), float64(n-successes)
	result := Interval{Value: x / float64(n), Low: 0, High: 1, N: n}
	if successes > 0 {
		result.Low = distuv.Beta{Alpha: x, Beta: y + 1}.Quantile(Alpha / 2)
	}
	if successes < n {
		result.High = distuv.Beta{Alpha: x + 1, Beta: y}.Quantile(1 - Alpha/2)
	}
	return result
}

// possible reports whether successes out of n is a count of at least one trial.
func possible(successes, n int) bool {
	return n > 0 && successes >= 0 && successes <= n
}
