package stat

import (
	"encoding/json"
	"math"

	"gonum.org/v1/gonum/mathext"

	"secondpass/engine/unit"
)

const (
	// Level is the confidence level of every interval of this package: 95 %,
	// the level the project's measures are defined with.
	Level = 0.95
	// Alpha is the chance of error that Level leaves, over both sides.
	Alpha = 1 - Level
)

// z95 is the normal quantile with half of Alpha above it, about 1.96.
var z95 = mathext.NormalQuantile(1 - Alpha/2)

// Interval is an estimate with its 95 % interval.
//
// Value, Low and High are in the unit U. Low <= Value <= High; Value is finite,
// an end of which nothing is known is infinite (see [Interval.Bounded]). N is the
// number of observations behind it (for paired data: of pairs); 0 means no data.
//
// As JSON it is {"value":,"low":,"high":,"n":}, with null for an infinite end.
type Interval[U unit.Unit] struct {
	Value, Low, High U
	N                int
}

// intervalJSON is an Interval as JSON has it.
type intervalJSON struct {
	Value float64  `json:"value"`
	Low   *float64 `json:"low"`
	High  *float64 `json:"high"`
	N     int      `json:"n"`
}

// MarshalJSON writes the interval; an end that is not known is null.
func (i Interval[U]) MarshalJSON() ([]byte, error) {
	plain := i.Plain()
	form := intervalJSON{Value: plain.Value, N: plain.N}
	if !math.IsInf(plain.Low, -1) {
		form.Low = &plain.Low
	}
	if !math.IsInf(plain.High, 1) {
		form.High = &plain.High
	}
	return json.Marshal(form)
}

// UnmarshalJSON reads what MarshalJSON writes. The largest number there is, which earlier files have in place of null,
// is an end that is not known as well.
func (i *Interval[U]) UnmarshalJSON(data []byte) error {
	low, high := -math.MaxFloat64, math.MaxFloat64
	form := intervalJSON{Low: &low, High: &high}
	if err := json.Unmarshal(data, &form); err != nil {
		return err
	}
	*i = Unknown(U(form.Value), form.N)
	if form.Low != nil && *form.Low > -math.MaxFloat64 {
		i.Low = U(*form.Low)
	}
	if form.High != nil && *form.High < math.MaxFloat64 {
		i.High = U(*form.High)
	}
	return nil
}

// Holds reports whether x lies in the interval, ends included. A difference
// whose interval holds 0 is not shown.
func (i Interval[U]) Holds(x U) bool {
	return i.Low <= x && x <= i.High
}

// Bounded reports whether the data said anything about both ends. It is false
// for the interval of a mean from too few observations, whose ends are infinite.
// Such an interval holds everything and should be shown as "not known yet".
// Intervals of shares are always bounded.
func (i Interval[U]) Bounded() bool {
	return !math.IsInf(float64(i.Low), -1) && !math.IsInf(float64(i.High), 1)
}

// Plain is the interval without its unit, for drawing it on an axis.
func (i Interval[U]) Plain() Interval[float64] {
	return Interval[float64]{Value: float64(i.Value), Low: float64(i.Low), High: float64(i.High), N: i.N}
}

// Within cuts the interval to what the number can be; the value is left as it is.
func (i Interval[U]) Within(low, high U) Interval[U] {
	i.Low, i.High = max(low, i.Low), min(high, i.High)
	return i
}

// Negated is the interval of the number with its sign changed.
func (i Interval[U]) Negated() Interval[U] {
	return Interval[U]{Value: -i.Value, Low: -i.High, High: -i.Low, N: i.N}
}

// As says the unit of numbers that had another, or none.
func As[To, From unit.Unit](i Interval[From]) Interval[To] {
	return Interval[To]{Value: To(i.Value), Low: To(i.Low), High: To(i.High), N: i.N}
}

// Over is the interval of the number divided by a known one above 0, which may turn one unit into another.
func Over[To, From unit.Unit](i Interval[From], by float64) Interval[To] {
	return Interval[To]{Value: To(float64(i.Value) / by), Low: To(float64(i.Low) / by), High: To(float64(i.High) / by), N: i.N}
}

// Doubted is the interval of a number that may besides be off by an independent normal error with a standard deviation of
// sd, in the same unit: the squared distances of the ends are added.
//
// Source: as for [Less].
func Doubted[U unit.Unit](i Interval[U], sd float64) Interval[U] {
	if sd == 0 || !i.Bounded() {
		return i
	}
	i.Low = i.Value - U(math.Hypot(float64(i.Value-i.Low), z95*sd))
	i.High = i.Value + U(math.Hypot(float64(i.High-i.Value), z95*sd))
	return i
}

// Exact is a number that is known.
func Exact[U unit.Unit](value U, n int) Interval[U] {
	return Interval[U]{Value: value, Low: value, High: value, N: n}
}

// Less is the first of two independent chances less the second, with a 95 % interval: the squared distances of their ends
// are added. N is the smaller of theirs.
//
// Source: G. Y. Zou and A. Donner, Construction of confidence limits about effect measures: a general approach, Statist.
// Med. 27 (2008) 1693-1702.
func Less(a, b Interval[unit.Chance]) Interval[unit.ChanceDifference] {
	p, q := a.Plain(), b.Plain()
	d := p.Value - q.Value
	return Interval[unit.ChanceDifference]{
		Value: unit.ChanceDifference(d),
		Low:   unit.ChanceDifference(d - math.Hypot(p.Value-p.Low, q.High-q.Value)),
		High:  unit.ChanceDifference(d + math.Hypot(p.High-p.Value, q.Value-q.Low)),
		N:     min(a.N, b.N),
	}
}

// between is an interval from plain numbers.
func between[U unit.Unit](value, low, high float64, n int) Interval[U] {
	return Interval[U]{Value: U(value), Low: U(low), High: U(high), N: n}
}

// Unknown is a number about whose spread nothing is known: its interval is the whole line.
func Unknown[U unit.Unit](value U, n int) Interval[U] {
	return Interval[U]{Value: value, Low: U(math.Inf(-1)), High: U(math.Inf(1)), N: n}
}
