package stat

import (
	"math"

	"secondpass/engine/unit"
)

// Clusters gathers, game by game, a part and the whole that it is part of, for the share of the whole: of
// the flowers held at a step, those passed. What is counted within one game hangs together, so games are what is counted as
// observations. The zero value is empty and ready; the sums are exact.
type Clusters struct {
	Games   int64 `json:"games"`
	Part    int64 `json:"part"`
	Whole   int64 `json:"whole"`
	PartSq  int64 `json:"part_sq"`
	WholeSq int64 `json:"whole_sq"`
	Product int64 `json:"product"`
}

// Add takes in one game; 0 <= part <= whole.
func (c *Clusters) Add(part, whole int) {
	p, w := int64(part), int64(whole)
	c.Games++
	c.Part += p
	c.Whole += w
	c.PartSq += p * p
	c.WholeSq += w * w
	c.Product += p * w
}

// Merge takes in all games of other.
func (c *Clusters) Merge(other *Clusters) {
	c.Games += other.Games
	c.Part += other.Part
	c.Whole += other.Whole
	c.PartSq += other.PartSq
	c.WholeSq += other.WholeSq
	c.Product += other.Product
}

// Share is Part by Whole, 0..1, with its 95 % interval; N counts games. Without a whole it is 0, with 0 to 1.
//
// Source (from memory): the variance is that of the ratio estimator in its linear form (W. G. Cochran,
// Sampling Techniques, 3rd ed. 1977, section 6.3: the mean of (part - share x whole) squared). The interval is
// Wilson's with as many independent observations as give that variance, which stays in 0..1 and holds
// its level for rare events too (N. Dean and M. Pagano, J. Surv. Stat. Methodol. 3 (2015) 484-503). Where nothing or everything
// was part of the whole, nothing is known of the spread, and each game counts as one observation.
func (c *Clusters) Share() Interval[unit.Chance] {
	if c.Whole == 0 {
		return Interval[unit.Chance]{High: 1, N: int(c.Games)}
	}
	p := float64(c.Part) / float64(c.Whole)
	size := float64(min(c.Games, c.Whole))
	// PartSq - 2 p Product + p^2 WholeSq is a sum of squares, whatever rounding makes of it.
	square := float64(c.PartSq) - float64(2*p*float64(c.Product)) + float64(p*p*float64(c.WholeSq))
	if g := float64(c.Games); c.Games > 1 && c.Part > 0 && c.Part < c.Whole && square > 0 {
		variance := square * g / (g - 1) / (float64(c.Whole) * float64(c.Whole))
		size = math.Max(1, p*(1-p)/variance)
	}
	low, high := wilsonEnds(p*size, size-float64(p*size), z95)
	return between[unit.Chance](p, low, high, int(c.Games))
}

// Lift is how many times as often something came among those held as among all: both/held by came/all, where both counts
// those held of which it came. Its 95 % interval is by the normal approximation of its logarithm. N is held. With nothing to
// go by the interval has no upper end ([Interval.Bounded]).
//
// Source: delta method on the four counts of a two-by-two table: the variance of the logarithm is
// 1/both - 1/held - 1/came + (2 lift - 1)/all. Where none came, the upper end is that of Wilson's interval for the share, by
// the share of all.
func Lift(both, held, came, all int64) Interval[unit.Ratio] {
	if held == 0 || came == 0 {
		return Interval[unit.Ratio]{High: unit.Ratio(math.Inf(1)), N: int(held)}
	}
	share := float64(came) / float64(all)
	if both == 0 {
		return Interval[unit.Ratio]{High: unit.Ratio(float64(Wilson(0, int(held)).High) / share), N: int(held)}
	}
	lift := float64(both) / float64(held) / share
	variance := 1/float64(both) - 1/float64(held) - 1/float64(came) + (2*lift-1)/float64(all)
	factor := math.Exp(z95 * math.Sqrt(max(0, variance)))
	return between[unit.Ratio](lift, lift/factor, lift*factor, int(held))
}

// RatioOfMeans is times the mean of one sample by the mean of another, taken on the same observations, with a 95 % interval
// for a number of observations fixed in advance; ok is false where a mean is not above 0 or there are fewer than two
// observations. The covariance is that of the two on one observation.
//
// Source: delta method on the logarithm of the ratio, with Student's quantile.
func RatioOfMeans(first, second Sample, covariance, times float64) (ratio Interval[unit.Ratio], ok bool) {
	n, a, b := first.Count(), first.Mean(), second.Mean()
	if n < 2 || a <= 0 || b <= 0 {
		return Interval[unit.Ratio]{N: n}, false
	}
	relative := first.Variance()/(a*a) + second.Variance()/(b*b) - 2*covariance/(a*b)
	half := studentT(float64(n-1), Alpha) * math.Sqrt(max(0, relative)/float64(n))
	value := times * a / b
	return between[unit.Ratio](value, value*math.Exp(-half), value*math.Exp(half), n), true
}
