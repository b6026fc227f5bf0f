package goodness_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"secondpass/internal/goodness"
	"secondpass/internal/oracle"
)

// oracles says how each kind of row in testdata/oracle.R is worked out here.
var oracles = map[string]func(in []float64) []float64{
	"hypergeometric": func(in []float64) []float64 {
		k, good, total, drawn := int(in[0]), int(in[1]), int(in[2]), int(in[3])
		return []float64{
			goodness.HypergeometricPMF(k, good, total, drawn),
			goodness.HypergeometricCDF(k, good, total, drawn),
			goodness.HypergeometricBetween(k, drawn, good, total, drawn),
		}
	},
	"multi-hypergeometric": func(in []float64) []float64 {
		drawn, pool := halves(in)
		return []float64{goodness.MultiHypergeometricLogPMF(whole(drawn), whole(pool))}
	},
	"chi-square": func(in []float64) []float64 {
		observed, expected := halves(in)
		c, err := goodness.ChiSquareTest(whole(observed), expected)
		if err != nil {
			return nil
		}
		return []float64{c.Stat, float64(c.DF), c.P}
	},
	"hosmer-lemeshow": func(in []float64) []float64 {
		fitted, n := int(in[0]), (len(in)-1)/3
		groups := make([]goodness.Predicted, n)
		for i := range groups {
			groups[i] = goodness.Predicted{Count: int(in[1+i]), Chances: in[1+n+i], Seen: int(in[1+2*n+i])}
		}
		c, err := goodness.HosmerLemeshow(groups, fitted)
		if err != nil {
			return nil
		}
		return []float64{c.Stat, float64(c.DF), c.P}
	},
}

// TestAgainstR compares with R, whose own code shares nothing with ours.
func TestAgainstR(t *testing.T) {
	rows := map[string]int{}
	for _, row := range oracle.R(t, "testdata/oracle.R") {
		rows[row.Name]++
		got := oracles[row.Name](row.In)
		if len(got) != len(row.Out) {
			t.Fatalf("%s: got %v, R says %v", row.Text, got, row.Out)
		}
		for i, want := range row.Out {
			if math.Abs(got[i]-want) > 1e-9*math.Abs(want)+1e-14 {
				t.Errorf("%s: output %d is %.12g, R says %.12g", row.Text, i+1, got[i], want)
			}
		}
	}
	for name := range oracles {
		if rows[name] == 0 {
			t.Errorf("oracle.R printed no row for %q", name)
		}
	}
}

func halves(in []float64) (first, second []float64) { return in[:len(in)/2], in[len(in)/2:] }

func whole(in []float64) []int {
	out := make([]int, len(in))
	for i, x := range in {
		out[i] = int(x)
	}
	return out
}

func TestNotANumber(t *testing.T) {
	for name, got := range map[string]float64{
		"more wanted tiles than tiles":       goodness.HypergeometricPMF(1, 9, 8, 2),
		"more drawn than there are":          goodness.HypergeometricCDF(1, 4, 8, 9),
		"negative number of wanted tiles":    goodness.HypergeometricPMF(0, -1, 8, 2),
		"negative draw":                      goodness.HypergeometricPMF(0, 1, 8, -2),
		"kinds do not match":                 goodness.MultiHypergeometricLogPMF([]int{1}, []int{2, 3}),
		"negative pool":                      goodness.MultiHypergeometricLogPMF([]int{0, 1}, []int{-1, 3}),
		"negative pool and impossible draw":  goodness.MultiHypergeometricLogPMF([]int{5, 0}, []int{3, -1}),
		"negative wanted, one of many kinds": goodness.HypergeometricBetween(0, 2, -3, 8, 2),
	} {
		if !math.IsNaN(got) {
			t.Errorf("%s: got %g, want NaN", name, got)
		}
	}
}

func TestImpossibleDraws(t *testing.T) {
	for name, got := range map[string]float64{
		"more wanted than exist":    goodness.HypergeometricPMF(5, 4, 152, 13),
		"fewer than none":           goodness.HypergeometricPMF(-1, 4, 152, 13),
		"more wanted than drawn":    goodness.HypergeometricPMF(6, 10, 20, 5),
		"fewer than must be":        goodness.HypergeometricPMF(4, 10, 12, 7),
		"at most fewer than none":   goodness.HypergeometricCDF(-1, 4, 152, 13),
		"an empty range":            goodness.HypergeometricBetween(3, 2, 4, 152, 13),
		"more of a kind than exist": math.Exp(goodness.MultiHypergeometricLogPMF([]int{5, 0}, []int{4, 9})),
		"a negative draw of a kind": math.Exp(goodness.MultiHypergeometricLogPMF([]int{-1, 3}, []int{4, 9})),
	} {
		if got != 0 {
			t.Errorf("%s: got %g, want 0", name, got)
		}
	}
	if got := goodness.HypergeometricCDF(99, 4, 152, 13); got != 1 {
		t.Errorf("at most more than exist: got %g, want 1", got)
	}
	if got := goodness.HypergeometricCDF(9, 10, 20, 5); got != 1 {
		t.Errorf("at most more than drawn: got %g, want 1", got)
	}
	if got := goodness.MultiHypergeometricLogPMF([]int{4, 8}, []int{4, 8}); got != 0 {
		t.Errorf("drawing all there is: log chance %g, want 0", got)
	}
}

func TestChiSquareErrors(t *testing.T) {
	for _, row := range []struct {
		name     string
		observed []int
		expected []float64
		want     error
	}{
		{"lengths differ", []int{10, 10}, []float64{20}, goodness.ErrCells},
		{"negative count", []int{-1, 21}, []float64{10, 10}, goodness.ErrCells},
		{"negative expectation", []int{10, 10}, []float64{-5, 25}, goodness.ErrCells},
		{"expectation not a number", []int{10, 10}, []float64{math.NaN(), 20}, goodness.ErrCells},
		{"endless expectation", []int{10, 10}, []float64{math.Inf(1), 20}, goodness.ErrCells},
		{"totals differ", []int{10, 10}, []float64{10, 11}, goodness.ErrTotals},
		{"no cells", nil, nil, goodness.ErrSparse},
		{"one cell", []int{20}, []float64{20}, goodness.ErrSparse},
		{"one cell after pooling", []int{4, 4, 1}, []float64{3, 3, 3}, goodness.ErrSparse},
		{"enough", []int{12, 8}, []float64{10, 10}, nil},
		{"rounded expectations", []int{100, 200}, []float64{300 * .333333, 300 * .666667}, nil},
	} {
		if _, err := goodness.ChiSquareTest(row.observed, row.expected); !errors.Is(err, row.want) {
			t.Errorf("%s: got %v, want %v", row.name, err, row.want)
		}
	}
}

func TestChiSquareSeesTheImpossible(t *testing.T) {
	// Pooling would hide one deal of a kind that can never be dealt.
	got, err := goodness.ChiSquareTest([]int{500, 499, 1}, []float64{500, 500, 0})
	if err != nil || got.P != 0 || !math.IsInf(got.Stat, 1) {
		t.Errorf("got %+v, %v, want P 0", got, err)
	}
	got, err = goodness.ChiSquareTest([]int{500, 500, 0}, []float64{500, 500, 0})
	if err != nil || got.P != 1 || got.DF != 1 {
		t.Errorf("never seen: got %+v, %v, want P 1 on one degree", got, err)
	}
}

func TestChiSquareLeavesItsArguments(t *testing.T) {
	observed, expected := []int{50, 3, 2}, []float64{49, 1, 5}
	if _, err := goodness.ChiSquareTest(observed, expected); err != nil {
		t.Fatal(err)
	}
	if observed[0] != 50 || observed[2] != 2 || expected[0] != 49 || expected[2] != 5 {
		t.Errorf("arguments changed to %v, %v", observed, expected)
	}
}

func TestHypergeometricSums(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		total := rapid.IntRange(0, 160).Draw(t, "total")
		good := rapid.IntRange(0, total).Draw(t, "good")
		drawn := rapid.IntRange(0, total).Draw(t, "drawn")
		sum, mean := 0.0, 0.0
		for k := 0; k <= drawn; k++ {
			p := goodness.HypergeometricPMF(k, good, total, drawn)
			sum += p
			mean += float64(k) * p
			// Two kinds are the plain distribution again.
			log := goodness.MultiHypergeometricLogPMF([]int{k, drawn - k}, []int{good, total - good})
			if math.Abs(math.Exp(log)-p) > 1e-12 {
				t.Fatalf("k=%d: %g by kinds, %g plain", k, math.Exp(log), p)
			}
		}
		wantMean := 0.0
		if total > 0 {
			wantMean = float64(drawn) * float64(good) / float64(total)
		}
		if math.Abs(sum-1) > 1e-12 || math.Abs(mean-wantMean) > 1e-9 {
			t.Fatalf("chances add up to %g, mean %g, want 1 and %g", sum, mean, wantMean)
		}
	})
}

func TestChiSquareLevel(t *testing.T) {
	// A fair sampler is doubted one time in a hundred at p < .01; one that
	// slightly prefers the first outcome is found out.
	doubts := func(bias float64) float64 {
		expected := []float64{200, 150, 100, 40, 4, 3, 2, 1}
		low := 0
		for e := range 1000 {
			r := rand.New(rand.NewPCG(20260101, uint64(e)))
			observed := make([]int, len(expected))
			for range 500 {
				u := r.Float64() * 500
				if r.Float64() < bias {
					u = 0
				}
				i := 0
				for u >= expected[i] {
					u -= expected[i]
					i++
				}
				observed[i]++
			}
			c, err := goodness.ChiSquareTest(observed, expected)
			if err != nil {
				t.Fatal(err)
			}
			if c.P < .01 {
				low++
			}
		}
		return float64(low) / 1000
	}
	if share := doubts(0); share < .002 || share > .02 {
		t.Errorf("a fair sampler was doubted in %.3f of the runs, want about .01", share)
	}
	if share := doubts(.15); share < .5 {
		t.Errorf("a biased sampler was doubted in %.3f of the runs only", share)
	}
}

// The chance that a hand of 13 from 152 tiles holds no joker, and at least two.
func ExampleHypergeometricPMF() {
	none := goodness.HypergeometricPMF(0, 8, 152, 13)
	two := goodness.HypergeometricBetween(2, 13, 8, 152, 13)
	fmt.Printf("no joker %.3f, two or more %.3f\n", none, two)
	// Output: no joker 0.480, two or more 0.141
}

// A die thrown 60 times.
func ExampleChiSquareTest() {
	fit, err := goodness.ChiSquareTest([]int{5, 8, 9, 8, 10, 20}, []float64{10, 10, 10, 10, 10, 10})
	fmt.Printf("chi-square %.1f on %d degrees of freedom, p %.3f, %v\n", fit.Stat, fit.DF, fit.P, err)
	// Output: chi-square 13.4 on 5 degrees of freedom, p 0.020, <nil>
}

func TestHosmerLemeshowEdges(t *testing.T) {
	sound := goodness.Predicted{Count: 10, Chances: 3, Seen: 4}
	for name, c := range map[string]struct {
		groups []goodness.Predicted
		fitted int
		err    error
	}{
		"none":            {nil, 0, goodness.ErrSparse},
		"all used up":     {[]goodness.Predicted{sound, sound}, 2, goodness.ErrSparse},
		"an empty group":  {[]goodness.Predicted{sound, {}}, 0, goodness.ErrCells},
		"more than sure":  {[]goodness.Predicted{{Count: 2, Chances: 2.5, Seen: 2}}, 0, goodness.ErrCells},
		"more than there": {[]goodness.Predicted{{Count: 2, Chances: 1, Seen: 3}}, 0, goodness.ErrCells},
		"not a number":    {[]goodness.Predicted{{Count: 2, Chances: math.NaN(), Seen: 1}}, 0, goodness.ErrCells},
	} {
		if _, err := goodness.HosmerLemeshow(c.groups, c.fitted); !errors.Is(err, c.err) {
			t.Errorf("%s: %v, want %v", name, err, c.err)
		}
	}
	if got, err := goodness.HosmerLemeshow([]goodness.Predicted{sound, {Count: 5, Seen: 1}}, 0); err != nil || got.P != 0 || !math.IsInf(got.Stat, 1) {
		t.Errorf("the impossible was seen: %+v, %v", got, err)
	}
	if got, err := goodness.HosmerLemeshow([]goodness.Predicted{sound, {Count: 5}}, 0); err != nil || math.IsNaN(got.Stat) {
		t.Errorf("a group in which nothing was predicted nor seen: %+v, %v", got, err)
	}
}
