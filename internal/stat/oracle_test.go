package stat_test

import (
	"bytes"
	"math"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"secondpass/internal/stat"
)

// oracles says how each kind of row in testdata/oracle.R is worked out here.
var oracles = map[string]func(in []float64) []float64{
	"wilson": func(in []float64) []float64 {
		i := stat.Wilson(int(in[0]), int(in[1]))
		return []float64{i.Value, i.Low, i.High}
	},
	"clopper-pearson": func(in []float64) []float64 {
		i := stat.ClopperPearson(int(in[0]), int(in[1]))
		return []float64{i.Value, i.Low, i.High}
	},
	"mcnemar-exact": func(in []float64) []float64 {
		return []float64{stat.McNemarExact(int(in[0]), int(in[1]))}
	},
	"mcnemar-midp": func(in []float64) []float64 {
		return []float64{stat.McNemarMidP(int(in[0]), int(in[1]))}
	},
	"paired-t": func(in []float64) []float64 {
		first, second := halves(in)
		var m stat.IntMoments
		for i := range first {
			m.Add(int(first[i]) - int(second[i]))
		}
		i := stat.MeanT(m)
		return []float64{i.Value, i.Low, i.High, m.SD(), m.SE()}
	},
	"float-t": func(in []float64) []float64 {
		var m stat.Moments
		for _, x := range in {
			m.Add(x)
		}
		i := stat.MeanT(m)
		return []float64{i.Value, i.Low, i.High, m.Variance()}
	},
	"histogram": func(in []float64) []float64 {
		var h stat.Histogram
		for _, x := range in {
			h.Add(int(x))
		}
		out := []float64{h.Mean(), h.Median(), float64(h.AtMost(4))}
		for _, pct := range []int{0, 5, 7, 25, 50, 75, 93, 95, 100} {
			out = append(out, float64(h.Percentile(pct)))
		}
		return out
	},
	"hypergeometric": func(in []float64) []float64 {
		k, good, total, drawn := int(in[0]), int(in[1]), int(in[2]), int(in[3])
		return []float64{
			stat.HypergeometricPMF(k, good, total, drawn),
			stat.HypergeometricCDF(k, good, total, drawn),
			stat.HypergeometricBetween(k, drawn, good, total, drawn),
		}
	},
	"multi-hypergeometric": func(in []float64) []float64 {
		drawn, pool := halves(in)
		return []float64{stat.MultiHypergeometricLogPMF(whole(drawn), whole(pool))}
	},
	"chi-square": func(in []float64) []float64 {
		observed, expected := halves(in)
		c, err := stat.ChiSquareTest(whole(observed), expected)
		if err != nil {
			return nil
		}
		return []float64{c.Stat, float64(c.DF), c.P}
	},
}

// TestAgainstR compares with R, whose own code shares nothing with ours.
func TestAgainstR(t *testing.T) {
	rscript, err := exec.LookPath("Rscript")
	if err != nil {
		t.Fatal("Rscript not found: install the Debian package r-base-core, as ./check does")
	}
	var complaints bytes.Buffer
	cmd := exec.Command(rscript, "--vanilla", "testdata/oracle.R")
	cmd.Stderr = &complaints
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("testdata/oracle.R: %v\n%s", err, complaints.String())
	}
	rows := map[string]int{}
	for line := range strings.Lines(string(out)) {
		name, in, want := parseRow(t, line)
		compute, ok := oracles[name]
		if !ok {
			t.Errorf("oracle.R prints %q, which the test does not know", name)
			continue
		}
		rows[name]++
		got := compute(in)
		if len(got) != len(want) {
			t.Errorf("%s: got %v, R says %v", brief(line), got, want)
			continue
		}
		for i := range want {
			if !close9(got[i], want[i]) {
				t.Errorf("%s: output %d is %.12g, R says %.12g", brief(line), i+1, got[i], want[i])
			}
		}
	}
	for name := range oracles {
		if rows[name] == 0 {
			t.Errorf("oracle.R printed no row for %q", name)
		}
	}
}

// close9 asks for nine digits, with a floor far below any number we print.
func close9(got, want float64) bool {
	return math.Abs(got-want) <= 1e-9*math.Abs(want)+1e-14
}

func parseRow(t *testing.T, line string) (name string, in, out []float64) {
	t.Helper()
	parts := strings.Split(strings.TrimSpace(line), "|")
	if len(parts) != 3 {
		t.Fatalf("oracle.R printed %q, wanted name|inputs|outputs", line)
	}
	return parts[0], numbers(t, parts[1]), numbers(t, parts[2])
}

func numbers(t *testing.T, text string) []float64 {
	t.Helper()
	var all []float64
	for field := range strings.FieldsSeq(text) {
		x, err := strconv.ParseFloat(field, 64)
		if err != nil {
			t.Fatalf("oracle.R printed %q: %v", field, err)
		}
		all = append(all, x)
	}
	return all
}

func halves(in []float64) (first, second []float64) {
	return in[:len(in)/2], in[len(in)/2:]
}

func whole(in []float64) []int {
	out := make([]int, len(in))
	for i, x := range in {
		out[i] = int(x)
	}
	return out
}

func brief(line string) string {
	return line[:min(len(line), 60)]
}
