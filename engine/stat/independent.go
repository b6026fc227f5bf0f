package stat

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"secondpass/engine/unit"
)

// Independent is the difference of the means of two samples that share no observations, first less second, as a sample:
// with n observations, of which n1 and n2 are in the two, the difference has the variance v1/n1 + v2/n2, so that an observation
// has n times that. Both must have observations.
//
// Source: the influence function of a difference of two conditional means, (1(first)/p)(y - m1) - (1(second)/(1-p))(y - m2),
// for which the sequence of [AsymptoticCS] holds as for a mean (Waudby-Smith et al., arXiv 2103.06476, who use it for the
// difference between two treatments; from memory).
type Independent struct{ First, Second Sample }

// Count is the number of observations of both.
func (i Independent) Count() int { return i.First.Count() + i.Second.Count() }

// Mean is the first mean less the second.
func (i Independent) Mean() float64 { return i.First.Mean() - i.Second.Mean() }

// Variance is Count times that of the difference.
func (i Independent) Variance() float64 {
	n := float64(i.Count())
	return n * (i.First.Variance()/float64(i.First.Count()) + i.Second.Variance()/float64(i.Second.Count()))
}

// DifferenceOfMeans is the mean of a sample less that of another that shares no observations with it, with an interval that
// errs with a chance of alpha, for numbers of observations fixed in advance. N counts the observations of both. With fewer
// than two in one of them, or where nothing varied, it is the whole line.
//
// Source: B. L. Welch, The generalization of Student's problem when several different population variances are involved,
// Biometrika 34 (1947) 28-35.
func DifferenceOfMeans[U unit.Unit](first, second Sample, alpha float64) Interval[U] {
	n1, n2 := float64(first.Count()), float64(second.Count())
	d, n := first.Mean()-second.Mean(), first.Count()+second.Count()
	if min(n1, n2) < 2 || first.Variance()+second.Variance() == 0 {
		return Unknown(U(d), n)
	}
	q1, q2 := first.Variance()/n1, second.Variance()/n2
	freedom := (q1 + q2) * (q1 + q2) / (q1*q1/(n1-1) + q2*q2/(n2-1))
	half := float64(studentT(freedom, alpha) * math.Sqrt(q1+q2))
	return between[U](d, d-half, d+half, n)
}

// DifferenceOfShares is x1/n1 - x2/n2, the shares of two samples that have no observations in common, with an interval
// that errs with a chance of alpha, for n1 and n2 fixed in advance. N is n1 + n2. For counts that cannot be it is that of no data:
// value 0, low -1, high 1, n 0.
//
// Source: R. G. Newcombe, Interval estimation for the difference between independent proportions: comparison of eleven
// methods, Statist. Med. 17 (1998) 873-890, method 10: the Wilson intervals of the two shares, joined as by [Less].
func DifferenceOfShares(x1, n1, x2, n2 int, alpha float64) Interval[unit.ChanceDifference] {
	if !possible(x1, n1) || !possible(x2, n2) {
		return between[unit.ChanceDifference](0, -1, 1, 0)
	}
	z := mathext.NormalQuantile(1 - alpha/2)
	share := func(x, n int) Interval[unit.Chance] {
		low, high := wilsonEnds(float64(x), float64(n-x), z)
		return between[unit.Chance](float64(x)/float64(n), low, high, n)
	}
	d := Less(share(x1, n1), share(x2, n2))
	d.N = n1 + n2
	return d
}

// studentT is the two-sided quantile of Student's t with so many degrees of freedom that leaves alpha outside: beyond t lies
// the regularized incomplete beta function of freedom/(freedom+t*t), with half of freedom and a half (Abramowitz and Stegun
// 26.7.1). The distributions of gonum would bring its linear algebra into readers' pages.
func studentT(freedom, alpha float64) float64 {
	x := mathext.InvRegIncBeta(freedom/2, 0.5, alpha)
	return math.Sqrt(freedom * (1 - x) / x)
}
