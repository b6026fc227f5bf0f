package stat

import "slices"

// AUC is the area under the receiver operating characteristic: how often, of a case with and one without, the one with
// has the higher score; equal scores count half. 0.5 is a score that tells nothing, NaN where one kind of case is missing.
//
// Source: J. A. Hanley, B. J. McNeil, The meaning and use of the area under a receiver operating characteristic (ROC)
// curve, Radiology 143 (1982) 29-36: it is the statistic of Mann and Whitney by the number of pairs.
func AUC(with, without []float64) float64 {
	without = slices.Sorted(slices.Values(without))
	pairs := 0.0
	for _, x := range with {
		below, _ := slices.BinarySearch(without, x)
		upto, _ := slices.BinarySearchFunc(without, x, func(y, x float64) int {
			if y <= x {
				return -1
			}
			return 1
		})
		pairs += float64(below+upto) / 2
	}
	return pairs / (float64(len(with)) * float64(len(without)))
}
