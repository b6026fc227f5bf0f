package stat

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

const (
	// Level is the confidence level of every interval of this package: 95 %,
	// the level the project's measures are defined with.
	Level = 0.95
	// Alpha is the chance of error that Level leaves, over both sides.
	Alpha = 1 - Level
)

// z95 is the normal quantile with half of Alpha above it, about 1.96.
var z95 = distuv.UnitNormal.Quantile(1 - Alpha/2)

// Interval is an estimate with its 95 % interval.
//
// Value, Low and High share one unit: that of the data for a mean, 0..1 for a
// share, -1..1 for a difference of shares. Low <= Value <= High, all three
// finite, so that an Interval always marshals to JSON. N is the number of
// observations behind it (for paired data: of pairs); 0 means no data.
type Interval struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
	N     int     `json:"n"`
}

// Holds reports whether x lies in the interval, ends included. A difference
// whose interval holds 0 is not shown.
func (i Interval) Holds(x float64) bool {
	return i.Low <= x && x <= i.High
}

// Bounded reports whether the data said anything about both ends. It is false
// for the interval of a mean from too few observations, whose ends are
// -math.MaxFloat64 and math.MaxFloat64: the whole line, in numbers that JSON
// can carry. Such an interval holds everything and should be shown as "not
// known yet". Intervals of shares are always bounded.
func (i Interval) Bounded() bool {
	return i.Low > -math.MaxFloat64 && i.High < math.MaxFloat64
}

// wholeLine is the interval of a mean about whose spread nothing is known.
func wholeLine(value float64, n int) Interval {
	return Interval{Value: value, Low: -math.MaxFloat64, High: math.MaxFloat64, N: n}
}
