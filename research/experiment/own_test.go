package experiment

import (
	"context"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/stat"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

const othersExperiment = "experiment Others\nothers nearest\ndeals 20000\nmeasure win of others\nclaim less by 0.5 %\nway \"plain\" nearest\nway \"other\" nearest+stop-when=1\n"

func begun(t *testing.T, text string, deals int) *Result {
	t.Helper()
	x, _, err := Read("a test", []byte(text), func(tile.Set) (*card.Card, error) { return card.Practice(), nil })
	if err != nil {
		t.Fatal(err)
	}
	tuning, _ := player.TuningFor(card.Practice())
	r, err := Start(x, card.Practice(), tuning, 5, deals, "test")
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// drawn fills in a tally of made-up deals: the seat wins with a chance, and of the games that it does not win the others win a
// part, in each of the two ways.
func drawn(r *Result, deals int, seed uint64, seat, part [2]float64) {
	rng := rand.New(rand.NewPCG(seed, 1))
	t := r.Tally
	for range deals {
		luck, rest := rng.Float64(), rng.Float64()
		var others, won [2]int
		for w := range 2 {
			won[w] = toInt(luck < seat[w])
			others[w] = toInt(won[w] == 0 && rest < part[w])
			t.Ways[w].Value.Add(others[w])
			t.Ways[w].Own.add(others[w], won[w], 30*won[w]-10*others[w])
		}
		t.Pairs[0].add(others[1] - others[0])
		t.Pairs[0].Own.add(others[1]-others[0], won[1]-won[0], 30*(won[1]-won[0])-10*(others[1]-others[0]))
	}
	r.Deals = deals
}

// A difference of shares is told between -1 and 1, however few the deals; of no deal nothing is told.
func TestFewDealsAreBounded(t *testing.T) {
	for _, deals := range []int{0, 1, 4} {
		r := begun(t, othersExperiment, max(deals, 1))
		drawn(r, deals, 1, [2]float64{0.2, 0.2}, [2]float64{0.8, 0.8})
		d := r.Findings()[0].Comparisons[0].Difference
		if bounded := d.Bounded(); bounded != (deals > 0) || bounded && (d.Low < -1 || d.High > 1) {
			t.Errorf("of %d deals: %v", deals, d)
		}
	}
}

// Where the others win the same part of the games that the seat leaves them, its own wins explain that they win less often, and where
// they win a smaller part they do not; what is told is the difference of these parts. The interval holds the truth.
func TestOwnWinsExplain(t *testing.T) {
	const deals = 20000
	for _, c := range []struct {
		name       string
		seat, part [2]float64
		explains   bool
	}{
		{"by its own wins", [2]float64{0.2, 0.26}, [2]float64{0.8, 0.8}, true},
		{"not by them", [2]float64{0.2, 0.2}, [2]float64{0.8, 0.74}, false},
		{"by them in part", [2]float64{0.2, 0.26}, [2]float64{0.8, 0.74}, false},
		{"nothing to explain", [2]float64{0.2, 0.2}, [2]float64{0.8, 0.8}, false},
	} {
		held, explained := 0, 0
		const runs = 40
		for seed := range uint64(runs) {
			r := begun(t, othersExperiment, deals)
			drawn(r, deals, seed, c.seat, c.part)
			own := r.Findings()[0].Comparisons[0].Own
			// The plain figures, without the sums of pairs.
			w := r.Tally.Ways
			left := func(w WayTally) float64 { return 1 - w.Own.Wins.Second().Mean() }
			if plain := w[1].Value.Mean()/left(w[1]) - w[0].Value.Mean()/left(w[0]); math.Abs(plain-float64(own.Rest.Value)) > 1e-12 {
				t.Fatalf("%s: rest %v, %v is right", c.name, own.Rest.Value, plain)
			}
			if plain := w[1].Own.Wins.Second().Mean() - w[0].Own.Wins.Second().Mean(); math.Abs(plain-float64(own.Wins.Value)) > 1e-12 {
				t.Fatalf("%s: own wins %v, %v is right", c.name, own.Wins.Value, plain)
			}
			held += toInt(own.Rest.Holds(Amount(c.part[1] - c.part[0])))
			explained += toInt(own.Explains)
		}
		// Of 40 intervals that hold with 95 % or more fewer than 34 hold with a chance of 1 in 300; binomial.
		if held < 34 || c.explains != (explained > runs/2) || !c.explains && explained > 0 {
			t.Errorf("%s: %d of %d intervals hold the truth, own wins explain %d times", c.name, held, runs, explained)
		}
	}
}

// What the seat won beside a measure of others is what an experiment on its own wins and net points finds on the same deals; on any
// other measure there is nothing of the kind. Stopped and gone on with it is the same, and a result that an earlier program
// kept without it is read, repeated and gone on with.
func TestOwnIsTheSeats(t *testing.T) {
	const deals = 128
	play := func(measure string) *Result {
		t.Helper()
		text := "experiment Own\nothers nearest\ndeals 128\nmeasure " + measure + "\nclaim less by 0.5 %\nway \"plain\" nearest\nway \"other\" random\n"
		if measure == "points" {
			text = "experiment Own\nothers nearest\ndeals 128\nmeasure points\nclaim less by 1\nway \"plain\" nearest\nway \"other\" random\n"
		}
		r := begun(t, text, deals)
		if err := r.Run(context.Background(), nil); err != nil {
			t.Fatal(err)
		}
		return r
	}
	of, wins, points := play("win of left"), play("win"), play("points")
	for i := range of.Tally.Ways {
		own := of.Tally.Ways[i].Own
		if stat.IntMoments[Amount](own.Wins.First()) != of.Tally.Ways[i].Value || stat.IntMoments[Amount](own.Wins.Second()) != wins.Tally.Ways[i].Value || stat.IntMoments[Amount](own.Points) != points.Tally.Ways[i].Value {
			t.Errorf("way %d: %+v beside %+v, %+v", i, own, wins.Tally.Ways[i].Value, points.Tally.Ways[i].Value)
		}
	}
	pair := of.Tally.Pairs[0]
	if stat.IntMoments[Amount](pair.Own.Wins.First()) != pair.Less || stat.IntMoments[Amount](pair.Own.Wins.Second()) != wins.Tally.Pairs[0].Less || stat.IntMoments[Amount](pair.Own.Points) != points.Tally.Pairs[0].Less || pair.Own.Wins.Second().Sum == 0 {
		t.Errorf("differences %+v", pair.Own)
	}
	if wins.Tally.hasOwn() || wins.Findings()[0].Comparisons[0].Own != nil {
		t.Error("a measure of the seat itself has something beside it")
	}

	earlier := begun(t, of.Experiment, deals)
	*earlier = *of
	earlier.Tally = of.Tally.withoutOwn()
	read, err := ReadResult("earlier", earlier.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	if f := read.Findings()[0]; f.Comparisons[0].Own != nil || f.Ways[0].Own != nil || !reflect.DeepEqual(f.Comparisons[0].Difference, of.Findings()[0].Comparisons[0].Difference) {
		t.Errorf("of an earlier result: %+v", f.Comparisons[0])
	}
	if !read.Same(of) || !of.Same(of) || of.Same(read) {
		t.Error("an earlier result is the same without what the seat won, and only then")
	}
	if err := read.Extend(deals + 64); err == nil {
		err = read.Run(context.Background(), nil)
	}
	if err != nil || read.Tally.hasOwn() || read.Deals != deals+64 {
		t.Errorf("gone on with: %v, %d deals", err, read.Deals)
	}
	if again, err := ReadResult("own", of.Bytes()); err != nil || !reflect.DeepEqual(again.Tally, of.Tally) {
		t.Errorf("read again: %v", err)
	}
}
