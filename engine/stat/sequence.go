package stat

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"secondpass/engine/unit"
)

// The intervals of this file are confidence sequences: with a chance of 95 % the
// whole sequence, at every moment of the run at once, holds the true value. So
// one may look after every game and stop for any reason. The price is width,
// about 1.5 to 2 times that of an interval for a fixed number of games.
//
// Each is tuned to be narrowest near a number of observations named in advance
// (nOpt). The tuning must not be changed after looking, but a bad guess costs
// only width, never validity.

// normalMixture returns the bound that a sum of centred observations stays
// inside at all times at once, with a chance of 1-alpha: |S| < normalMixture(v, r, alpha)
// for every moment of the run. v >= 0 is the variance gathered so far (the
// number of observations times the variance of one) and r > 0 the tuning, of the
// same unit, from [NormalMixtureR]. The bound is in the unit of the data. With
// v < 0 or r <= 0 it is NaN.
//
// It holds at any number of observations, few or many, when v counts a variance
// that is sub-Gaussian: (hi-lo)^2/4 for each observation between lo and hi.
//
// Source: H. Robbins, Ann. Math. Statist. 41 (1970) 1397-1409; S. R. Howard,
// A. Ramdas, J. McAuliffe and J. Sekhon, Time-uniform, nonparametric,
// nonasymptotic confidence sequences, Ann. Statist. 49 (2021) 1055-1080,
// two-sided normal mixture: sqrt((v+r) ln((v+r)/(r alpha^2))).
func normalMixture(v, r, alpha float64) float64 {
	if v < 0 || r <= 0 {
		return math.NaN()
	}
	return math.Sqrt((v + r) * math.Log((v+r)/(r*alpha*alpha)))
}

// NormalMixtureR returns the tuning r that makes the normal mixture narrowest, at the level [Level], near
// enough, when the variance gathered is vOpt; vOpt > 0, same unit as v.
//
// Source: as for normalMixture, the closed form in place of the exact best r:
// v / (2 ln(1/alpha) + ln(1 + 2 ln(1/alpha))).
func NormalMixtureR(vOpt float64) float64 {
	log := math.Log(1 / Alpha)
	return vOpt / (2*log + math.Log1p(2*log))
}

// leastOpt is the smallest tuning of BernoulliCS, where the prior weighs about as
// much as one game. The rule for it breaks down at half of that.
const leastOpt = 16

// BernoulliCS returns the share successes/n with a 95 % interval that stays
// valid however often one looks and whenever one stops, all in 0..1. It is
// narrowest, for its kind, near n = nOpt; an nOpt below 16 is taken as 16. With
// n = 0, and for counts that cannot be, it returns value 0, low 0, high 1, n 0.
//
// Method: for each p, the chance of the outcomes so far under a beta-binomial
// mixture with prior Beta(k p, k (1-p)), over their chance under p, is a
// martingale that starts at 1 if p is the truth, so it ever passes 1/alpha with
// a chance of at most alpha. The interval is the set of p where it has not. k is
// nOpt / (2 ln(1/alpha) + ln(1 + 2 ln(1/alpha))) - 1.
//
// Source: Howard et al. (see [NormalMixture]), two-sided beta-binomial mixture,
// with the tuning of the authors' reference implementation (confseq): variance
// nOpt p(1-p) put into the rule of [NormalMixtureR].
func BernoulliCS(successes, n, nOpt int) Interval[unit.Chance] {
	if !possible(successes, n) {
		return noShare
	}
	prior := NormalMixtureR(float64(max(leastOpt, nOpt))) - 1
	return between[unit.Chance](float64(successes)/float64(n), bernoulliLow(successes, n, prior), 1-bernoulliLow(n-successes, n, prior), n)
}

// bernoulliLow is the lower end of the set where the martingale of BernoulliCS
// has stayed within 1/alpha.
//
// The logarithm of the martingale is convex in p: with x successes and y
// failures its slope is
//
//	-(sum over i < x of i/(p(kp+i))) + (sum over i < y of i/(q(kq+i))), q = 1-p,
//
// and both parts grow with p. At p = x/n it is at most 0, since no mixture beats
// the best p. So the set is an interval around x/n and halving finds its end.
// With x <= 1 the first sum is 0 and the martingale only falls towards p = 0:
// the end is 0 itself.
func bernoulliLow(successes, n int, prior float64) float64 {
	if successes <= 1 {
		return 0
	}
	x, y := float64(successes), float64(n-successes)
	outside, inside := 0.0, x/float64(n)
	for {
		p := outside + (inside-outside)/2
		if p == outside || p == inside {
			return outside
		}
		a, b := float64(prior*p), float64(prior*(1-p))
		logMartingale := mathext.Lbeta(a+x, b+y) - mathext.Lbeta(a, b) -
			float64(x*math.Log(p)) - float64(y*math.Log1p(-p))
		if logMartingale < math.Log(1/Alpha) {
			inside = p
		} else {
			outside = p
		}
	}
}

// asymptoticStart is the number of observations from which AsymptoticCS speaks.
// Its guarantee is for sequences that start late enough for the central limit
// theorem; the number is our choice, tried on skewed data in the tests.
const asymptoticStart = 128

// AsymptoticCS returns the mean of a sample with a 95 % interval that stays
// valid, for large samples, however often one looks and whenever one stops; in
// the unit of the data. For paired data give it the sample of differences. It is
// narrowest near nOpt observations; an nOpt below 1 is taken as 1.
//
// With fewer than 128 observations, or when all are equal so that nothing is
// known of the spread, the interval is the whole line, which [Interval.Bounded]
// tells.
//
// Lopsided data need more than that for the guarantee to begin: fair sequences
// that are mostly small losses and now and then one large win keep the level
// with a win in 10, but not with a win in 50. Differences of two candidates on
// the same deals are seldom lopsided. For a share there is [BernoulliCS], which
// needs no large sample.
//
// Source: I. Waudby-Smith, D. Arbour, R. Sinha, E. H. Kennedy and A. Ramdas,
// Time-uniform central limit theory and asymptotic confidence sequences,
// arXiv 2103.06476: mean +- SD sqrt(2 (n q + 1)/(n^2 q) ln(sqrt(n q + 1)/alpha))
// with q = (-2 ln alpha + ln(-2 ln alpha) + 1)/nOpt.
func AsymptoticCS[U unit.Unit](s Sample, nOpt int) Interval[U] { return AsymptoticCSOf[U](s, nOpt, 1) }

// AsymptoticCSOf is [AsymptoticCS] for one of several differences, 1 or more, that are looked at together: with a chance
// of 95 % all of them hold their true values at every moment. Source: as for AsymptoticCS, and Bonferroni's inequality.
func AsymptoticCSOf[U unit.Unit](s Sample, nOpt, several int) Interval[U] {
	n, mean, variance := s.Count(), s.Mean(), s.Variance()
	if n < asymptoticStart || variance == 0 {
		return Unknown(U(mean), n)
	}
	alpha := Alpha / float64(max(1, several))
	log := -2 * math.Log(alpha)
	q := (log + math.Log(log) + 1) / float64(max(1, nOpt))
	grown := float64(float64(n)*q) + 1
	half := math.Sqrt(variance * 2 * grown / (float64(n) * float64(n) * q) *
		math.Log(math.Sqrt(grown)/alpha))
	return between[U](mean, mean-half, mean+half, n)
}

// BoundedCSOf is the mean of observations that lie within a span (the greatest less the smallest there can be, in the unit
// of the data, above 0) with an interval that stays valid however often one looks, at any number of observations, few or
// many and however rare the differing ones: the price is width, since nothing but the span is used. It is one of several
// as in [AsymptoticCSOf]. Without observations it is the whole line.
//
// Source: as for [NormalMixture], with the variance span^2/4 of an observation (W. Hoeffding, J. Amer. Statist. Assoc. 58
// (1963) 13-30).
func BoundedCSOf[U unit.Unit](s Sample, span float64, nOpt, several int) Interval[U] {
	n, mean := s.Count(), s.Mean()
	if n == 0 {
		return Unknown(U(0), 0)
	}
	one := span * span / 4
	half := normalMixture(float64(n)*one, NormalMixtureR(float64(max(1, nOpt))*one), Alpha/float64(max(1, several))) / float64(n)
	return between[U](mean, mean-half, mean+half, n)
}

// StudentCSOf is the mean of a sample with an interval that stays valid however often one looks and whenever one stops, for
// normal observations of unknown spread at any number of them from 2 on, so for few games, where [AsymptoticCSOf] does not
// speak yet; for paired data give it the sample of differences. It is narrowest near nOpt observations and one of several as
// in AsymptoticCSOf. Too few observations for the level, or all equal ones, give the whole line, which [Interval.Bounded]
// tells.
//
// Method: with Student's t of n observations for each mean m, the chance of t if the mean is m and a normal amount off, with
// variance c^2 in standard deviations, over that if it is m, is a martingale that starts at 1:
// (1+nc^2)^(-1/2) ((1+t^2/(n-1)) / (1+t^2/((n-1)(1+nc^2))))^(n/2). The interval is the set of m where it is within 1/alpha. c is
// that of the known spread ([NormalMixtureR]).
//
// Source: T. L. Lai, On confidence sequences, Ann. Statist. 4 (1976) 265-280; H. Wang and A. Ramdas, Anytime-valid t-tests and
// confidence sequences for Gaussian means with unknown variance, arXiv 2310.03722.
func StudentCSOf[U unit.Unit](s Sample, nOpt, several int) Interval[U] {
	n, mean := s.Count(), s.Mean()
	if n < 2 || s.Variance() == 0 {
		return Unknown(U(mean), n)
	}
	log := math.Log(float64(max(1, several)) / Alpha)
	grown := 1 + float64(n)*(2*log+math.Log1p(2*log))/float64(max(1, nOpt))
	ratio := math.Exp((2*log + math.Log(grown)) / float64(n))
	if ratio >= grown {
		return Unknown(U(mean), n)
	}
	half := float64(math.Sqrt(float64(n-1)*(ratio-1)/(1-ratio/grown)) * standardError(s))
	return between[U](mean, mean-half, mean+half, n)
}
