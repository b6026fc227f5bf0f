package exercise

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"runtime"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"secondpass/deal"
	"secondpass/engine/fit"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

func rack(text string) tile.Rack { return tile.MustParse(text) }

func parcel(text string) charleston.Parcel {
	p, err := ParseParcel(text, tile.Usual)
	if err != nil {
		panic(err)
	}
	return p
}

func newExercise(t interface{ Fatal(...any) }, seat charleston.Seat, in Incoming, seed uint64) *Exercise {
	rack, _, err := deal.Draw(deal.Condition{}, seat.DealtTiles(), tile.Usual, fit.New(card.Practice()), seed)
	if err != nil {
		t.Fatal(err)
	}
	if in == TablePasses {
		e, err := NewTable("Try", card.Practice(), house.Usual, seat, rack, "nearest", seed)
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
	e, err := New("Try", card.Practice(), house.Usual, seat, rack, in, seed)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func ExampleExercise_Fork() {
	deal := rack("123b 456c 789d NEWS")
	e, _ := New("Demo", card.Practice(), house.Usual, charleston.South, deal, EnteredPasses, 1)
	d, err := e.Do("A", Decision{Own: parcel("N E W"), Came: parcel("1b 4c 7d")})
	fmt.Println(d.Came, err)
	fork, _ := e.Fork("A", 0, "")
	_, err = e.Do(fork.Name, Decision{Own: parcel("J"), Came: parcel("1b")})
	fmt.Println(err)
	// Output:
	// 1b 4c 7d <nil>
	// the first right takes 3 tiles, not 1
}

func TestMockIsTheSameForEveryRoute(t *testing.T) {
	e := newExercise(t, charleston.South, MockPasses, 4)
	routes, err := e.WalkAll([][]string{{"Runs"}, {"Evens"}, nil})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range routes {
		for _, d := range r.Decisions {
			if d.Phase != charleston.Passing {
				continue
			}
			want := tile.RackOf(e.Mock[d.Step][d.Count:]...)
			if d.Came.Rack() != want {
				t.Errorf("route %s, %s with %d blind: %s came, want %s", r.Name, d.Step, d.Count, d.Came, want)
			}
		}
		if col, err := e.Column(r); err != nil || col.Trail.Now.Phase() != charleston.Over {
			t.Errorf("route %s did not end: %v", r.Name, err)
		}
	}
}

func TestUndoAndFork(t *testing.T) {
	e := newExercise(t, charleston.East, MockPasses, 9)
	if _, err := e.WalkAll([][]string{nil}); err != nil {
		t.Fatal(err)
	}
	a := e.Routes[0]
	n := len(a.Decisions)
	b, err := e.Fork("a", 2, "Second plan")
	if err != nil || PartsAt(a, b) != 2 || b.From != "A" {
		t.Fatalf("%+v, %v", b, err)
	}
	if _, err := e.Fork("A", n+1, ""); err == nil {
		t.Error("a fork behind the end")
	}
	if _, err := e.Fork("A", 0, "second PLAN"); err == nil {
		t.Error("two routes of one name")
	}
	if err := e.RenameRoute("A", "First plan"); err != nil || e.Origin(b) != a {
		t.Errorf("%q, %v", b.From, err)
	}
	for range n {
		if _, err := e.Undo("First plan"); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := e.Undo("First plan"); err == nil || !strings.Contains(err.Error(), "nothing to take back") {
		t.Error(err)
	}
	if len(b.Decisions) != 2 {
		t.Error("undoing one route changed another")
	}
	if err := e.RemoveRoute("First plan"); err != nil {
		t.Error(err)
	}
	if err := e.RemoveRoute("Second plan"); err == nil {
		t.Error("the last route removed")
	}
}

// drawExercise makes an exercise with routes of random legal decisions.
func drawExercise(t *rapid.T) *Exercise {
	seat := rapid.SampledFrom([]charleston.Seat{charleston.East, charleston.West}).Draw(t, "seat")
	in := rapid.SampledFrom([]Incoming{MockPasses, EnteredPasses, TablePasses}).Draw(t, "incoming")
	e := newExercise(t, seat, in, rapid.Uint64().Draw(t, "seed"))
	e.Condition = "a condition"
	for range rapid.IntRange(1, 3).Draw(t, "routes") {
		parent := rapid.SampledFrom(e.Routes).Draw(t, "parent")
		r, err := e.Fork(parent.Name, rapid.IntRange(0, parent.Len()).Draw(t, "keep"), "")
		if err != nil {
			t.Fatal(err)
		}
		if err := e.SetAim(r.Name, rapid.SampledFrom([][]string{nil, {"Runs"}, {"Evens", "Runs 1"}}).Draw(t, "aim")); err != nil {
			t.Fatal(err)
		}
		for range rapid.IntRange(0, 30).Draw(t, "steps") {
			if !step(t, e, r) {
				break
			}
		}
	}
	return e
}

// step makes one random legal decision; false at the end.
func step(t *rapid.T, e *Exercise, r *Route) bool {
	trail, err := e.Replay(r)
	if err != nil {
		t.Fatal(err)
	}
	if trail.Game != nil {
		return act(t, e, r, trail.Game)
	}
	now := trail.Now
	choose := func(n int) charleston.Parcel {
		return rapid.SampledFrom(charleston.Parcels(now.Rack(), n)).Draw(t, "own")
	}
	var d Decision
	switch now.Phase() {
	case charleston.Over:
		return false
	case charleston.Passing:
		if now.Step().BlindAllowed() {
			d.Count = rapid.IntRange(0, 3).Draw(t, "blind")
		}
		d.Own = choose(3 - d.Count)
	case charleston.Voting:
		d.Stop = rapid.Bool().Draw(t, "stop")
		d.OthersStop = e.Incoming == EnteredPasses && !d.Stop && rapid.Bool().Draw(t, "others")
	case charleston.Naming:
		d.Count = rapid.IntRange(0, 3).Draw(t, "offer")
		d.Exchanged = rapid.IntRange(0, d.Count).Draw(t, "exchanged")
	case charleston.Giving:
		d.Own = choose(now.Exchange())
	}
	if e.Incoming == EnteredPasses && d.Own.Len() > 0 {
		left, err := e.Set.Less(now.Rack())
		if err != nil {
			t.Fatal(err)
		}
		d.Came = rapid.SampledFrom(charleston.Parcels(tile.Rack(left), d.Own.Len())).Draw(t, "came")
	}
	if _, err := e.Do(r.Name, d); err != nil {
		t.Fatalf("%+v: %v", d, err)
	}
	return true
}

func write(t interface{ Fatal(...any) }, e *Exercise) string {
	var b bytes.Buffer
	if err := e.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// Export and import give the same exercise.
func TestFileRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := drawExercise(t)
		text := write(t, e)
		back, err := Read(strings.NewReader(text))
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if again := write(t, back); again != text {
			t.Fatalf("written\n%s\nread and written again\n%s", text, again)
		}
		for i, r := range e.Routes {
			a, errA := e.Replay(r)
			b, errB := back.Replay(back.Routes[i])
			if errA != nil || errB != nil || a.Now.Rack() != b.Now.Rack() || len(a.Snapshots) != len(b.Snapshots) {
				t.Fatalf("route %s replays differently", r.Name)
			}
			if recordText(t, a.Game) != recordText(t, b.Game) {
				t.Fatalf("route %s is played differently", r.Name)
			}
		}
	})
}

func TestReadRefuses(t *testing.T) {
	e := newExercise(t, charleston.South, MockPasses, 4)
	if _, err := e.WalkAll([][]string{nil}); err != nil {
		t.Fatal(err)
	}
	good := write(t, e)
	if _, err := Read(strings.NewReader(good)); err != nil {
		t.Fatal(err)
	}
	deal := `"deal": "` + e.Deal.String() + `"`
	pass := `"pass": "` + e.Routes[0].Decisions[0].Own.String() + `"`
	tests := []struct{ name, from, to, want string }{
		{"no JSON", `{`, `[`, "no exercise file: line"},
		{"other format", `"secondpass exercise"`, `"x"`, `its format is "x"`},
		{"later version", `"version": 1`, `"version": 3`, "version 3; this program reads versions 1 to 2"},
		{"unknown field", `"version": 1`, `"version": 1, "extra": 1`, "extra"},
		{"wrong type", `"version": 1`, `"version": "one"`, "no exercise file: line 3"},
		{"text after the end", "\n}\n", "\n}\n{}", "more text after its end"},
		{"name", `"name": "Try"`, `"name": " "`, "name: an empty name"},
		{"card's text", "card     Lantern", "kard     Lantern", "the exercise's card is wrong"},
		{"card's name", `"name": "Lantern"`, `"name": "Torch"`, "its text says"},
		{"flowers", `"flowers": 8`, `"flowers": 99`, "house: 99 flowers"},
		{"seat", `"seat": "S"`, `"seat": "Q"`, "seat: \"Q\" is no seat"},
		{"dealer's tiles", `"seat": "S"`, `"seat": "E"`, "East is dealt 14"},
		{"deal", deal, `"deal": "12x"`, "deal: position 3"},
		{"incoming", `"incoming": "mock"`, `"incoming": "magic"`, "mock, entered or table are right"},
		{"a mock joker", `"first-right": [` + "\n   \"", `"first-right": [` + "\n   \"J", "first right: \"J"},
		{"a pass not held", pass, `"pass": "J 1b 2b"`, "route A, decision 1: "},
		{"aim", `"name": "A",`, `"name": "A", "aim": ["Nothing"],`, "route A: aim: card"},
		{"card without hands", e.cardText(), "card Lantern\\nsection Empty\\n", "no hands to play for"},
		{"no house rules", `"house": {`, `"hoose": {`, "unknown field"},
		{"fork of no route", `"name": "A",`, `"name": "A", "from": "Q",`, "route A: from: no route"},
		{"fork behind the end", `"name": "A",`, `"name": "A", "at": 99,`, "at: 99"},
		{"step", `"step": "first-right"`, `"step": "last-left"`, "is no step"},
		{"step out of turn", `"step": "first-right"`, `"step": "first-left"`, "where the first right is due"},
		{"two decisions in one", pass, pass + `, "offer": 1`, "2 of pass, stop, offer and give"},
		{"other tiles came", `"came": "`, `"came": "F`, "route A, decision 1: "},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			bad := strings.Replace(good, tt.from, tt.to, 1)
			if bad == good {
				t.Fatalf("%q is not in the file", tt.from)
			}
			if _, err := Read(strings.NewReader(bad)); err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("error %v, want %q", err, tt.want)
			}
		})
	}
}

func FuzzRead(f *testing.F) {
	e := newExercise(f, charleston.South, MockPasses, 4)
	if _, err := e.WalkAll([][]string{{"Runs"}, nil}); err != nil {
		f.Fatal(err)
	}
	f.Add([]byte(write(f, e)))
	for _, e := range tableExercises(f) {
		f.Add([]byte(write(f, e)))
	}
	e, _ = New("Entered", card.Practice(), house.Usual, charleston.South, rack("123b 456c 789d NEWS"), EnteredPasses, 1)
	f.Add([]byte(write(f, e)))
	f.Add([]byte(`{"format":"secondpass exercise","version":1}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		e, err := Read(bytes.NewReader(data))
		if err != nil {
			return
		}
		text := write(t, e)
		if back, err := Read(strings.NewReader(text)); err != nil || write(t, back) != text {
			t.Fatalf("%v\n%s", err, text)
		}
	})
}

// A repeat is the same on one core and on two, and a stopped one is that of a shorter run.
func TestRepeatIsReproducible(t *testing.T) {
	e := newExercise(t, charleston.South, MockPasses, 11)
	aims := [][]string{{"Runs"}, {"Evens"}}
	run := func(ctx context.Context, cores, games int, progress func(int)) *Repeated {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		r, err := e.Repeat(ctx, aims, games, progress)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	one, two := run(context.Background(), 1, 700, nil), run(context.Background(), 2, 700, nil)
	if fmt.Sprintf("%+v", one) != fmt.Sprintf("%+v", two) {
		t.Errorf("on one core\n%+v\non two\n%+v", one, two)
	}
	ctx, cancel := context.WithCancel(context.Background())
	stopped := run(ctx, 2, 5000, func(int) { cancel() })
	if stopped.Games == 0 || stopped.Games == 5000 {
		t.Fatalf("stopped after %d games", stopped.Games)
	}
	short := run(context.Background(), 1, stopped.Games, nil)
	stopped.Asked = short.Asked
	if fmt.Sprintf("%+v", short) != fmt.Sprintf("%+v", stopped) {
		t.Error("a stopped run differs from a short one")
	}
}

// An aim against itself under both names differs in no game.
func TestRepeatPairsTheSameTiles(t *testing.T) {
	e := newExercise(t, charleston.South, MockPasses, 3)
	r, err := e.Repeat(context.Background(), [][]string{{"Evens"}, {"evens"}}, 300, nil)
	if err != nil {
		t.Fatal(err)
	}
	p := r.Pairs[0]
	if p.SpareBest.Value != 0 || p.CleanBest.Value != 0 || p.Options.Value != 0 || p.SpareBest.N != 300 {
		t.Errorf("%+v", p)
	}
	if r.Aims[0].Histogram.Count() != 300 {
		t.Errorf("the histogram has %d games", r.Aims[0].Histogram.Count())
	}
}

// cardText is the exercise's card as it stands in the file.
func (e *Exercise) cardText() string {
	quoted, _ := json.Marshal(e.Card.Source) // a string always marshals
	return strings.Trim(string(quoted), `"`)
}
