package stat_test

import (
	"math"
	"testing"

	"secondpass/engine/stat"
	"secondpass/internal/oracle"
)

// oracles says how each kind of row in testdata/oracle.R is worked out here.
var oracles = map[string]func(in []float64) []float64{
	"wilson": func(in []float64) []float64 {
		i := stat.Wilson(int(in[0]), int(in[1])).Plain()
		return []float64{i.Value, i.Low, i.High}
	},
	"clopper-pearson": func(in []float64) []float64 {
		x, n := int(in[0]), int(in[1])
		low, high := stat.ClopperPearsonLow(x, n, stat.Alpha/2), 1-stat.ClopperPearsonLow(n-x, n, stat.Alpha/2)
		return []float64{in[0] / in[1], float64(low), float64(high)}
	},
	"welch": func(in []float64) []float64 {
		var first, second stat.Moments
		for i, x := range in[2:] {
			if i < int(in[1]) {
				first.Add(x)
			} else {
				second.Add(x)
			}
		}
		i := stat.DifferenceOfMeans[float64](first, second, in[0])
		return []float64{i.Value, i.Low, i.High}
	},
	"student-cs": func(in []float64) []float64 {
		var m stat.IntMoments[float64]
		for _, x := range in[2:] {
			m.Add(int(x))
		}
		i := stat.StudentCSOf[float64](m, int(in[0]), int(in[1]))
		return []float64{i.Low, i.High}
	},
	"paired-t": func(in []float64) []float64 {
		first, second := halves(in)
		var m stat.IntMoments[float64]
		for i := range first {
			m.Add(int(first[i]) - int(second[i]))
		}
		i := stat.MeanT[float64](m)
		return []float64{i.Value, i.Low, i.High, m.SD(), m.SE()}
	},
	"sequential-ratio": func(in []float64) []float64 {
		var m stat.IntMoments[float64]
		for _, x := range in[2:] {
			m.Add(int(x))
		}
		ratio, _ := stat.GSPRT(m, in[0], in[1])
		return []float64{ratio}
	},
	"float-t": func(in []float64) []float64 {
		var m stat.Moments
		for _, x := range in {
			m.Add(x)
		}
		i := stat.MeanT[float64](m)
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
	"auc": func(in []float64) []float64 {
		with := int(in[0])
		return []float64{stat.AUC(in[1:1+with], in[1+with:])}
	},
}

// TestAgainstR compares with R, whose own code shares nothing with ours.
func TestAgainstR(t *testing.T) {
	rows := map[string]int{}
	for _, row := range oracle.R(t, "testdata/oracle.R") {
		compute, ok := oracles[row.Name]
		if !ok {
			t.Errorf("oracle.R prints %q, which the test does not know", row.Name)
			continue
		}
		rows[row.Name]++
		got := compute(row.In)
		if len(got) != len(row.Out) {
			t.Errorf("%s: got %v, R says %v", brief(row.Text), got, row.Out)
			continue
		}
		for i, want := range row.Out {
			if !close9(got[i], want) {
				t.Errorf("%s: output %d is %.12g, R says %.12g", brief(row.Text), i+1, got[i], want)
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
