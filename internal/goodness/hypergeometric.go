package goodness

import (
	"math"
	"math/big"
)

// HypergeometricPMF returns the chance, 0..1, that a draw of drawn tiles without
// replacement from total tiles, good of them wanted, holds exactly k wanted ones.
// A k that cannot happen has chance 0. It is NaN unless good and drawn are both
// in 0..total.
//
// Source: C(good, k) C(total-good, drawn-k) / C(total, drawn), worked out in
// whole numbers and rounded once.
func HypergeometricPMF(k, good, total, drawn int) float64 {
	return HypergeometricBetween(k, k, good, total, drawn)
}

// HypergeometricCDF returns the chance, 0..1, of at most k wanted tiles in the
// draw that [HypergeometricPMF] describes, with the same method and limits.
func HypergeometricCDF(k, good, total, drawn int) float64 {
	return HypergeometricBetween(0, k, good, total, drawn)
}

// HypergeometricBetween returns the chance, 0..1, of low..high wanted tiles, both
// ends included, in the draw that [HypergeometricPMF] describes, with the same
// method and limits. An empty range has chance 0. The chance of at least k is
// that of k..drawn, without the loss of 1 minus a number close to 1.
func HypergeometricBetween(low, high, good, total, drawn int) float64 {
	if good < 0 || drawn < 0 || good > total || drawn > total {
		return math.NaN()
	}
	low = max(low, 0, drawn-(total-good))
	high = min(high, good, drawn)
	sum := new(big.Int)
	for k := low; k <= high; k++ {
		ways := choose(good, k)
		sum.Add(sum, ways.Mul(ways, choose(total-good, drawn-k)))
	}
	chance, _ := new(big.Rat).SetFrac(sum, choose(total, drawn)).Float64()
	return chance
}

// MultiHypergeometricLogPMF returns the natural logarithm of the chance that a
// draw without replacement from a pool of several kinds holds exactly drawn[i]
// tiles of each kind i, where pool[i] tiles of that kind are to be had. The two
// slices have one element per kind, in the same order, and stay as they are. A
// draw that cannot happen has -Inf. It is NaN when the lengths differ or a pool
// count is negative.
//
// Source: the product over kinds of C(pool, drawn), over C of the two sums,
// worked out in whole numbers.
func MultiHypergeometricLogPMF(drawn, pool []int) float64 {
	if len(drawn) != len(pool) {
		return math.NaN()
	}
	ways := big.NewInt(1)
	total, taken := 0, 0
	impossible := false
	for kind, have := range pool {
		take := drawn[kind]
		if have < 0 {
			return math.NaN()
		}
		if take < 0 || take > have {
			impossible = true
			continue
		}
		total, taken = total+have, taken+take
		ways.Mul(ways, choose(have, take))
	}
	if impossible {
		return math.Inf(-1)
	}
	return logRatio(ways, choose(total, taken))
}

// choose is the number of ways to pick k of n, for 0 <= k <= n.
func choose(n, k int) *big.Int {
	return new(big.Int).Binomial(int64(n), int64(k))
}

// logRatio is ln(num/den) for num, den > 0. The ratio itself may be too small
// for a float64, so its power of two is taken out first.
func logRatio(num, den *big.Int) float64 {
	ratio := new(big.Float).SetPrec(128).Quo(new(big.Float).SetInt(num), new(big.Float).SetInt(den))
	mantissa := new(big.Float)
	exponent := ratio.MantExp(mantissa)
	// For a ratio near 1 the mantissa is just below 1 and the exponent 0, so
	// nothing cancels.
	m, _ := mantissa.Float64()
	return math.Log(m) + float64(exponent)*math.Ln2
}
