package stat

import "math"

// Verdict is what a sequential test says; the zero Verdict is not shown.
type Verdict uint8

const (
	// NotShown: the data favour neither hypothesis enough.
	NotShown Verdict = iota
	// Holds: the effect is there; said of none in at most 5 % of runs.
	Holds
	// DoesNotHold: there is no such effect; said of one in at most 5 % of runs.
	DoesNotHold
)

// String is the verdict in words.
func (v Verdict) String() string {
	return [...]string{"not shown", "holds", "does not hold"}[v]
}

// sprtBound is the log-likelihood ratio at which a test with both errors at 5 % ends: ln(0.95/0.05),
// about 2.94 (A. Wald, Sequential Analysis, 1947).
var sprtBound = math.Log((1 - Alpha) / Alpha)

// sprtLeast is the number of observations before which the test does not speak: the normal
// approximation needs some. Our choice.
const sprtLeast = 128

// GSPRT tests, while a run goes on, whether the mean of a sample is at least effect or none. low and high
// are the two hypotheses about the mean, in the unit of the data, low < high; often 0 and the
// smallest effect that matters. It returns the log-likelihood ratio of high against low and the verdict that
// it bears, with a chance of error of about 5 % either way however often one looks. An observation
// is an independent block: for paired or rotated games, the mean over the block.
//
// With fewer than 128 observations, or when all are equal, the ratio is 0.
//
// Source: A. Wald, Sequential Analysis, 1947, section 7.2, the test of a normal mean, whose ratio is n (high-low)
// (2 mean - low - high) / (2 variance), with the variance estimated, which large samples allow (M. S. Bartlett, The large
// sample theory of sequential tests, Proc. Camb. Phil. Soc. 42 (1946) 239-244; D. R. Cox, Large sample sequential tests for
// composite hypotheses, Sankhya A 25 (1963) 5-12). It is then close to the generalised likelihood ratio of any distribution
// with these means (X. Li, J. Liu and Z. Ying, Generalized sequential probability ratio test for separate families of
// hypotheses, Sequential Analysis 33 (2014) 539-563).
func GSPRT(s Sample, low, high float64) (ratio float64, v Verdict) {
	n, variance := s.Count(), s.Variance()
	if n < sprtLeast || variance == 0 {
		return 0, NotShown
	}
	ratio = normalRatio(n, s.Mean(), variance, low, high)
	switch {
	case ratio >= sprtBound:
		v = Holds
	case ratio <= -sprtBound:
		v = DoesNotHold
	}
	return ratio, v
}

func normalRatio(n int, mean, variance, low, high float64) float64 {
	return float64(n) * (high - low) * (2*mean - low - high) / (2 * variance)
}
