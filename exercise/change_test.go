package exercise

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"secondpass/rules/charleston"
)

// A change of plan and a changed remark are taken back and made again in their turn, between the decisions.
func TestChangesAreTakenBack(t *testing.T) {
	e := newExercise(t, charleston.South, MockPasses, 21)
	aimed(t, e, "A", "Runs")
	passes(t, e, "A", 2)
	aimed(t, e, "A", "Evens", "Odds")
	remarked(t, e, 1, "first")
	passes(t, e, "A", 1)
	remarked(t, e, 1, "second")
	aimed(t, e, "A")
	aimed(t, e, "A") // nothing new
	plan := func() string { return AimText(e.Routes[0].Aim()) }
	whole := stands(e.Routes[0])
	steps := []struct {
		remark, plan string
		decisions    int
	}{
		{"second", "Evens + Odds", 3}, {"first", "Evens + Odds", 3}, {"first", "Evens + Odds", 2}, {"", "Evens + Odds", 2}, {"", "Runs", 2},
		{"", "Runs", 1}, {"", "Runs", 0}, {"", "free", 0},
	}
	for i, want := range steps {
		if _, err := e.Undo("A"); err != nil {
			t.Fatal(err)
		}
		e = reread(t, e)
		r := e.Routes[0]
		if got := r.Note(1).Remark; r.Len() >= 1 && got != want.remark || plan() != want.plan || r.Len() != want.decisions {
			t.Errorf("taken back %d times: %d decisions, plan %s, remark %q; want %+v", i+1, r.Len(), plan(), got, want)
		}
	}
	if _, err := e.Undo("A"); err == nil || !strings.Contains(err.Error(), "nothing to take back") {
		t.Error(err)
	}
	for range steps {
		if _, err := e.Redo("A"); err != nil {
			t.Fatal(err)
		}
		e = reread(t, e)
	}
	if got := stands(e.Routes[0]); got != whole {
		t.Errorf("done again\n%s\nwhere it was\n%s", got, whole)
	}
}

// What was taken back under a plan is done again under the one that took its place; a change that was taken back is not made again
// over a new one.
func TestANewPlanAfterUndo(t *testing.T) {
	e := newExercise(t, charleston.South, MockPasses, 22)
	passes(t, e, "A", 1)
	aimed(t, e, "A", "Runs")
	passes(t, e, "A", 2)
	for range 3 { // two decisions and the plan
		if _, err := e.Undo("A"); err != nil {
			t.Fatal(err)
		}
	}
	aimed(t, e, "A", "Odds")
	for range 2 {
		if _, err := e.Redo("A"); err != nil {
			t.Fatal(err)
		}
	}
	r := e.Routes[0]
	if _, err := e.Redo("A"); err == nil || r.Len() != 3 || AimText(r.AimAt(0)) != "free" || AimText(r.AimAt(1)) != "Odds" || AimText(r.Aim()) != "Odds" {
		t.Errorf("%v; %d decisions, plans %s, %s, %s", err, r.Len(), AimText(r.AimAt(0)), AimText(r.AimAt(1)), AimText(r.Aim()))
	}
}

// A fork can take back what was changed before it, and mending lets go of the changes after it but keeps what they left.
func TestChangesOfForksAndMends(t *testing.T) {
	e := entered(t)
	aimed(t, e, "A", "Evens")
	remarked(t, e, 2, "here")
	fork, err := e.Fork("A", 2, "")
	if err != nil || len(fork.Changes) != 0 || fork.Note(2).Remark != "here" {
		t.Fatalf("%+v, %v", fork, err)
	}
	if _, err := e.Undo("A"); err != nil {
		t.Fatal(err)
	}
	if mended, err := e.Mend("A", 0, Decision{Own: parcel("N E W"), Came: parcel("1b 4c 8c")}); err != nil || mended[0].Left != 0 {
		t.Fatalf("%+v, %v", mended, err)
	}
	e = reread(t, e)
	r := e.Routes[0]
	if r.Len() != 3 || AimText(r.Aim()) != "Evens" || len(r.Changes)+len(r.Ahead) != 0 {
		t.Errorf("mended: %d decisions, plan %s, %d changes, %d ahead", r.Len(), AimText(r.Aim()), len(r.Changes), len(r.Ahead))
	}
}

// However plans, remarks, decisions, undo and redo follow each other, all can be taken back to the deal and done again, also from
// the file, and the file is the same.
func TestAnyOrderOfChangesIsTakenBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := newExercise(t, charleston.East, MockPasses, rapid.Uint64().Draw(t, "seed"))
		r := e.Routes[0]
		for range rapid.IntRange(1, 25).Draw(t, "acts") {
			var err error
			switch rapid.SampledFrom([]string{"aim", "remark", "decide", "undo", "redo"}).Draw(t, "act") {
			case "aim":
				err = e.SetAim("A", rapid.SampledFrom([][]string{nil, {"Runs"}, {"Evens", "Runs 1"}}).Draw(t, "aim"))
			case "remark":
				err = e.SetRemark("A", rapid.IntRange(0, r.Len()).Draw(t, "at"), rapid.SampledFrom([]string{"", "one", "two"}).Draw(t, "remark"))
			case "decide":
				if len(r.Decisions) < 4 {
					step(t, e, r)
				}
			case "undo":
				if r.Last() != nil {
					_, err = e.Undo("A")
				}
			case "redo":
				if len(r.Ahead) > 0 {
					_, err = e.Redo("A")
				}
			}
			if err != nil {
				t.Fatal(err)
			}
		}
		var back []string
		for ; r.Last() != nil; back = append(back, noted(r)) {
			if _, err := e.Undo("A"); err != nil {
				t.Fatal(err)
			}
		}
		var err error
		if e, err = Read(strings.NewReader(write(t, e))); err != nil {
			t.Fatal(err)
		}
		r = e.Routes[0]
		for i := len(back) - 1; i >= 0; i-- {
			if got := noted(r); got != back[i] {
				t.Fatalf("done again\n%s\nwhere it was\n%s", got, back[i])
			}
			if _, err := e.Redo("A"); err != nil {
				t.Fatal(err)
			}
		}
	})
}

// noted is how a route stands at all its moments.
func noted(r *Route) string {
	var text strings.Builder
	for at := range r.Len() + 1 {
		text.WriteString(AimText(r.AimAt(at)) + ", " + r.Note(at).Remark + "; ")
	}
	return text.String()
}

func remarked(t *testing.T, e *Exercise, at int, text string) {
	t.Helper()
	if err := e.SetRemark("A", at, text); err != nil {
		t.Fatal(err)
	}
}

func TestChangesInFiles(t *testing.T) {
	e := newExercise(t, charleston.South, MockPasses, 23)
	passes(t, e, "A", 2)
	remarked(t, e, 1, "first")
	aimed(t, e, "A", "Runs")
	if _, err := e.Undo("A"); err != nil {
		t.Fatal(err)
	}
	text := write(t, e)
	for _, wrong := range [][2]string{
		{`"version": 2`, `"version": 1`}, {`"of": 2,` + "\n" + `     "at": 1,`, `"of": 3,` + "\n" + `     "at": 1,`}, {`"at": 1,` + "\n" + `     "remark": ""`, `"at": 1`},
		{`"remark": ""`, `"remark": "", "aim": []`}, {`"Runs"`, `"Rums"`},
	} {
		if !strings.Contains(text, wrong[0]) {
			t.Fatalf("no %s in\n%s", wrong[0], text[strings.Index(text, `"routes"`):])
		}
		if _, err := Read(strings.NewReader(strings.Replace(text, wrong[0], wrong[1], 1))); err == nil {
			t.Errorf("read with %s", wrong[1])
		}
	}
	// Of a plan pinned again and again so many changes are kept as can be read back.
	for i := range 2 * maxChanges {
		aimed(t, e, "A", []string{"Runs", "Evens"}[i%2])
	}
	if e = reread(t, e); len(e.Routes[0].Changes) != maxChanges {
		t.Errorf("%d changes are kept", len(e.Routes[0].Changes))
	}
}
