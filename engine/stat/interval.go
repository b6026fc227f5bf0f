package stat

import (
	"encoding/json"
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
// share, -1..1 for a difference of shares. Low <= Value <= High; Value is finite,
// an end of which nothing is known is infinite (see [Interval.Bounded]). N is the
// number of observations behind it (for paired data: of pairs); 0 means no data.
//
// As JSON it is {"value":,"low":,"high":,"n":}, with null for an infinite end.
type Interval struct {
	Value float64
	Low   float64
	High  float64
	N     int
}

// intervalJSON is an Interval as JSON has it.
type intervalJSON struct {
	Value float64  `json:"value"`
	Low   *float64 `json:"low"`
	High  *float64 `json:"high"`
	N     int      `json:"n"`
}

// MarshalJSON writes the interval; an end that is not known is null.
func (i Interval) MarshalJSON() ([]byte, error) {
	form := intervalJSON{Value: i.Value, N: i.N}
	if !math.IsInf(i.Low, -1) {
		form.Low = &i.Low
	}
	if !math.IsInf(i.High, 1) {
		form.High = &i.High
	}
	return json.Marshal(form)
}

// UnmarshalJSON reads what MarshalJSON writes. The largest number there is, which earlier files have in place of null,
// is an end that is not known as well.
func (i *Interval) UnmarshalJSON(data []byte) error {
	low, high := -math.MaxFloat64, math.MaxFloat64
	form := intervalJSON{Low: &low, High: &high}
	if err := json.Unmarshal(data, &form); err != nil {
		return err
	}
	*i = Interval{Value: form.Value, Low: math.Inf(-1), High: math.Inf(1), N: form.N}
	if form.Low != nil && *form.Low > -math.MaxFloat64 {
		i.Low = *form.Low
	}
	if form.High != nil && *form.High < math.MaxFloat64 {
		i.High = *form.High
	}
	return nil
}

// Holds reports whether x lies in the interval, ends included. A difference
// whose interval holds 0 is not shown.
func (i Interval) Holds(x float64) bool {
	return i.Low <= x && x <= i.High
}

// Bounded reports whether the data said anything about both ends. It is false
// for the interval of a mean from too few observations, whose ends are infinite.
// Such an interval holds everything and should be shown as "not known yet".
// Intervals of shares are always bounded.
func (i Interval) Bounded() bool {
	return !math.IsInf(i.Low, -1) && !math.IsInf(i.High, 1)
}

// wholeLine is the interval of a mean about whose spread nothing is known.
func wholeLine(value float64, n int) Interval {
	return Interval{Value: value, Low: math.Inf(-1), High: math.Inf(1), N: n}
}
