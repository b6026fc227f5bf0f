package sim

import (
	"math"
	"math/rand/v2"
	"testing"

	"secondpass/engine/unit"
)

// gameOf is a game that is estimated with some error and won with a chance.
func gameOf(rng *rand.Rand, quick, chance float64) Whole {
	w := Whole{Quick: scoreOf(quick + 0.1*(rng.Float64()-0.5))}
	if rng.Float64() < chance {
		w.Result = Sure
	}
	return w
}

// A value of few games has the precision of the estimate, one of many games is that of whole games, whatever the estimate
// says; and its interval holds the truth where the estimate is off by no more than is granted.
func TestValue(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	var few, many Value
	for range 100 {
		few.Add(gameOf(rng, 0.3, 0.27))
	}
	for range 40_000 {
		many.Add(gameOf(rng, 0.4, 0.25))
	}
	if c, won := few.Chance(), few.Won(); c.High-c.Low >= won.High-won.Low || c.Value > 0.32 || c.N != 100 {
		t.Errorf("few games: %+v, by those won %+v", c, won)
	}
	if c := many.Chance(); math.Abs(float64(c.Value)-0.25) > 0.008 || !c.Holds(0.25) {
		t.Errorf("many games: %+v", c)
	}
	held, sets := 0, 400
	for range sets {
		off := QuickDoubt * rng.NormFloat64()
		var v Value
		for range 300 {
			v.Add(gameOf(rng, 0.25+off, 0.25))
		}
		if v.Chance().Holds(0.25) {
			held++
		}
	}
	if float64(held) < 0.93*float64(sets) {
		t.Errorf("%d of %d intervals hold the truth", held, sets)
	}
}

// Whole games alone are their share; and merged in parts a value is the same.
func TestValueOfWholeGamesAlone(t *testing.T) {
	var all, first, second Value
	for n := range 300 {
		w := Whole{Points: n % 7}
		if n%4 == 0 {
			w.Result, w.Quick = Sure, Sure
		}
		all.Add(w)
		if n < 100 {
			first.Add(w)
		} else {
			second.Add(w)
		}
	}
	first.Merge(&second)
	if first != all || all.Chance() != all.Won() || all.Chance().Value != 0.25 {
		t.Errorf("%+v and %+v", first, all)
	}
	if c := all.Watched(300); c.Value != 0.25 || c.Low > all.Won().Low {
		t.Errorf("watched %+v", c)
	}
	if c := (&Value{}).Chance(); c.Low != 0 || c.High != 1 || c.N != 0 {
		t.Errorf("nothing: %+v", c)
	}
}

// The difference of two decisions on the same games is that of their chances.
func TestValueDifference(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	tally := NewValueTally(3)
	for range 500 {
		w := gameOf(rng, 0.3, 0.3)
		worse := w
		worse.Quick -= 30_000
		tally.Add([]Whole{w, worse, w})
	}
	for _, d := range []struct {
		i, j int
		want unit.ChanceDifference
	}{{0, 2, 0}, {0, 1, 0.03 * QuickCounts / (500 + QuickCounts)}, {1, 0, -0.03 * QuickCounts / (500 + QuickCounts)}} {
		less := tally.Less(d.i, d.j)
		of := tally.Each[d.i].Chance().Value.Less(tally.Each[d.j].Chance().Value)
		if math.Abs(float64(less.Value-d.want)) > 1e-9 || math.Abs(float64(less.Value-of)) > 1e-9 {
			t.Errorf("%d less %d: %+v, %g is right, the chances differ by %g", d.i, d.j, less, d.want, of)
		}
	}
}
