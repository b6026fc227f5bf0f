package goodness

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Predicted is a group of cases with a chance predicted for each: their number, the sum of the chances, and in how many
// of them the thing was seen.
type Predicted struct {
	Count   int
	Chances float64
	Seen    int
}

// HosmerLemeshow asks whether chances that were predicted for single cases are those with which the thing is seen. The cases
// are grouped by rising prediction, usually in tenths; fitted is the number of groups' worth of freedom that a fit to the
// same cases has used up, 2 for a logistic regression, 0 for predictions made beforehand. A small P speaks
// against the predictions.
//
// It returns ErrCells where a group is empty, or its numbers cannot be, and ErrSparse where no freedom is left. A group in which
// only 0 or only 1 was predicted and something else was seen settles the matter: Stat +Inf, P 0.
//
// Source: D. W. Hosmer, S. Lemeshow, Goodness of fit tests for the multiple logistic regression model, Communications in
// Statistics - Theory and Methods 9 (1980) 1043-1069.
func HosmerLemeshow(groups []Predicted, fitted int) (ChiSquare, error) {
	result := ChiSquare{DF: len(groups) - fitted}
	if result.DF < 1 {
		return ChiSquare{}, ErrSparse
	}
	for _, g := range groups {
		n := float64(g.Count)
		if g.Count < 1 || g.Seen < 0 || g.Seen > g.Count || !(0 <= g.Chances && g.Chances <= n) {
			return ChiSquare{}, ErrCells
		}
		d := float64(g.Seen) - g.Chances
		if d != 0 {
			result.Stat += d * d / (g.Chances * (1 - g.Chances/n))
		}
	}
	if math.IsInf(result.Stat, 1) {
		return ChiSquare{Stat: result.Stat}, nil
	}
	result.P = distuv.ChiSquared{K: float64(result.DF)}.Survival(result.Stat)
	return result, nil
}
