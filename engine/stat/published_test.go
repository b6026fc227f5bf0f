package stat_test

import (
	"math"
	"testing"

	"secondpass/engine/stat"
)

// The rows of this file are worked examples that others have printed. "Memory"
// marks a row quoted from memory and worked out again by hand.

func TestWilsonPublished(t *testing.T) {
	for _, row := range []struct {
		source       string
		successes, n int
		low, high    float64
	}{
		{"R package contingencytables, tests", 13, 16, .5699, .9341},
		{"Newcombe 1998 (Statist. Med. 17, 857), memory", 81, 263, .2553, .3662},
		{"Newcombe 1998 (Statist. Med. 17, 857), memory", 15, 148, .0624, .1605},
		{"Newcombe 1998 (Statist. Med. 17, 857), memory", 0, 20, 0, .1611},
		{"Newcombe 1998 (Statist. Med. 17, 857), memory", 1, 29, .0061, .1718},
	} {
		got := stat.Wilson(row.successes, row.n).Plain()
		near(t, row.source+": low", got.Low, row.low, .5e-4)
		near(t, row.source+": high", got.High, row.high, .5e-4)
	}
}

func TestPairedProportionsPublished(t *testing.T) {
	for _, row := range []struct {
		source               string
		n11, n10, n01, n00   int
		value, low, high     float64
		correlationCorrected string
	}{
		{"R package contingencytables, tests", 59, 6, 16, 80, -.0621, -.1186, -.0046, "reduced"},
		{"R package contingencytables, tests", 1, 0, 0, 1, 0, -.5734, .5734, "set to 0"},
		{"formula of method 10 worked out by hand", 1, 1, 7, 12, -.2857, -.5069, -.0256, "set to 0"},
	} {
		got := stat.PairedProportions(row.n11, row.n10, row.n01, row.n00).Plain()
		name := row.source + ", correlation " + row.correlationCorrected
		near(t, name+": value", got.Value, row.value, .5e-4)
		near(t, name+": low", got.Low, row.low, .5e-4)
		near(t, name+": high", got.High, row.high, .5e-4)
	}
}

// Newcombe's example (a): 56 of 70 less 48 of 80 is 0.2, method 10 gives 0.0524 to 0.3339. Source: R. G. Newcombe, Statist.
// Med. 17 (1998) 873-890, table II (from memory).
func TestDifferenceOfSharesPublished(t *testing.T) {
	got := stat.DifferenceOfShares(56, 70, 48, 80, stat.Alpha).Plain()
	near(t, "value", got.Value, .2, .5e-4)
	near(t, "low", got.Low, .0524, .5e-4)
	near(t, "high", got.High, .3339, .5e-4)
	if got.N != 150 {
		t.Errorf("N is %d", got.N)
	}
}

func TestNormalMixturePublished(t *testing.T) {
	const source = "confseq (Howard et al.), tests of the normal mixture"
	near(t, source+": tuning", stat.NormalMixtureR(100), 12.60056, .5e-5)
	near(t, source+": bound", stat.NormalMixture(100, 12.60056), 30.35209, .5e-5)
}

func TestBernoulliCSPublished(t *testing.T) {
	// The source prints the ends to 6 digits, cut off rather than rounded.
	const digits = 1.5e-6
	for _, row := range []struct {
		source             string
		successes, n, nOpt int
		low, high          float64
	}{
		{"confseq (Howard et al.), tests of the Bernoulli interval", 700, 1000, 100, .651629, .745949},
		{"confseq (Howard et al.), tests of the Bernoulli interval", 15, 50, 50, .129556, .511896},
	} {
		got := stat.BernoulliCS(row.successes, row.n, row.nOpt).Plain()
		near(t, row.source+": low", got.Low, row.low, digits)
		near(t, row.source+": high", got.High, row.high, digits)
	}
}

// standard is a sample of n observations with mean 0 and variance 1.
type standard int

func (s standard) Count() int      { return int(s) }
func (standard) Mean() float64     { return 0 }
func (standard) Variance() float64 { return 1 }

func TestAsymptoticCSPublished(t *testing.T) {
	const source = "formula of arXiv 2103.06476 (memory), worked out in another program"
	near(t, source, stat.AsymptoticCS[float64](standard(1000), 1000).High, .0960, .5e-4)
	near(t, source, stat.AsymptoticCS[float64](standard(10000), 1000).High, .0326, .5e-4)
}

func near(t *testing.T, name string, got, want, tolerance float64) {
	t.Helper()
	// Written so that NaN fails.
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.8f, want %.8f", name, got, want)
	}
}
