package experiment_test

import (
	"bytes"
	"context"
	"reflect"
	"runtime"
	"strings"
	"testing"

	"secondpass/engine/fit"
	"secondpass/engine/player"
	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// head is the lines that every experiment needs; the seat and the others are quick.
const head = "experiment Test\nothers nearest\ndeals 320\n"

func start(t testing.TB, s *experiment.Experiment, seed uint64, deals int) *experiment.Result {
	t.Helper()
	c, err := practice(mustSet(t, s))
	if err != nil {
		t.Fatal(err)
	}
	tuning, _ := player.TuningFor(c)
	r, err := experiment.Start(s, c, tuning, seed, deals, "test")
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func mustSet(t testing.TB, s *experiment.Experiment) tile.Set {
	t.Helper()
	set, err := s.House.Set()
	if err != nil {
		t.Fatal(err)
	}
	return set
}

func run(t testing.TB, text string, seed uint64, deals int) *experiment.Result {
	t.Helper()
	r := start(t, read(t, text), seed, deals)
	if err := r.Run(context.Background(), nil); err != nil {
		t.Fatal(err)
	}
	return r
}

// repeats plays a result again and says whether the bytes are the same.
func repeats(r *experiment.Result) (bool, error) {
	again, err := r.Again()
	if err == nil {
		err = again.Run(context.Background(), nil)
	}
	return err == nil && r.Same(again), err
}

const winExperiment = head + `measure win
claim more by 1 %
way "plain" nearest
way "ties" flexible+stop-when=1
way "random" random
`

// Stopped anywhere, kept, read and run on, a result is the same bytes as in one go, on one core or several, and so it is
// when more deals are asked for later.
func TestResumeAndRepeat(t *testing.T) {
	whole := run(t, winExperiment, 3, 300)
	for _, after := range []int{64, 192} {
		r := start(t, read(t, winExperiment), 3, 300)
		if err := r.Run(context.Background(), func() bool { return r.Deals >= after }); err != nil {
			t.Fatal(err)
		}
		if r.Deals != after || r.Ended != experiment.Interrupted {
			t.Errorf("stopped after %d deals: %d, %s", after, r.Deals, r.Ended)
		}
		kept, err := experiment.ReadResult("kept", r.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		if same, err := repeats(kept); err != nil || !same {
			t.Errorf("an interrupted result does not repeat: %v", err)
		}
		old := runtime.GOMAXPROCS(1)
		err = kept.Run(context.Background(), nil)
		runtime.GOMAXPROCS(old)
		if err != nil || !bytes.Equal(kept.Bytes(), whole.Bytes()) {
			t.Errorf("stopped after %d deals and resumed it is not the same (%v)", after, err)
		}
	}
	if same, err := repeats(whole); err != nil || !same {
		t.Errorf("the result does not repeat: %v", err)
	}
	longer := run(t, winExperiment, 3, 100)
	if err := longer.Extend(300); err != nil {
		t.Fatal(err)
	}
	if same, err := repeats(longer); err != nil || !same {
		t.Errorf("an extended result does not repeat: %v", err)
	}
	if err := longer.Run(context.Background(), nil); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(longer.Tally, whole.Tally) {
		t.Error("the tally of a run that was extended is another")
	}
	if err := longer.Extend(10); err == nil {
		t.Error("a result can be made shorter than it is")
	}
	other := run(t, winExperiment, 4, 300)
	if bytes.Equal(other.Bytes(), whole.Bytes()) || other.Tally.Ways[0].Value == whole.Tally.Ways[0].Value && other.Tally.Pairs[0] == whole.Tally.Pairs[0] {
		t.Error("another seed gives the same")
	}
	whole.Tally.Ways[0].Value.Sum++
	if same, _ := repeats(whole); same {
		t.Error("a changed tally passes for the same")
	}
}

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	r := start(t, read(t, winExperiment), 1, 100_000)
	if err := r.Run(ctx, func() bool { cancel(); return false }); err != nil {
		t.Fatal(err)
	}
	if r.Deals < 64 || r.Deals > 1000 || r.Ended != experiment.Interrupted || r.Tally.Ways[0].Value.N != int64(r.Deals) {
		t.Errorf("%d deals, %s", r.Deals, r.Ended)
	}
	if again, err := r.Again(); err != nil || again.Run(ctx, nil) != nil || r.Same(again) {
		t.Errorf("a repeat that was cut short passes for the same (%v)", err)
	}
}

// An experiment until the verdict ends where the verdict comes and not before, and has nothing to do afterwards.
func TestUntilVerdict(t *testing.T) {
	text := head + "measure spares best\nclaim more by 1\nuntil verdict\nway \"strong\" strong\nway \"random\" random\n"
	r := run(t, text, 1, 20_000)
	f := r.Findings()[0]
	if r.Ended != experiment.AtVerdict || f.Comparisons[0].Verdict.String() != "holds" || r.Deals%64 != 0 || r.Deals > 5000 {
		t.Errorf("%d deals, %s, %s", r.Deals, r.Ended, f.Comparisons[0].Verdict)
	}
	before := r.Bytes()
	if err := r.Run(context.Background(), nil); err != nil || !bytes.Equal(before, r.Bytes()) {
		t.Error("it goes on after the verdict")
	}
	if same, err := repeats(r); err != nil || !same {
		t.Errorf("it does not repeat: %v", err)
	}
}

// Results that were tampered with or torn are refused in words.
func TestWrongResults(t *testing.T) {
	good := string(run(t, winExperiment, 1, 64).Bytes())
	for _, row := range []struct{ old, new, want string }{
		{`"format": "secondpass experiment result"`, `"format": "shopping list"`, "shopping list"},
		{`"version": 1`, `"version": 2`, "version 2"},
		{`"deals": 64`, `"deals": -1`, "numbers that cannot be"},
		{`"fingerprint": "`, `"fingerprint": "0`, "fingerprint"},
		{"\"ended\": \"all", "\"ended\": \"nearly all", "ended"},
		{"measure    win", "measure    wim", "wim"},
		{"way        ", "wax        ", "right would be"},
		{`"horizon"`, `"horizons"`, "horizons"},
		{"{", "", "no result of an experiment"},
		{`"ways": [`, `"ways": [{},`, "tally"},
		{`"n": 64`, `"n": 65`, "65 values of 64 deals"},
		{`"sum": `, `"sum": 9`, "more or less than there can be"},
		{`"differ": `, `"differ": -1`, "deals that differ"},
	} {
		text := strings.Replace(good, row.old, row.new, 1)
		if text == good {
			t.Fatalf("%q does not stand in the result", row.old)
		}
		if _, err := experiment.ReadResult("torn", []byte(text)); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%q for %q: %v", row.new, row.old, err)
		}
	}
	earlier := strings.NewReplacer(`"secondpass experiment result"`, `"secondpass study result"`, ` "experiment": "experiment Test`, ` "study": "study      Test`,
		` "experiment": "experiment \"Test`, ` "study": "study      \"Test`).Replace(good)
	if strings.Contains(earlier, "experiment") {
		t.Fatal("the result as an earlier program wrote it has the new word")
	}
	if r, err := experiment.ReadResult("earlier", []byte(earlier)); err != nil {
		t.Errorf("a result of an earlier program: %v", err)
	} else if string(r.Bytes()) != good {
		t.Errorf("a result of an earlier program is kept as\n%s\nwanted\n%s", r.Bytes(), good)
	} else if same, err := repeats(r); err != nil || !same {
		t.Errorf("a result of an earlier program does not repeat: %v", err)
	}
	for cut := 0; cut < len(good)-2; cut += 97 {
		if _, err := experiment.ReadResult("torn", []byte(good[:cut])); err == nil {
			t.Errorf("a result torn after %d bytes is let through", cut)
		}
	}
}

// Ways that are one way under two names are equal on every deal, and what only the measure sets apart is played once.
func TestSameWayNeverDiffers(t *testing.T) {
	r := run(t, head+"measure win\nclaim more by 1 %\nway \"a\" flexible\nway \"b\" flexible\n", 1, 320)
	c := r.Findings()[0].Comparisons[0]
	if c.Differ != 0 || c.Difference.Value != 0 || c.Verdict.String() != "not shown" || c.Difference.Low >= 0 || c.Difference.High <= 0 {
		t.Errorf("%+v", c)
	}
	r = run(t, head+"pairing none\nmeasure win\nclaim more by 1 %\nway \"a\" flexible\nway \"b\" flexible\n", 1, 320)
	if c := r.Findings()[0].Comparisons[0]; c.Differ == 0 {
		t.Errorf("without pairing nothing differs: %+v", c)
	}
}

// Ways share their racks and wall, their racks alone, or nothing, as the pairing says.
func TestPairing(t *testing.T) {
	for pairing, differ := range map[string][2]bool{"wall": {false, false}, "deal": {false, true}, "none": {true, true}} {
		for i, measure := range []string{"dealt 123b123c123dNEWS", "points"} {
			r := run(t, head+"pairing "+pairing+"\nmeasure "+measure+"\nclaim more by 1\nway \"a\" nearest\nway \"b\" nearest\n", 1, 64)
			if got := r.Tally.Pairs[0].Differ > 0; got != differ[i] {
				t.Errorf("pairing %s: %s differs: %v", pairing, measure, got)
			}
		}
	}
}

func TestEveryReadyMadeExperimentRuns(t *testing.T) {
	for _, ready := range experiment.ReadyMade() {
		s := read(t, ready.Text)
		if s.Asks == "" || s.Deals < 100_000 {
			t.Errorf("%s: asks %q, %d deals", ready.Name, s.Asks, s.Deals)
		}
		r := run(t, ready.Text, 1, 64)
		if f := r.Findings()[0]; len(f.Comparisons) == 0 || r.Tally.LeftOut == int64(r.Deals) || f.Ways[0].Value.N == 0 {
			t.Errorf("%s: nothing comes of it", ready.Name)
		}
	}
	if _, err := experiment.FindReady("none"); err == nil || !strings.Contains(err.Error(), "keep-flowers") {
		t.Errorf("%v", err)
	}
}

// The deals of a population are as asked for, also those that are found by trying, in every seat.
func TestPopulations(t *testing.T) {
	for _, row := range []struct {
		population, measure string
		low, high           int
	}{
		{"jokers 0", "dealt J", 0, 0},
		{"jokers 2..3", "dealt J", 2, 3},
		{"has FFF 5b", "dealt F", 3, 8},
		{"has FFF 5b", "dealt 5b", 1, 4},
		{"best away 6..7", "away dealt", 6, 7},
		{"pairs 0..1", "dealt pairs", 0, 1},
		{"pairs 4..7 ; jokers 1", "dealt pairs", 4, 7},
		{"multiples 2", "dealt pairs", 2, 6},
		{"nearest Runs ; multiples 1..3", "dealt pairs", 1, 6},
		{"all", "dealt 0", 0, 4},
	} {
		r := run(t, head+"population "+row.population+"\nmeasure "+row.measure+"\nclaim more by 1\nway \"a\" nearest\nway \"b\" flexible\n", 1, 64)
		h := r.Findings()[0].Ways[0].Histogram
		if h.Count() != 64 {
			t.Errorf("%s: %d deals", row.population, h.Count())
		}
		for v, n := range h {
			if n > 0 && (v < row.low || v > row.high) {
				t.Errorf("%s: %d deals with %s %d", row.population, n, row.measure, v)
			}
		}
	}
}

// The nearest hand of every rack of such a population is of the section, counted for itself.
func TestPopulationByTheNearestHand(t *testing.T) {
	r := run(t, head+"population nearest Evens ; multiples 2..4\nmeasure away dealt\nclaim more by 1\nway \"a\" nearest\nway \"b\" flexible\n", 1, 64)
	c := card.Practice()
	index := fit.New(c)
	if _, err := r.Rows(t.Context(), func(row experiment.Row) error {
		rack := tile.MustParse(row.Dealt)
		near := index.Hands(rack)[0]
		if name := c.Sections[near.OnCard().Section]; name != "Evens" || near.Away != row.AwayDealt {
			t.Errorf("deal %d, %s: nearest is a hand of %s, %d away", row.Deal, row.Dealt, name, near.Away)
		}
		if n := len(rack.Multiples()); n < 2 || n > 4 {
			t.Errorf("deal %d, %s: %d multiples", row.Deal, row.Dealt, n)
		}
		return nil
	}, nil); err != nil {
		t.Fatal(err)
	}
}

// A gift brings either way one tile nearer: the racks are equally far away and differ in what is missing.
func TestGifts(t *testing.T) {
	text := head + "claim more by 1\nway \"short\" strong ; fill short\nway \"gap\" strong ; fill gap\nmeasure "
	away := run(t, text+"away", 1, 1280)
	if p := away.Tally.Pairs[0]; p.Less.N < 100 || p.Less.SumSq != 0 {
		// After the gift another hand may be nearest by more, so that a few deals may differ.
		if p.Differ*20 > p.Less.N {
			t.Errorf("away differs on %d of %d deals", p.Differ, p.Less.N)
		}
	}
	if p := away.Tally.Pairs[0]; p.Less.N < 100 || p.Less.N+away.Tally.LeftOut != int64(away.Deals) {
		t.Errorf("%d deals compared, %d left out, of %d", p.Less.N, away.Tally.LeftOut, away.Deals)
	}
	if d := run(t, text+"missing singles", 1, 640).Findings()[0].Comparisons[0].Difference; d.Value > -0.5 {
		t.Errorf("filling a gap leaves %v more missing singles", d.Value)
	}
}

// What counts is independent of how it is asked: a measure split by itself has two groups without overlap, and they make up
// the whole.
func TestSplit(t *testing.T) {
	r := run(t, head+"measure spares best\nsplit clean best\nclaim less by 1\nway \"a\" strong\n", 1, 640)
	in, out := r.Tally.Inside, r.Tally.Outside
	all := r.Tally.Ways[0]
	if in.N+out.N != 640 || in.Sum+out.Sum != all.Value.Sum {
		t.Errorf("%+v and %+v do not make up %+v", in, out, all.Value)
	}
	if want := all.Histogram.AtMost(4); int64(want) != in.N {
		t.Errorf("%d clean, %d with four spares or fewer", in.N, want)
	}
	if c := r.Findings()[0].Comparisons[0]; c.Verdict.String() != "holds" || c.Inside.High > 4 || c.Outside.Low < 4 {
		t.Errorf("%+v", c)
	}
	among := run(t, head+"measure spares best\nsplit clean best\namong dealt J 1..8\nclaim less by 1\nway \"a\" strong\n", 1, 640)
	if a := among.Tally; a.Inside.N+a.Outside.N+a.LeftOut != 640 || a.LeftOut < 64 {
		t.Errorf("%d, %d and %d left out", a.Inside.N, a.Outside.N, a.LeftOut)
	}
}

// The sums of what is passed and won are those of whole games.
func TestMeasuresOfGames(t *testing.T) {
	text := head + "seat S\nmeasure passed %s\nclaim more by 1\nway \"a\" nearest+courtesy=0\nway \"b\" nearest+courtesy=0 ; second-charleston off ; measure came %s\n"
	const every = "123456789b123456789c123456789dNEWSRG0FJ"
	r := run(t, strings.ReplaceAll(text, "%s", every), 1, 64)
	// Six passes of three, and three without the second Charleston; nearest never passes blind.
	if w := r.Tally.Ways; w[0].Value.Sum != 18*64 || w[1].Value.Sum != 9*64 {
		t.Errorf("%+v", w)
	}
	won := run(t, head+"measure win of others\nclaim more by 1 %\nway \"others\" strong\nway \"seat\" strong ; measure win\nway \"right\" strong ; measure win of right\nway \"with\" strong ; measure win with Runs\n", 1, 640)
	w := won.Tally.Ways
	if total := w[0].Value.Sum + w[1].Value.Sum; total > 640 || total < 500 || w[2].Value.Sum >= w[0].Value.Sum {
		t.Errorf("won %d, %d and %d", w[0].Value.Sum, w[1].Value.Sum, w[2].Value.Sum)
	}
	runs := -1
	for i, name := range card.Practice().Sections {
		if name == "Runs" {
			runs = i
		}
	}
	sum := int64(0)
	for _, n := range w[1].WonWith {
		sum += n
	}
	if sum != w[1].Value.Sum || w[3].Value.Sum != w[1].WonWith[runs] {
		t.Errorf("won with %v, %d in all, %d with Runs", w[1].WonWith, w[1].Value.Sum, w[3].Value.Sum)
	}
}
