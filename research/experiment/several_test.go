package experiment_test

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"secondpass/engine/stat"
	"secondpass/research/experiment"
)

// Each of several measures has the tally that it has alone, and each pair of ways the differences that they have alone: the games are
// the same.
func TestSeveralMeasuresAreThoseOfEachAlone(t *testing.T) {
	const deals = 192
	r := run(t, several, 7, deals)
	alone := func(measure, ways string) *experiment.Tally {
		return run(t, "experiment One\nothers nearest ; random ; thumb\nmeasure "+measure+"\n"+ways, 7, deals).Tally
	}
	const a, b, c = "way \"a\" nearest\n", "way \"b\" nearest+one-of-each\n", "way \"c\" random\n"
	for k, one := range []string{"win\nclaim more by 1 %", "win of others\nclaim less by 1 %", "used by receiver\nclaim less by 0.1", "points\nclaim more by 0.5"} {
		got := &r.Tally.MeasureTally
		if k > 0 {
			got = r.Tally.Also[k-1]
		}
		first, last := alone(one, a+b+c), alone(one, b+c)
		for i := range got.Ways {
			if !reflect.DeepEqual(got.Ways[i].Value, first.Ways[i].Value) || got.LeftOut != first.LeftOut {
				t.Errorf("%s: way %d has %+v, alone %+v", one, i, got.Ways[i].Value, first.Ways[i].Value)
			}
		}
		for i, want := range append(first.Pairs, last.Pairs...) {
			if got.Pairs[i].Less != want.Less || got.Pairs[i].Differ != want.Differ {
				t.Errorf("%s: pair %d has %+v, alone %+v", one, i, got.Pairs[i], want)
			}
		}
	}
	// What the seat itself won stands beside every measure of others: what they win, and what they make of a pass.
	for k, own := range []bool{false, true, true, false} {
		f := r.Findings()[k]
		if (f.Ways[1].Own != nil) != own || (f.Comparisons[2].Own != nil) != own {
			t.Errorf("%s: its own wins are told: %v", f.Of.Measure, !own)
		}
		if own && (f.Comparisons[2].Own.Rest != nil) != (k == 1) {
			t.Errorf("%s: a share of what the others win", f.Of.Measure)
		}
	}
	if _, err := experiment.ReadResult("kept", r.Bytes()); err != nil {
		t.Error(err)
	}
	torn := strings.Replace(string(r.Bytes()), `"also": [`, `"also": [ null,`, 1)
	if _, err := experiment.ReadResult("torn", []byte(torn)); err == nil {
		t.Error("a tally of too many measures is read")
	}
	if same, err := repeats(r); err != nil || !same {
		t.Errorf("played again: %v, %v", same, err)
	}
}

// Every comparison has its own verdict, and its interval is that of so many comparisons together: each at 1 - 0.05/m, which by
// Bonferroni's inequality makes 95 % for all (O. J. Dunn, Journal of the American Statistical Association 56, 1961).
func TestIntervalsOfSeveralComparisonsTogether(t *testing.T) {
	r := run(t, several, 7, 512)
	all := r.Findings()
	for k, f := range all {
		if f.Together != 12 || len(f.Comparisons) != 3 || f.Comparisons[2].Way != "c" || f.Comparisons[2].Against != "b" {
			t.Fatalf("%s: %d comparisons of %d: %+v", f.Of.Measure, len(f.Comparisons), f.Together, f.Comparisons)
		}
		tally := &r.Tally.MeasureTally
		if k > 0 {
			tally = r.Tally.Also[k-1]
		}
		for i, c := range f.Comparisons {
			p := tally.Pairs[i]
			if p.Differ < 50 {
				continue
			}
			want := stat.AsymptoticCSOf[experiment.Amount](p.Less, 512, 12)
			alone := stat.AsymptoticCSOf[experiment.Amount](p.Less, 512, 1)
			if math.Abs(float64(c.Difference.Low-want.Low)) > 1e-12 || c.Difference.High-c.Difference.Low <= alone.High-alone.Low {
				t.Errorf("%s, %s less %s: %+v, wanted %+v", f.Of.Measure, c.Way, c.Against, c.Difference, want)
			}
		}
	}
	// Random play of the tiles wins nothing against players who try: that is known beforehand.
	if c := all[0].Comparisons[1]; c.Note != experiment.Opposite || c.Verdict != stat.DoesNotHold {
		t.Errorf("random less nearest: %+v", c)
	}
}

// The three others may be three: the one to the right of the studied seat is the first named, wherever the seat is. A player who draws
// lots wins next to nothing, so that the wins tell who sits where.
func TestOthersAtTheirSeats(t *testing.T) {
	const text = "experiment Seats\nothers random ; nearest ; random\nmeasure win of right\nclaim more by 1 %\nalso win of across ; more by 1 %\nalso win of left ; more by 1 %\nway \"a\" random\nway \"b\" random+keep-flowers\n"
	r := run(t, text, 3, 256)
	right, across, left := r.Tally.Ways[0].Value.Sum, r.Tally.Also[0].Ways[0].Value.Sum, r.Tally.Also[1].Ways[0].Value.Sum
	if across < 20 || right+left > across/4 {
		t.Errorf("wins right %d, across %d, left %d", right, across, left)
	}
	moved := run(t, strings.Replace(text, "random ; nearest ; random", "random ; random ; nearest", 1), 3, 256)
	if left := moved.Tally.Also[1].Ways[0].Value.Sum; left < 20 {
		t.Errorf("wins left %d of one who sits there", left)
	}
}
