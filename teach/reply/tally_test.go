package reply

import (
	"encoding/csv"
	"fmt"
	"math"
	"strings"
	"testing"

	"secondpass/exercise"
	"secondpass/rules/charleston"
)

// walked makes the first legal decision number so and so at each step.
func walked(t *testing.T, e *exercise.Exercise, choices ...int) (*exercise.Exercise, string) {
	t.Helper()
	own := e.Fresh()
	for _, n := range choices {
		trail, err := own.Replay(own.Routes[0])
		if err != nil {
			t.Fatal(err)
		}
		view := trail.Now.View()
		legal := view.Legal()
		if len(legal) == 0 {
			break
		}
		if _, err := own.Do(own.Routes[0].Name, decision(legal[min(n, len(legal)-1)])); err != nil {
			t.Fatal(err)
		}
	}
	code, err := Code(own, own.Routes[0])
	if err != nil {
		t.Fatal(err)
	}
	return own, code
}

// Four readers, one of whom sends twice, a stranger's code and a damaged one: who counts, where they part, and the means by hand.
func TestCount(t *testing.T) {
	e := dealt(t, charleston.South, exercise.MockPasses, 1)
	// All pass the first tiles they may; at the vote number 1 is to stop, at the courtesy number 0 offers none.
	stops, stopping := walked(t, e, 0, 0, 0, 1, 0)
	other, parting := walked(t, e, 0, 100, 0, 1, 0)
	_, short := walked(t, e, 0, 0)
	_, strange := walked(t, dealt(t, charleston.South, exercise.MockPasses, 2), 0)
	text := strings.Join([]string{
		"Ada: " + parting, "Bo: " + stopping, "Cy: " + short, "ada: " + stopping, parting,
		"Di: " + strange, "Ed: " + stopping[:len(stopping)-1],
	}, "\n")
	replies := Collect(e, text)
	got := ""
	for _, r := range replies {
		got += fmt.Sprintf("%s %v %v; ", r.Name, r.Counts(), r.Err)
	}
	want := fmt.Sprintf("Ada false <nil>; Bo true <nil>; Cy true <nil>; ada true <nil>;  true <nil>; Di false %v; Ed false %v; ", ErrOther, ErrDamaged)
	if got != want {
		t.Fatalf("replies\n%s, wanted\n%s", got, want)
	}
	tally, err := Count(replies)
	if err != nil {
		t.Fatal(err)
	}
	if tally.Readers != 4 || tally.Over != 3 {
		t.Errorf("%d readers, %d at the end", tally.Readers, tally.Over)
	}
	steps := ""
	for _, s := range tally.Steps {
		steps += fmt.Sprintf("%s %d/%d", s.Step, s.Readers, s.Racks)
		for _, c := range s.Choices {
			steps += fmt.Sprintf(" %d", len(c.Replies))
		}
		steps += "; "
	}
	if want := "first right 4/1 4; first across 4/1 3 1; first left 3/2 2 1; first left 3/2 3; courtesy 3/2 3; "; steps != want {
		t.Errorf("steps\n%s, wanted\n%s", steps, want)
	}
	var away float64
	for _, x := range []*exercise.Exercise{stops, stops, other} {
		column, err := x.Column(x.Routes[0])
		if err != nil {
			t.Fatal(err)
		}
		away += float64(column.End().Nearest.Away) / 3
	}
	if math.Abs(float64(tally.Away.Value)-away) > 1e-12 || tally.Away.N != 3 {
		t.Errorf("away %+v, wanted a mean of %v over 3", tally.Away, away)
	}
}

// The lines for a spreadsheet tell every decision of what was read, why another was not, and hold no formula.
func TestCSV(t *testing.T) {
	e := dealt(t, charleston.South, exercise.MockPasses, 1)
	e, code := walked(t, e, 0, 0, 0, 1, 0)
	var out strings.Builder
	replies := Collect(e, "=SUM(A1): "+code+"\nTom: "+code[:len(code)-1]+"\n")
	if err := WriteCSV(&out, replies, nil, func(r *Reply) string { return map[bool]string{true: "damaged"}[r.Err != nil] }); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(out.String())).ReadAll()
	if err != nil || len(rows) != 2+len(e.Routes[0].Decisions) {
		t.Fatalf("%d lines, %v:\n%s", len(rows), err, &out)
	}
	for i, d := range e.Routes[0].Decisions {
		row := rows[i+1]
		if strings.HasPrefix(row[1], "=") || row[3] != "true" || row[5] != d.Step.Key() || row[10] != d.Came.String() {
			t.Errorf("decision %d: %v for %+v", i+1, row, d)
		}
	}
	if last := rows[len(rows)-1]; last[1] != "Tom" || last[3] != "false" || last[4] != "damaged" || last[5] != "" {
		t.Errorf("the damaged one: %v", last)
	}
}
