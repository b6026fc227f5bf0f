package stat

// Histogram counts small whole numbers from 0 up (spares, options, jokers):
// element v is how often v was seen. The zero value is empty and ready. Its
// length is the largest value seen plus one, so histograms of the same data are
// equal however they were merged. It uses memory in proportion to the largest
// value.
type Histogram []int64

// Add counts one value, which must not be negative; like an index below 0, a
// negative value panics.
func (h *Histogram) Add(value int) {
	h.grow(value + 1)
	(*h)[value]++
}

// Merge adds the counts of other, which it leaves as they are.
func (h *Histogram) Merge(other Histogram) {
	h.grow(len(other))
	for value, count := range other {
		(*h)[value] += count
	}
}

func (h *Histogram) grow(length int) {
	if missing := length - len(*h); missing > 0 {
		*h = append(*h, make([]int64, missing)...)
	}
}

// Count is the number of values counted.
func (h Histogram) Count() int {
	return h.AtMost(len(h) - 1)
}

// AtMost is the number of values counted that are no larger than limit.
func (h Histogram) AtMost(limit int) int {
	total := int64(0)
	for value, count := range h {
		if value > limit {
			break
		}
		total += count
	}
	return int(total)
}

// Moments is the same data as exact sums, for [MeanT].
func (h Histogram) Moments() IntMoments[float64] {
	var m IntMoments[float64]
	for value, count := range h {
		v := int64(value)
		m.N += count
		m.Sum += count * v
		m.SumSq += count * v * v
	}
	return m
}

// Mean is the mean value, 0 without data.
func (h Histogram) Mean() float64 { return h.Moments().Mean() }

// Median is the middle value, or the mean of the two middle ones when their
// number is even; 0 without data.
func (h Histogram) Median() float64 {
	n := h.Count()
	if n == 0 {
		return 0
	}
	return float64(h.ranked((n+1)/2)+h.ranked(n/2+1)) / 2
}

// Percentile is the smallest value seen such that at least pct per cent of all
// values are no larger; pct is a whole number, taken as 0 below 0 (the smallest
// value) and as 100 above 100 (the largest). 0 without data.
//
// Source: definition 1 of R. J. Hyndman and Y. Fan, Sample quantiles in
// statistical packages, Amer. Statist. 50 (1996) 361-365, which always names a
// value that was seen.
func (h Histogram) Percentile(pct int) int {
	n := h.Count()
	if n == 0 {
		return 0
	}
	pct = min(100, max(0, pct))
	// Whole numbers, rounded up: a float64 product such as 0.07*100 would
	// land a hair above 7 and name the next value.
	return h.ranked(max(1, (n*pct+99)/100))
}

// ranked is the value at a rank, 1 for the smallest of all values counted.
// The rank must be in 1..Count().
func (h Histogram) ranked(rank int) int {
	seen := int64(0)
	for value, count := range h {
		seen += count
		if seen >= int64(rank) {
			return value
		}
	}
	return len(h) - 1
}
