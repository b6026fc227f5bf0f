package cardreport

import (
	"math"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
)

// Ratio gathers, game by game, a part and the whole that it is part of, for the share of the whole: of
// the flowers held at a step, those passed. Tiles of one game hang together, so games are what is counted as
// observations. The zero value is empty and ready; the sums are exact.
type Ratio struct {
	Games   int64 `json:"games"`
	Part    int64 `json:"part"`
	Whole   int64 `json:"whole"`
	PartSq  int64 `json:"part_sq"`
	WholeSq int64 `json:"whole_sq"`
	Product int64 `json:"product"`
}

// Add takes in one game; 0 <= part <= whole.
func (r *Ratio) Add(part, whole int) {
	p, w := int64(part), int64(whole)
	r.Games++
	r.Part += p
	r.Whole += w
	r.PartSq += p * p
	r.WholeSq += w * w
	r.Product += p * w
}

// Merge takes in all games of other.
func (r *Ratio) Merge(other *Ratio) {
	r.Games += other.Games
	r.Part += other.Part
	r.Whole += other.Whole
	r.PartSq += other.PartSq
	r.WholeSq += other.WholeSq
	r.Product += other.Product
}

// Share is Part by Whole, 0..1, with its 95 % interval; N counts games. Without a whole it is 0, with 0 to 1.
//
// Source (from memory): the variance is that of the ratio estimator in its linear form (W. G. Cochran,
// Sampling Techniques, 3rd ed. 1977, section 6.3: the mean of (part - share x whole) squared). The interval is
// Wilson's with as many independent observations as give that variance, which stays in 0..1 and holds
// its level for rare events too (N. Dean and M. Pagano, J. Surv. Stat. Methodol. 3 (2015) 484-503). Where nothing or everything
// was part of the whole, nothing is known of the spread, and each game counts as one observation.
func (r *Ratio) Share() stat.Interval[unit.Chance] {
	i := stat.Interval[unit.Chance]{High: 1, N: int(r.Games)}
	if r.Whole == 0 {
		return i
	}
	p := float64(r.Part) / float64(r.Whole)
	n := float64(min(r.Games, r.Whole))
	// PartSq - 2 p Product + p^2 WholeSq is a sum of squares, whatever rounding makes of it.
	square := float64(r.PartSq) - 2*p*float64(r.Product) + p*p*float64(r.WholeSq)
	if g := float64(r.Games); r.Games > 1 && r.Part > 0 && r.Part < r.Whole && square > 0 {
		variance := square * g / (g - 1) / (float64(r.Whole) * float64(r.Whole))
		n = math.Max(1, p*(1-p)/variance)
	}
	low, high := wilson(p, n)
	i.Value, i.Low, i.High = unit.Chance(p), unit.Chance(low), unit.Chance(high)
	return i
}

// wilson is the ends of Wilson's 95 % interval for a share among a number of observations that need not be whole,
// as stat.Wilson has it for whole ones.
func wilson(share, n float64) (low, high float64) {
	z2 := normal95 * normal95
	centre := (share + z2/(2*n)) / (1 + z2/n)
	half := normal95 * math.Sqrt(share*(1-share)/n+z2/(4*n*n)) / (1 + z2/n)
	return min(share, max(0, centre-half)), max(share, min(1, centre+half))
}
