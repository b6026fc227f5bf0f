package exercise

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// passes takes steps of a mock exercise tamely.
func passes(t *testing.T, e *Exercise, route string, steps int) {
	t.Helper()
	if err := e.WalkOn(route, steps); err != nil {
		t.Fatal(err)
	}
}

func aimed(t *testing.T, e *Exercise, route string, aim ...string) {
	t.Helper()
	if err := e.SetAim(route, aim); err != nil {
		t.Fatal(err)
	}
}

// A change of plan leaves the steps before it as they were: their plan, and how their racks stand.
func TestAStepKeepsItsPlan(t *testing.T) {
	e := newExercise(t, charleston.South, MockPasses, 12)
	aimed(t, e, "A", "Runs")
	passes(t, e, "A", 2)
	before, err := e.Column(e.Routes[0])
	if err != nil {
		t.Fatal(err)
	}
	aimed(t, e, "A", "Evens", "Odds")
	passes(t, e, "A", 1)
	aimed(t, e, "A")
	e = reread(t, e)
	r := e.Routes[0]
	for at, want := range []string{"Runs", "Runs", "Evens + Odds", "free", "free"} {
		if got := AimText(r.AimAt(at)); got != want {
			t.Errorf("after %d decisions the plan is %s, want %s", at, got, want)
		}
	}
	after, err := e.Column(r)
	if err != nil {
		t.Fatal(err)
	}
	for i := range 2 {
		a, b := &before.Accounts[i+1], &after.Accounts[i+1]
		if a.SparePlan != b.SparePlan || a.Plan[0].Hand != b.Plan[0].Hand {
			t.Errorf("step %d stood at %v and stands at %v since the plan changed", i+1, a.SparePlan, b.SparePlan)
		}
		if got := AimText(after.Trail.Snapshots[i].Note.Aim); got != "Runs" {
			t.Errorf("the snapshot of step %d has the plan %s", i+1, got)
		}
	}
	fork, err := e.Fork("A", 2, "")
	if err != nil || AimText(fork.Aim()) != "Evens + Odds" {
		t.Errorf("a fork at the step of the plan Evens + Odds has the plan %s (%v)", AimText(fork.Aim()), err)
	}
	if fork, err = e.Fork("A", 1, ""); err != nil || AimText(fork.Aim()) != "Runs" {
		t.Errorf("a fork at the step of the plan Runs has the plan %s (%v)", AimText(fork.Aim()), err)
	}
}

// At the end the plan's spare tiles are those of the last step's plan.
func TestTheEndGoesByTheLastPlan(t *testing.T) {
	e := newExercise(t, charleston.South, MockPasses, 13)
	aimed(t, e, "A", "Runs")
	passes(t, e, "A", 3)
	aimed(t, e, "A", "Evens")
	passes(t, e, "A", 0)
	c, err := e.Column(e.Routes[0])
	if err != nil {
		t.Fatal(err)
	}
	j, err := NewAccountant(e.Card, []string{"Evens"})
	if err != nil {
		t.Fatal(err)
	}
	want := j.Account(c.Trail.Now.Rack())
	if !c.Over() || c.End().SparePlan != want.SparePlan {
		t.Errorf("%s is spare at the end, but by the plan of the last step %s", c.End().SparePlan, want.SparePlan)
	}
}

func TestRemarksAndAdviceAreKept(t *testing.T) {
	e := newExercise(t, charleston.South, MockPasses, 14)
	passes(t, e, "A", 2)
	advised := &Advised{Seed: 14, Games: 8000, Whole: 512, Of: 233, Options: []Option{
		{Pass: charleston.Action{Seat: e.Seat, Kind: charleston.Pass, Own: parcel("1b 2c N"), Count: 0}, Even: true,
			Chance: stat.Interval[unit.Chance]{Value: .25, Low: .2, High: .3, N: 512}, Points: stat.IntMoments[unit.NetPoints]{N: 512, Sum: -300, SumSq: 99999}},
		{Pass: charleston.Action{Seat: e.Seat, Kind: charleston.Pass, Own: parcel("1b 2c"), Count: 1}, Own: true,
			Chance: stat.Interval[unit.Chance]{Value: .2, Low: .1, High: .3, N: 512},
			Behind: stat.Interval[unit.ChanceDifference]{Value: .05, Low: .01, High: .09, N: 512}}}}
	if err := e.KeepAdvice("A", 1, advised); err != nil {
		t.Fatal(err)
	}
	if err := e.SetRemark("A", 1, "  Why not the flowers?\r\nLook at the pairs.  "); err != nil {
		t.Fatal(err)
	}
	if err := e.SetRemark("A", 3, "too late"); err == nil || err.Error() != "route A has 2 decisions; its moments are 0 to 2" {
		t.Error(err)
	}
	if err := e.SetRemark("A", 0, strings.Repeat("x", 2001)); err == nil {
		t.Error("a remark without end")
	}
	back := reread(t, e)
	n := back.Routes[0].Note(1)
	if n.Remark != "Why not the flowers?\nLook at the pairs." || fmt.Sprintf("%+v", *n.Advice) != fmt.Sprintf("%+v", *advised) {
		t.Errorf("%q, %+v", n.Remark, n.Advice)
	}
	if n := back.Routes[0].Note(2); n.Remark != "" || n.Advice != nil {
		t.Errorf("the moment after has %+v", n)
	}
	for _, wrong := range [][2]string{
		{`"whole": 512`, `"whole": -1`}, {`"pass": "1b 2c N"`, `"pass": "1b 2c N",` + "\n" + `"stop": true`}, {`"value": 0.25`, `"value": 1.5`},
		{`"at": 1,` + "\n" + `     "remark"`, `"at": 7,` + "\n" + `     "remark"`}, {`"version": 2`, `"version": 1`}, {`"version": 2`, `"version": 3`},
	} {
		text := write(t, e)
		if !strings.Contains(text, wrong[0]) {
			t.Fatalf("no %s in\n%s", wrong[0], text[strings.Index(text, `"routes"`):])
		}
		if _, err := Read(strings.NewReader(strings.Replace(text, wrong[0], wrong[1], 1))); err == nil {
			t.Errorf("read with %s", wrong[1])
		}
	}
}

// A file of an earlier program, as it was written by one: the plan is that of every step.
func TestEarlierFilesAreRead(t *testing.T) {
	f, err := os.Open("testdata/version-1.json")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	e, err := Read(f)
	if err != nil {
		t.Fatal(err)
	}
	r := e.Routes[1]
	for at := range r.Len() + 1 {
		if AimText(r.AimAt(at)) != "Evens" {
			t.Errorf("after %d decisions of an earlier route with the plan Evens: %s", at, AimText(r.AimAt(at)))
		}
	}
	was, err := os.ReadFile("testdata/version-1.json")
	if err != nil || write(t, e) != string(was) {
		t.Errorf("what an earlier program can read is not written as it wrote it (%v)", err)
	}
}

func TestRedo(t *testing.T) {
	e := newExercise(t, charleston.South, MockPasses, 15)
	passes(t, e, "A", 3)
	aimed(t, e, "A", "Runs")
	if err := e.SetRemark("A", 3, "a change of plan"); err != nil {
		t.Fatal(err)
	}
	passes(t, e, "A", 1)
	whole := stands(e.Routes[0])
	for range 5 { // the last decision, the remark, the plan, two decisions
		if _, err := e.Undo("A"); err != nil {
			t.Fatal(err)
		}
	}
	e = reread(t, e) // also on another day
	for range 5 {
		if _, err := e.Redo("A"); err != nil {
			t.Fatal(err)
		}
	}
	if stands(e.Routes[0]) != whole {
		t.Errorf("done again\n%s\nwhere it was\n%s", stands(e.Routes[0]), whole)
	}
	if _, err := e.Redo("A"); err == nil || !strings.Contains(err.Error(), "nothing of route A was taken back") {
		t.Error(err)
	}
	// The same decision again goes the same way; another ends it.
	for range 4 {
		if _, err := e.Undo("A"); err != nil {
			t.Fatal(err)
		}
	}
	ahead := e.Routes[0].Ahead
	if _, err := e.Do("A", ahead[0].Decision); err != nil || len(e.Routes[0].Ahead) != 3 {
		t.Errorf("after the same decision %d can be done again (%v)", len(e.Routes[0].Ahead), err)
	}
	if _, err := e.Undo("A"); err != nil {
		t.Fatal(err)
	}
	other := ahead[0].Decision
	trail, err := e.Replay(e.Routes[0])
	if err != nil {
		t.Fatal(err)
	}
	for _, own := range charleston.Parcels(trail.Now.Rack(), 3) {
		if own != other.Own {
			other.Own, other.Count = own, 0
			break
		}
	}
	if _, err := e.Do("A", other); err != nil || len(e.Routes[0].Ahead) != 0 {
		t.Errorf("after another decision %d can be done again (%v)", len(e.Routes[0].Ahead), err)
	}
}

// entered is an exercise from a real table after three passes.
func entered(t *testing.T) *Exercise {
	t.Helper()
	e, err := New("Table", card.Practice(), house.Usual, charleston.South, rack("123b 456c 789d NEWS"), EnteredPasses, 1)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range [][2]string{{"N E W", "1b 4c 7d"}, {"2b 5c 8d", "G R 0"}, {"G R 0", "F 9b 9c"}} {
		if _, err := e.Do("A", Decision{Own: parcel(d[0]), Came: parcel(d[1])}); err != nil {
			t.Fatal(err)
		}
	}
	return e
}

func TestAMistypedTileIsMended(t *testing.T) {
	e := entered(t)
	if _, err := e.Fork("A", 2, ""); err != nil {
		t.Fatal(err)
	}
	if _, err := e.Fork("A", 0, "Other"); err != nil {
		t.Fatal(err)
	}
	// 8c came, not 7d: the later passes are all possible with it, on both routes that share the first pass.
	mended, err := e.Mend("A", 0, Decision{Own: parcel("N E W"), Came: parcel("1b 4c 8c")})
	if err != nil || len(mended) != 2 || mended[0].Left+mended[1].Left != 0 {
		t.Fatalf("%+v, %v", mended, err)
	}
	trail, err := e.Replay(e.Routes[0])
	if err != nil || trail.Now.Rack() != rack("113b 446c 79d S 8c F 9b 9c") || len(e.Routes[0].Decisions) != 3 || len(e.Routes[1].Decisions) != 2 {
		t.Fatalf("%s, %v", trail.Now.Rack(), err)
	}
	// 5b came second, not G: what passed the G does not fit any more, and is named.
	mended, err = e.Mend("A", 1, Decision{Own: parcel("2b 5c 8d"), Came: parcel("5b R 0")})
	if err != nil || mended[0].Left != 1 || mended[0].Why == nil || !strings.Contains(mended[0].Why.Error(), "G is not in the rack") {
		t.Fatalf("%+v, %v", mended, err)
	}
	if n := len(e.Routes[0].Decisions); n != 2 {
		t.Fatalf("%d decisions are left", n)
	}
	e = reread(t, e)
	if _, err := e.Redo("A"); err == nil || !strings.Contains(err.Error(), "G is not in the rack") {
		t.Errorf("what does not fit is done again: %v", err)
	}
	// Mended back, it fits again and is taken again.
	if mended, err = e.Mend("A", 1, Decision{Own: parcel("2b 5c 8d"), Came: parcel("G R 0")}); err != nil || mended[0].Left != 0 || len(e.Routes[0].Decisions) != 3 {
		t.Fatalf("%+v, %v", mended, err)
	}
	// What cannot be is refused and changes nothing.
	was := write(t, e)
	for _, d := range []Decision{{Own: parcel("N E J"), Came: parcel("1b 4c 7d")}, {Own: parcel("N E W"), Came: parcel("1b 4c")}, {Own: parcel("N E R"), Came: parcel("1b 4c 7d")}} {
		if _, err := e.Mend("A", 0, d); err == nil {
			t.Errorf("mended to %s, %s came", d.Own, d.Came)
		}
	}
	if _, err := e.Mend("A", 9, Decision{}); err == nil {
		t.Error("a decision mended that there is not")
	}
	if write(t, e) != was {
		t.Error("a mend that was refused changed the exercise")
	}
	mock := newExercise(t, charleston.South, MockPasses, 4)
	if _, err := mock.MendDeal(mock.Deal); err == nil || !strings.Contains(err.Error(), "only what was typed in can be mended") {
		t.Error(err)
	}
}

func TestAMistypedDealIsMended(t *testing.T) {
	e := entered(t)
	mended, err := e.MendDeal(rack("123b 456c 779d NEWS"))
	if err != nil || mended[0].Left != 2 || !strings.Contains(mended[0].Why.Error(), "8d is not in the rack") {
		t.Fatalf("%+v, %v", mended, err)
	}
	if mended, err = e.MendDeal(rack("123b 456c 899d NEWS")); err != nil || mended[0].Left != 0 || len(e.Routes[0].Decisions) != 3 {
		t.Fatalf("%+v, %v", mended, err)
	}
	if _, err := e.MendDeal(rack("123b")); err == nil || e.Deal.Size() != 13 {
		t.Error("three tiles are a deal")
	}
}

func TestARemovedRouteComesBack(t *testing.T) {
	e := newExercise(t, charleston.South, MockPasses, 16)
	passes(t, e, "A", 2)
	for _, name := range []string{"Second", ""} {
		if _, err := e.Fork("A", 1, name); err != nil {
			t.Fatal(err)
		}
	}
	third, err := e.Fork("Second", 1, "")
	if err != nil {
		t.Fatal(err)
	}
	if err := e.RemoveRoute("Second"); err != nil {
		t.Fatal(err)
	}
	e = reread(t, e)
	if e.Origin(e.Routes[2]) != nil || !slices.Equal(e.RemovedNames(), []string{"Second"}) {
		t.Errorf("removed: %v", e.RemovedNames())
	}
	if err := e.RenameRoute("C", "Second"); err != nil {
		t.Fatal(err)
	}
	back, err := e.RestoreRoute("B")
	if err != nil || back.ID != "B" || back.Number() != 1 || e.Routes[1] != back || back.Name != "E" || len(back.Decisions) != 1 {
		t.Fatalf("%+v, %v", back, err)
	}
	if third, err = e.RouteAt(third.ID); err != nil || e.Origin(third) != back {
		t.Error("the fork of a route that came back is not its fork any more")
	}
	if _, err := e.RestoreRoute(""); err == nil {
		t.Error("a route restored that was never removed")
	}
	e = reread(t, e)
	for i := range 60 {
		r, err := e.Fork("A", 0, fmt.Sprintf("try %d", i))
		if err == nil {
			err = e.RemoveRoute(r.Name)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if e = reread(t, e); len(e.Removed) != removedKept {
		t.Errorf("%d removed routes are kept", len(e.Removed))
	}
}

// After mock and entered passes the game can be played on: the others' tiles make up the set and agree with what is known.
func TestPlayOn(t *testing.T) {
	for _, e := range []*Exercise{newExercise(t, charleston.West, MockPasses, 17), entered(t)} {
		if _, err := e.PlayOn("A"); err == nil || !strings.Contains(err.Error(), "the passing is not over") {
			t.Error(err)
		}
		if e.Incoming == MockPasses {
			passes(t, e, "A", 0)
		} else {
			for _, d := range []Decision{{Stop: true}, {Count: 2, Exchanged: 2}, {Own: parcel("F S"), Came: parcel("3d 3c")}} {
				if _, err := e.Do("A", d); err != nil {
					t.Fatal(err)
				}
			}
		}
		g, err := e.PlayOn("A")
		if err != nil {
			t.Fatal(err)
		}
		r := e.Routes[0]
		trail, err := e.Replay(r)
		if err != nil {
			t.Fatal(err)
		}
		if v := g.View(); v.Rack().Minus(trail.Now.Rack()).Size() > 1 {
			t.Errorf("the play begins with %s after %s", v.Rack(), trail.Now.Rack())
		}
		if e.Incoming == EnteredPasses { // what was given last is with the seat across
			if across := r.Unseen.Racks[charleston.North]; across[tile.Flower] == 0 || across[tile.South] == 0 {
				t.Errorf("the tiles given at the courtesy are not across: %s", across)
			}
		}
		if _, err := e.PlayOn("A"); err == nil {
			t.Error("the play begun twice")
		}
		for range 3 {
			if g.Over() {
				break
			}
			a := g.View().Legal()[0]
			if g, err = e.Act("A", a); err != nil {
				t.Fatal(err)
			}
		}
		e = reread(t, e)
		played := stands(e.Routes[0])
		n := e.Routes[0].Len()
		for range n {
			if _, err := e.Undo("A"); err != nil {
				t.Fatal(err)
			}
		}
		e = reread(t, e)
		for range n {
			if _, err := e.Redo("A"); err != nil {
				t.Fatal(err)
			}
		}
		if r := e.Routes[0]; stands(r) != played {
			t.Errorf("done again\n%s\nwhere it was\n%s", stands(r), played)
		}
		if cut := e.Routes[0].Upto(len(r.Decisions) - 1); cut.Unseen != nil || len(cut.Play) > 0 {
			t.Error("tiles are laid out before the passing is over")
		}
		text := write(t, e)
		for _, wrong := range [][2]string{{`"wall": "`, `"wall": "1b `}, {`"unseen"`, `"unseem"`}} {
			if _, err := Read(strings.NewReader(strings.Replace(text, wrong[0], wrong[1], 1))); err == nil {
				t.Errorf("read with %s", wrong[1])
			}
		}
	}
	e := newExercise(t, charleston.West, TablePasses, 17)
	passes(t, e, "A", 0)
	if _, err := e.PlayOn("A"); err == nil || !strings.Contains(err.Error(), "in its play already") {
		t.Error(err)
	}
	if _, err := e.Act("A", table.Action{Kind: table.Claim{}.By(0, 0).Kind}); err == nil {
		t.Error("an action of no kind")
	}
}
