package drill

import (
	"fmt"
	"math"
)

// Rating is how strong a student or how difficult a drill is, on the usual scale on which 1500 is the middle.
type Rating struct {
	// Value is the rating, Deviation its standard error; with two of them to both sides it is 95 % sure.
	Value     float64 `json:"value"`
	Deviation float64 `json:"deviation"`
	// Volatility is how much the rating is expected to move.
	Volatility float64 `json:"volatility"`
}

// NewRating is that of a student of whom nothing is known.
var NewRating = Rating{Value: 1500, Deviation: 350, Volatility: 0.06}

const (
	// glickoScale turns ratings into Glicko-2's inner scale.
	glickoScale = 173.7178
	// glickoTau bounds how fast the volatility changes; the paper finds 0.3 to 1.2 reasonable.
	glickoTau = 0.5
	// glickoExact is how exactly the volatility is found, as in the paper.
	glickoExact = 1e-6
	// mostDeviation is the deviation of one of whom nothing is known.
	mostDeviation = 350
)

// Against is the chance, 0 to 1, that one of this rating does better than one of another, both taken as exact: a student who
// answers a drill, or a drill that is answered wrongly.
//
// Source: step 3 of the paper named at [Rating.After], without deviations.
func (r Rating) Against(other Rating) float64 {
	return 1 / (1 + math.Exp((other.Value-r.Value)/glickoScale))
}

// Meeting is a result against an opponent: 1 for a win, 0 for a loss.
type Meeting struct {
	Opponent Rating
	Score    float64
}

// After is the rating after the meetings of one rating period. No meetings only make it less sure.
//
// Source: M. E. Glickman, Example of the Glicko-2 system, Boston University, 2013 (revised 2022), steps 2 to 8.
func (r Rating) After(meetings ...Meeting) Rating {
	mu, phi := (r.Value-NewRating.Value)/glickoScale, r.Deviation/glickoScale
	if len(meetings) == 0 {
		r.Deviation = min(mostDeviation, glickoScale*math.Hypot(phi, r.Volatility))
		return r
	}
	var invV, sum float64
	for _, m := range meetings {
		muJ, phiJ := (m.Opponent.Value-NewRating.Value)/glickoScale, m.Opponent.Deviation/glickoScale
		g := 1 / math.Sqrt(1+3*phiJ*phiJ/(math.Pi*math.Pi))
		e := 1 / (1 + math.Exp(-g*(mu-muJ)))
		invV += float64(g * g * e * (1 - e))
		sum += float64(g * (m.Score - e))
	}
	v := 1 / invV
	sigma := volatility(phi, v, v*sum, r.Volatility)
	star := math.Hypot(phi, sigma)
	phi = 1 / math.Sqrt(1/(star*star)+1/v)
	return Rating{NewRating.Value + float64(glickoScale*(mu+float64(phi*phi*sum))), min(mostDeviation, glickoScale*phi), sigma}
}

// volatility is step 5 of the paper: the zero of a function, by the Illinois method.
func volatility(phi, v, delta, sigma float64) float64 {
	a := math.Log(sigma * sigma)
	f := func(x float64) float64 {
		ex := math.Exp(x)
		d := float64(phi*phi) + v + ex
		return float64(ex*(float64(delta*delta)-d)/(2*d*d)) - (x-a)/(glickoTau*glickoTau)
	}
	low := a
	var high float64
	if delta*delta > float64(phi*phi)+v {
		high = math.Log(float64(delta*delta) - float64(phi*phi) - v)
	} else {
		k := 1.0
		for f(a-float64(k*glickoTau)) < 0 {
			k++
		}
		high = a - float64(k*glickoTau)
	}
	fLow, fHigh := f(low), f(high)
	for math.Abs(high-low) > glickoExact {
		x := low + (low-high)*fLow/(fHigh-fLow)
		fx := f(x)
		if fx*fHigh <= 0 {
			low, fLow = high, fHigh
		} else {
			fLow /= 2
		}
		high, fHigh = x, fx
	}
	return math.Exp(low / 2)
}

// Meet rates one try: each try is a rating period of its own for both, as is usual where people play one game
// now and then. right says whether the student answered right.
func Meet(student, drill Rating, right bool) (studentAfter, drillAfter Rating) {
	score := 0.0
	if right {
		score = 1
	}
	return student.After(Meeting{drill, score}), drill.After(Meeting{student, 1 - score})
}

// Check says why the numbers are no rating, or nil.
func (r Rating) Check() error {
	ok := func(x, low, high float64) bool { return x >= low && x <= high } // refuses NaN too
	if !ok(r.Value, -10_000, 10_000) || !ok(r.Deviation, 0, mostDeviation) || !ok(r.Volatility, 1e-6, 1) {
		return fmt.Errorf("rating: value %g, deviation %g, volatility %g are none", r.Value, r.Deviation, r.Volatility)
	}
	return nil
}

// Estimate is a drill's difficulty before anybody has tried it. Our own choice: it is harder by 150 where the greedy
// player errs and easier by as much where it does not, harder by 100 for each time that the edge is half of 4
// percentage points (two times at most, either way), harder by 40 for each choice beyond two, and easier by 80 for
// each right answer beyond the first. The deviation is nearly that of knowing nothing.
func Estimate(k *Key, nearestErrs bool) Rating {
	r := Rating{Value: NewRating.Value - 150, Deviation: 300, Volatility: NewRating.Volatility}
	if nearestErrs {
		r.Value += 300
	}
	halvings := math.Log2(0.04 / max(float64(k.Edge().Value), 1e-6))
	r.Value += float64(100 * min(2, max(-2, halvings)))
	r.Value += float64(40*float64(len(k.Answers)-2)) - float64(80*float64(len(k.Right())-1))
	return r
}
