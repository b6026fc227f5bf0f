package stat

import (
	"math"
	"math/big"

	"secondpass/engine/unit"
)

// Sample is what the intervals of a mean need to know of the data.
type Sample interface {
	// Count is the number of observations.
	Count() int
	// Mean is their mean, in the unit of the data; 0 without data.
	Mean() float64
	// Variance is the unbiased variance (divisor n-1), in the square of the
	// unit; 0 with fewer than two observations.
	Variance() float64
}

// IntMoments gathers whole numbers of one unit U (spares, options, points, or the
// difference of two of them on one deal) for their mean and spread; those of
// different units are never merged. The zero value is
// empty and ready. It is three exact sums, so merging parts in any order and
// grouping gives the same bits, and two IntMoments compare with ==.
//
// Range: exact while SumSq stays below 2^63, for instance 9e12 numbers up to
// 1,000 in size or 9e6 up to 1,000,000.
type IntMoments[U unit.Unit] struct {
	N     int64 `json:"n"`      // how many numbers
	Sum   int64 `json:"sum"`    // their sum
	SumSq int64 `json:"sum_sq"` // the sum of their squares
}

// Add takes in one number.
func (m *IntMoments[U]) Add(x int) {
	v := int64(x)
	m.N++
	m.Sum += v
	m.SumSq += v * v
}

// Merge takes in all numbers of other.
func (m *IntMoments[U]) Merge(other IntMoments[U]) {
	m.N += other.N
	m.Sum += other.Sum
	m.SumSq += other.SumSq
}

// Count is the number of numbers.
func (m IntMoments[U]) Count() int { return int(m.N) }

// Mean is the mean, 0 without data.
func (m IntMoments[U]) Mean() float64 {
	if m.N == 0 {
		return 0
	}
	return float64(m.Sum) / float64(m.N)
}

// Variance is the unbiased variance, the nearest float64 to the exact
// (n SumSq - Sum^2) / (n (n-1)); 0 with fewer than two numbers.
func (m IntMoments[U]) Variance() float64 {
	if m.N < 2 {
		return 0
	}
	// Both terms of the numerator can pass 2^63 and nearly cancel, so neither
	// int64 nor float64 would do.
	n, sum := big.NewInt(m.N), big.NewInt(m.Sum)
	num := new(big.Int).Mul(n, big.NewInt(m.SumSq))
	num.Sub(num, sum.Mul(sum, sum))
	den := n.Mul(n, big.NewInt(m.N-1))
	variance, _ := new(big.Rat).SetFrac(num, den).Float64()
	return variance
}

// SD is the standard deviation, in the unit of the data; 0 with fewer than two
// numbers.
func (m IntMoments[U]) SD() float64 { return math.Sqrt(m.Variance()) }

// SE is the standard error of the mean, in the unit of the data; 0 with fewer
// than two numbers.
func (m IntMoments[U]) SE() float64 { return standardError(m) }

// Moments gathers numbers that need not be whole for their mean and spread. The
// zero value is empty and ready. Merging in another order may change the last
// bits of the result; use [IntMoments] wherever the data are whole numbers.
//
// Source: B. P. Welford, Technometrics 4 (1962) 419-420, for Add; T. F. Chan,
// G. H. Golub and R. J. LeVeque, Amer. Statist. 37 (1983) 242-247, for Merge.
type Moments struct {
	n    int64
	mean float64
	m2   float64 // sum of squared distances from the mean
}

// Add takes in one number, which must be finite.
func (m *Moments) Add(x float64) {
	m.n++
	delta := x - m.mean
	m.mean += delta / float64(m.n)
	m.m2 += float64(delta * (x - m.mean))
}

// Merge takes in all numbers of other.
func (m *Moments) Merge(other Moments) {
	if other.n == 0 {
		return
	}
	n := m.n + other.n
	delta := other.mean - m.mean
	weight := float64(other.n) / float64(n)
	m.m2 += other.m2 + float64(delta*delta*float64(m.n)*weight)
	m.mean += float64(delta * weight)
	m.n = n
}

// Count is the number of numbers.
func (m Moments) Count() int { return int(m.n) }

// Mean is the mean, 0 without data.
func (m Moments) Mean() float64 { return m.mean }

// Variance is the unbiased variance, 0 with fewer than two numbers.
func (m Moments) Variance() float64 {
	if m.n < 2 {
		return 0
	}
	return m.m2 / float64(m.n-1)
}

// SD is the standard deviation, in the unit of the data; 0 with fewer than two
// numbers.
func (m Moments) SD() float64 { return math.Sqrt(m.Variance()) }

// SE is the standard error of the mean, in the unit of the data; 0 with fewer
// than two numbers.
func (m Moments) SE() float64 { return standardError(m) }

func standardError(s Sample) float64 {
	if s.Count() == 0 {
		return 0
	}
	return math.Sqrt(s.Variance() / float64(s.Count()))
}

// MeanT returns the mean of a sample with Student's 95 % interval, in the unit
// of the data, which the caller names. It is meant for a number of observations fixed in advance; see
// [AsymptoticCS] for a run that is watched. For paired data give it the sample
// of differences.
//
// With fewer than two observations the interval is the whole line, which
// [Interval.Bounded] tells. When all observations are equal it is one point, as
// the formula has it: true of a settled matter, but no evidence after a handful
// of games.
//
// Source: Student, The probable error of a mean, Biometrika 6 (1908) 1-25: mean
// +- t(n-1; 0.975) SD/sqrt(n).
func MeanT[U unit.Unit](s Sample) Interval[U] {
	n, mean := s.Count(), s.Mean()
	if n < 2 {
		return Unknown(U(mean), n)
	}
	half := float64(studentT(float64(n-1), Alpha) * standardError(s))
	return between[U](mean, mean-half, mean+half, n)
}
