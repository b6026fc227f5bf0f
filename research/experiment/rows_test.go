package experiment_test

import (
	"bytes"
	"context"
	_ "embed"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/stat"
	"secondpass/internal/oracle"
	"secondpass/research/experiment"
	"secondpass/rules/card"
)

// rowed is an experiment that was played on the practice card.
func rowed(t *testing.T, text string, deals int) *experiment.Result {
	t.Helper()
	c := card.Practice()
	tuning, _ := player.TuningFor(c)
	r, err := experiment.Start(read(t, text), c, tuning, 5, deals, "test")
	if err != nil {
		t.Fatal(err)
	}
	if err := r.Run(t.Context(), nil); err != nil {
		t.Fatal(err)
	}
	return r
}

var (
	//go:embed testdata/rows_others.experiment
	wonByOthers string
	//go:embed testdata/rows_turns.experiment
	turnsOfBoth string
	//go:embed testdata/rows_split.experiment
	splitClean string
)

// R comes to the sums, means and variances of an experiment by its rows alone (read.csv, mean, var of R's own packages base, stats
// and utils; testdata/rows.R).
func TestRowsAgainstR(t *testing.T) {
	all := map[string]string{"others": wonByOthers, "turns": turnsOfBoth, "split": splitClean, "several": several}
	for _, question := range []string{"02-stop", "05-one-pair", "08-bait"} {
		data, err := os.ReadFile("../../docs/questions/" + question + experiment.Ext)
		if err != nil {
			t.Fatal(err)
		}
		all[question] = string(data)
	}
	for name, text := range all {
		r := rowed(t, text, 300)
		path := filepath.Join(t.TempDir(), "rows.csv")
		var lines bytes.Buffer
		if n, err := r.WriteRows(t.Context(), &lines, false, nil); err != nil || n != 300 {
			t.Fatal(n, err)
		}
		if err := os.WriteFile(path, lines.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		t.Setenv("ROWS", path)
		redone := map[string][]float64{}
		for _, row := range oracle.R(t, "testdata/rows.R") {
			redone[row.Name] = row.Out
		}
		same := func(figure string, m stat.IntMoments[experiment.Amount]) {
			t.Helper()
			got := redone[figure]
			mean := float64(m.Sum) / float64(m.N)
			variance := (float64(m.SumSq) - float64(m.Sum)*mean) / float64(m.N-1)
			if len(got) != 4 || int64(got[0]) != m.N || int64(got[1]) != m.Sum || math.Abs(got[2]-mean) > 1e-9 || math.Abs(got[3]-variance) > 1e-9*max(1, variance) {
				t.Errorf("%s: R has %v of %s; the result %+v", name, got, figure, m)
			}
		}
		compared := []string{"2 1", "3 1", "3 2"} // the later ones only where all are
		for k, tally := range append([]*experiment.MeasureTally{&r.Tally.MeasureTally}, r.Tally.Also...) {
			measure := ""
			if k > 0 {
				measure = fmt.Sprint(k + 1)
			}
			for i, w := range tally.Ways {
				way := fmt.Sprintf("%s %d", measure, i+1)
				same("value"+way, w.Value)
				if w.Own != nil {
					same("won"+way, stat.IntMoments[experiment.Amount](w.Own.Wins.Second()))
					same("points"+way, stat.IntMoments[experiment.Amount](w.Own.Points))
				}
			}
			for i, p := range tally.Pairs {
				same("less"+measure+" "+compared[i], p.Less)
				if got := redone["differ"+measure+" "+compared[i]]; int64(got[1]) != p.Differ {
					t.Errorf("%s: R has %v deals that differ, the result %d", name, got[1], p.Differ)
				}
			}
		}
		if r.Of().Split != nil {
			same("inside", r.Tally.Inside)
			same("outside", r.Tally.Outside)
		}
		if got := redone["deal"]; got[0] != 300 || got[1] != 300*299/2 {
			t.Errorf("%s: R has the deals %v", name, got)
		}
	}
}

// As JSON each line is a deal with the same numbers, whoever plays; stopped, what was written is whole lines from the first on.
func TestRowsAsJSON(t *testing.T) {
	r := rowed(t, turnsOfBoth, 200)
	var whole bytes.Buffer
	if n, err := r.WriteRows(t.Context(), &whole, true, nil); err != nil || n != 200 {
		t.Fatal(n, err)
	}
	ctx, stop := context.WithCancel(t.Context())
	var part bytes.Buffer
	n, err := r.WriteRows(ctx, &part, true, func(int) { stop() })
	if n < 64 || n == 200 || bytes.Count(part.Bytes(), []byte("\n")) != n || !bytes.HasPrefix(whole.Bytes(), part.Bytes()) {
		t.Errorf("stopped: %d rows, %v", n, err)
	}
	dec := json.NewDecoder(&whole)
	sum := 0
	for i := range 200 {
		var row experiment.Row
		if err := dec.Decode(&row); err != nil || row.Deal != i || row.Seed != 5 || row.Seat != []string{"E", "S", "W", "N"}[i%4] {
			t.Fatalf("row %d: %+v, %v", i, row, err)
		}
		if row.Ways[1].Value != nil {
			sum += *row.Ways[1].Value
		}
	}
	if int64(sum) != r.Tally.Ways[1].Value.Sum {
		t.Errorf("the rows add up to %d, the result to %d", sum, r.Tally.Ways[1].Value.Sum)
	}
}
