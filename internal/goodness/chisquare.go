package goodness

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Errors of [ChiSquareTest].
var (
	// ErrCells: the slices differ in length, or hold a negative count, or an
	// expected number that is negative or not finite.
	ErrCells = errors.New("goodness: observed and expected cells do not fit each other")
	// ErrTotals: observed and expected do not add up to the same total.
	ErrTotals = errors.New("goodness: observed and expected totals differ")
	// ErrSparse: fewer than two cells are left after pooling, so that there is
	// nothing to compare.
	ErrSparse = errors.New("goodness: too few observations for a chi-square test")
)

const (
	// leastExpected is the smallest expected number a cell may have, the
	// usual rule of thumb (Cochran 1954).
	leastExpected = 5
	// totalsTolerance is the relative difference of totals that is put down to
	// rounding in the caller's expected numbers.
	totalsTolerance = 1e-6
)

// ChiSquare is the result of [ChiSquareTest].
type ChiSquare struct {
	Stat float64 // sum of (observed-expected)^2/expected over the cells, >= 0, +Inf if the impossible was seen
	DF   int     // cells left after pooling, minus one; 0 if the impossible was seen
	P    float64 // chance of a Stat at least as large if expected is right, 0..1
}

// ChiSquareTest asks whether counts fit the numbers expected of them, which must
// be known beforehand and not fitted to the counts. The two slices have one
// element per cell, in the same order, and stay as they are. A small P speaks
// against the fit.
//
// Cells that expect fewer than 5 are pooled into one; if that one still expects
// fewer than 5, the next smallest cells join it. A cell that expects exactly 0
// and was seen settles the matter: Stat +Inf, P 0.
//
// It returns ErrCells, ErrTotals or ErrSparse, see there.
//
// Source: K. Pearson, Phil. Mag. 50 (1900) 157-175; pooling as in W. G. Cochran,
// Some methods for strengthening the common chi-square tests, Biometrics 10
// (1954) 417-451. Which cells are pooled is our choice; it depends on the
// expected numbers alone, so it does not disturb the test.
func ChiSquareTest(observed []int, expected []float64) (ChiSquare, error) {
	cells, err := pair(observed, expected)
	if err != nil {
		return ChiSquare{}, err
	}
	for _, c := range cells {
		if c.expected == 0 && c.observed > 0 {
			return ChiSquare{Stat: math.Inf(1), P: 0}, nil
		}
	}
	cells = pool(cells)
	if len(cells) < 2 {
		return ChiSquare{}, ErrSparse
	}
	result := ChiSquare{DF: len(cells) - 1}
	for _, c := range cells {
		d := c.observed - c.expected
		result.Stat += d * d / c.expected
	}
	result.P = distuv.ChiSquared{K: float64(result.DF)}.Survival(result.Stat)
	return result, nil
}

// cell is one outcome: how often it was seen and should be.
type cell struct{ observed, expected float64 }

// pair checks the two slices against each other and joins them.
func pair(observed []int, expected []float64) ([]cell, error) {
	if len(observed) != len(expected) {
		return nil, ErrCells
	}
	cells := make([]cell, len(observed))
	var total cell
	for i, o := range observed {
		e := expected[i]
		if o < 0 || e < 0 || math.IsNaN(e) || math.IsInf(e, 0) {
			return nil, ErrCells
		}
		cells[i] = cell{float64(o), e}
		total.observed += float64(o)
		total.expected += e
	}
	if math.Abs(total.observed-total.expected) > totalsTolerance*total.observed {
		return nil, ErrTotals
	}
	return cells, nil
}

// pool joins the cells that expect too little, smallest first, until what they
// expect together and what each other cell expects is enough, or one is left.
// All of them end up in the same cell, the first.
func pool(cells []cell) []cell {
	slices.SortStableFunc(cells, func(a, b cell) int { return cmp.Compare(a.expected, b.expected) })
	for len(cells) > 1 && (cells[0].expected < leastExpected || cells[1].expected < leastExpected) {
		joined := cell{cells[0].observed + cells[1].observed, cells[0].expected + cells[1].expected}
		cells = cells[1:]
		cells[0] = joined
	}
	return cells
}
