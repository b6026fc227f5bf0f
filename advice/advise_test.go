package advice

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"secondpass/deal"
	"secondpass/engine/fit"
	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

func counsel(t *testing.T, others string) *Counsel {
	t.Helper()
	return counselOn(t, card.Practice(), others)
}

func southView(step charleston.Step, phase charleston.Phase) charleston.View {
	return charleston.View{Seat: charleston.South, Rules: house.Usual.Passing, Step: step, Phase: phase, Rack: rack("228b 14699c 7d EW F J")}
}

// Every distinct legal decision is judged: none is filtered out before the games.
func TestAdviceConsidersAll(t *testing.T) {
	c := counsel(t, "nearest")
	r := southView(0, 0).Rack
	passes := len(charleston.Parcels(r, 3))
	tests := []struct {
		name  string
		step  charleston.Step
		phase charleston.Phase
		want  int
	}{
		{"a pass", charleston.FirstRight, charleston.Passing, passes},
		{"a pass with blind ones", charleston.LastRight, charleston.Passing, passes + len(charleston.Parcels(r, 2)) + len(charleston.Parcels(r, 1)) + 1},
		{"the vote", charleston.FirstLeft, charleston.Voting, 2},
		{"the number", charleston.Courtesy, charleston.Naming, 4},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			a, err := c.Advise(context.Background(), southView(tt.step, tt.phase), nil, Budget{Games: 200}, nil)
			if err != nil {
				t.Fatal(err)
			}
			if len(a.Candidates) != tt.want {
				t.Errorf("%d candidates, want %d", len(a.Candidates), tt.want)
			}
			seen := map[charleston.Action]bool{}
			for _, o := range a.Candidates {
				if seen[o.Action] || o.Own.Rack()[tile.Joker] > 0 {
					t.Errorf("candidate %v twice, or with a joker", o.Action)
				}
				seen[o.Action] = true
				if o.Chance.Low < 0 || o.Chance.High > 1 || o.Chance.Value < o.Chance.Low || o.Chance.Value > o.Chance.High {
					t.Errorf("chance %+v", o.Chance)
				}
			}
			if a.Top < 1 || a.Games < 200 && tt.want > sim.Finalists || a.Whole == 0 {
				t.Errorf("top %d, %d short games, %d whole ones", a.Top, a.Games, a.Whole)
			}
		})
	}
}

func TestAdviceIsReproducible(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	var first string
	for _, cores := range []int{1, 2} {
		runtime.GOMAXPROCS(cores)
		a, err := counsel(t, "strong").Advise(context.Background(), southView(charleston.SecondAcross, charleston.Passing), nil, Budget{Games: 300}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if text := fmt.Sprintf("%+v", a); first == "" {
			first = text
		} else if text != first {
			t.Error("advice differs between one core and two")
		}
	}
}

// A pass that throws the hand away is shown to be worse, and what the user named is judged to the end.
func TestAdviceOnANamedPass(t *testing.T) {
	c := counsel(t, "strong")
	variant := natural()
	all := variant.Small.Plus(variant.Large).Tiles()
	v := southView(charleston.LastRight, charleston.Passing) // where blind tiles may be passed in place of the hand's
	v.Rack = tile.RackOf(all[:12]...)
	stray := tile.North
	for v.Rack[stray] > 0 {
		stray++
	}
	v.Rack[stray]++
	bad, err := charleston.ParcelOf(all[0], all[1], all[2])
	if err != nil {
		t.Fatal(err)
	}
	named := charleston.Action{Seat: charleston.South, Kind: charleston.Pass, Own: bad}
	a, err := c.Advise(context.Background(), v, []charleston.Action{named}, Budget{Games: 3000}, nil)
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(a.Candidates, func(o Candidate) bool { return o.Action == named })
	o := a.Candidates[i]
	if !o.Named || !o.Final || o.Value.Count() == 0 || o.Behind.Low <= 0 || o.Even {
		t.Errorf("place %d of the first %d: %+v", i, a.Top, o)
	}
	if o.Facts.Broken.Size() == 0 && o.Facts.Lost == 0 {
		t.Errorf("nothing is said to be lost by passing %s of %s", bad, v.Rack)
	}
	named.Own = parcel("N W J")
	if _, err := c.Advise(context.Background(), v, []charleston.Action{named}, Budget{Games: 100}, nil); err == nil || !strings.Contains(err.Error(), "is no legal decision") {
		t.Errorf("a joker named: %v", err)
	}
}

func TestGift(t *testing.T) {
	for text, want := range map[string]Gift{
		"1b 5c 9d": GiftScattered, "N E 5c": GiftScattered, "1b 9b 5c": GiftOneSuit, "1b 3b 9d": GiftNeighbours,
		"1b 1c 9d": GiftLike, "11b 9d": GiftPair, "NN 1b": GiftPair, "1b": GiftNothing, "": GiftNothing,
	} {
		if got := giftOf(parcel(text)); got != want {
			t.Errorf("%q: gift %d, want %d", text, got, want)
		}
	}
}

// telescopes checks that each row of a ledger begins where the one before ended, and that all add up.
func telescopes(t *testing.T, rev *Review) {
	t.Helper()
	value := rev.Start
	for i, w := range rev.Worths() {
		if w.Before != value {
			t.Errorf("decision %d begins with %+v, the row before ended with %+v", i, w.Before, value)
		}
		if off := float64(w.Before.Value.Less(w.Taken.Value) - w.Cost.Value); math.Abs(off) > 1e-9 {
			t.Errorf("decision %d: from %g to %g at a cost of %g", i, w.Before.Value, w.Taken.Value, w.Cost.Value)
		}
		if off := float64(w.After.Value.Less(w.Taken.Value) - w.Swing.Value); math.Abs(off) > 1e-9 {
			t.Errorf("decision %d: from %g to %g by a swing of %g", i, w.Taken.Value, w.After.Value, w.Swing.Value)
		}
		if w.Taken.N == 0 || !w.Cost.Holds(w.Cost.Value) || !w.Swing.Holds(w.Swing.Value) {
			t.Errorf("decision %d: %+v", i, w)
		}
		value = w.After
	}
	if value != rev.End || math.Abs(float64(rev.Balance())) > 1e-9 {
		t.Errorf("the rows end with %+v, the ledger with %+v, off by %g", value, rev.End, rev.Balance())
	}
}

// The rows of a review telescope: each begins where the one before ended, and nothing is left over.
func TestReviewTelescopes(t *testing.T) {
	e := newExercise(t, charleston.East, exercise.MockPasses, 3)
	if _, err := e.WalkAll([][]string{{"Evens"}}); err != nil {
		t.Fatal(err)
	}
	done := 0
	c := counsel(t, "nearest")
	c.Games = shelfOf{}
	rev, err := c.Review(context.Background(), e, e.Routes[0], Budget{Games: 400}, func(n, _ int) { done = n })
	if err != nil {
		t.Fatal(err)
	}
	telescopes(t, rev)
	recalls(t, c, e, rev, 400)
	if done != len(e.Routes[0].Decisions) || len(rev.Entries) != done {
		t.Errorf("%d of %d decisions", len(rev.Entries), done)
	}
	for _, en := range rev.Entries {
		if own := en.Best == en.Decision.Action(e.Seat); own != (en.Cost.Low == en.Cost.High) {
			t.Errorf("%s: best %v, cost %+v", en.Decision.Step, en.Best, en.Cost)
		}
	}
	if _, err := c.Review(context.Background(), e, &exercise.Route{Name: "empty"}, Budget{Games: 10}, nil); err == nil {
		t.Error("a route without decisions was reviewed")
	}
}

// A cost is taken with its sign from the two that were played to the end, whichever has the higher figure, and by the one
// picked before: where what was taken does better on the fresh games, it is below 0.
func TestWeigh(t *testing.T) {
	share := func(won int) sim.Value {
		var v sim.Value
		for g := range 200 {
			w := sim.Whole{}
			if g < won {
				w.Result, w.Quick = sim.Sure, sim.Sure
			}
			v.Add(w)
		}
		return v
	}
	behind := stat.Interval[unit.ChanceDifference]{Value: 0.1, Low: -0.02, High: 0.22, N: 200}
	first, second := Standing{Final: true, Value: share(60)}, Standing{Final: true, Value: share(40), Behind: behind}
	for _, c := range []struct {
		taken, best int
		cost        float64
	}{{1, 0, 0.1}, {0, 1, -0.1}} {
		var w Worth
		if best := w.weigh([]Standing{first, second, {Round: 1}}, func(i int) bool { return i == c.taken }); best != c.best || math.Abs(float64(w.Cost.Value)-c.cost) > 1e-12 || math.Abs(float64(w.Before.Value.Less(w.Taken.Value))-c.cost) > 1e-12 {
			t.Errorf("place %d taken: best %d, %+v", c.taken, best, w)
		}
	}
	var w Worth
	if best := w.weigh([]Standing{first, {Round: 1}}, func(i int) bool { return i == 0 }); best != 0 || w.Cost.Value != 0 || w.Before != w.Taken || w.Before.Value != 0.3 {
		t.Errorf("the best alone: %d, %+v", best, w)
	}
}

// A seat that has all but one tile of a hand of one section does best with that section.
func TestAdviseAims(t *testing.T) {
	c := counsel(t, "nearest")
	v := southView(charleston.LastRight, charleston.Passing)
	hands, err := card.Practice().Find("Evens")
	if err != nil {
		t.Fatal(err)
	}
	variant := card.Practice().VariantsOf(hands[0])[0]
	v.Rack = rack("1c")
	for _, k := range variant.Small.Plus(variant.Large).Tiles()[:12] {
		v.Rack[k]++
	}
	got, err := c.AdviseAims(context.Background(), v, Budget{Games: 3000}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Judged) != 1+len(card.Practice().Sections) {
		t.Errorf("%d plans", len(got.Judged))
	}
	for i, j := range got.Judged[:2] {
		if j.Name != "Evens" && j.Name != "free" {
			t.Errorf("place %d is %s: %+v", i+1, j.Name, j.Chance)
		}
	}
	if last := got.Judged[len(got.Judged)-1]; last.Chance.Value >= got.Judged[0].Chance.Value {
		t.Errorf("the worst plan wins %.2f, the best %.2f", last.Chance.Value, got.Judged[0].Chance.Value)
	}
}

// natural is a variant of the practice card that needs no joker.
func natural() card.Variant {
	all := card.Practice().Variants
	return all[slices.IndexFunc(all, func(v card.Variant) bool { return tile.Usual.Holds(v.Small.Plus(v.Large)) == nil })]
}

// In play: the discard that keeps a hand one tile away beats those that break it, and the state
// that is judged is left as it was.
func TestAdvisePlay(t *testing.T) {
	c := counsel(t, "nearest")
	variant := natural()
	all := variant.Small.Plus(variant.Large).Tiles()
	racks := [charleston.Seats]tile.Rack{}
	racks[charleston.East] = tile.RackOf(all[:13]...)
	left, err := tile.Usual.Less(racks[charleston.East])
	if err != nil {
		t.Fatal(err)
	}
	stray := tile.North
	for racks[charleston.East][stray] > 0 {
		stray++
	}
	racks[charleston.East][stray]++
	left[stray]--
	rest := tile.Rack(left).Tiles()
	rand.New(rand.NewPCG(1, 1)).Shuffle(len(rest), func(i, j int) { rest[i], rest[j] = rest[j], rest[i] })
	for s := charleston.South; s <= charleston.North; s++ {
		racks[s] = tile.RackOf(rest[:13]...)
		rest = rest[13:]
	}
	state, err := c.Game.Start(racks, rest)
	if err != nil {
		t.Fatal(err)
	}
	before := state
	v, err := c.AdvisePlay(context.Background(), &state, charleston.East, Budget{Games: 1500}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if v.Judged[0].Action.Tile != stray || v.Judged[0].Action.Kind != table.Discard {
		t.Errorf("best is %s with %.2f, second %s with %.2f", v.Judged[0].Name, v.Judged[0].Chance.Value, v.Judged[1].Name, v.Judged[1].Chance.Value)
	}
	if state != before {
		t.Error("the state changed")
	}
	if _, err := c.AdvisePlay(context.Background(), &state, charleston.West, Budget{Games: 10}, nil); err == nil {
		t.Error("advice for a seat that has nothing to decide")
	}
}

// A route against itself under another name differs in no game, and one that has not come to the end is
// refused.
func TestOutlooks(t *testing.T) {
	e := newExercise(t, charleston.South, exercise.MockPasses, 11)
	if _, err := e.WalkAll([][]string{{"Runs"}}); err != nil {
		t.Fatal(err)
	}
	a := e.Routes[0]
	b, err := e.Fork("A", len(a.Decisions), "")
	if err != nil {
		t.Fatal(err)
	}
	c := counsel(t, "nearest")
	run, err := c.NewOutlookRun(e, []*exercise.Route{a, b})
	if err != nil {
		t.Fatal(err)
	}
	if err := run.Play(context.Background(), 200, nil); err != nil {
		t.Fatal(err)
	}
	looks, gaps := run.Looks()
	if looks[0].Chance != looks[1].Chance || gaps[0].Chance.Value != 0 || gaps[0].Points.Value != 0 || looks[0].Points.N != 200 {
		t.Errorf("%+v, %+v", looks, gaps)
	}
	if _, err := e.Undo("B"); err != nil {
		t.Fatal(err)
	}
	if _, err := c.NewOutlookRun(e, []*exercise.Route{a, b}); err == nil || !strings.Contains(err.Error(), "route B has not come to the end") {
		t.Error(err)
	}
}

// A run that is stopped and gone on with says the same as one in a piece, and intervals for watching are wider.
func TestOutlooksGoOn(t *testing.T) {
	e := newExercise(t, charleston.South, exercise.MockPasses, 12)
	routes, err := e.WalkAll([][]string{{"Runs"}, {"Evens"}})
	if err != nil {
		t.Fatal(err)
	}
	c := counsel(t, "nearest")
	start := func() *OutlookRun {
		run, err := c.NewOutlookRun(e, routes)
		if err != nil {
			t.Fatal(err)
		}
		return run
	}
	whole, parts := start(), start()
	if err := whole.Play(context.Background(), 300, nil); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	if err := parts.Play(ctx, 300, func(int) { stop() }); err != nil || parts.Played() == 0 || parts.Played() == 300 {
		t.Fatal(parts.Played(), err)
	}
	if err := parts.Play(context.Background(), 300, nil); err != nil {
		t.Fatal(err)
	}
	looks, gaps := whole.Looks()
	again, gapsAgain := parts.Looks()
	if !reflect.DeepEqual(looks, again) || !reflect.DeepEqual(gaps, gapsAgain) {
		t.Errorf("in a piece %+v %+v, in two %+v %+v", looks, gaps, again, gapsAgain)
	}
	watched, watchedGaps := whole.WatchedLooks(1000)
	wider := func(name string, fixed, watched stat.Interval[float64]) {
		if fixed.Value != watched.Value || watched.High-watched.Low <= fixed.High-fixed.Low {
			t.Errorf("%s: fixed %+v, watched %+v", name, fixed, watched)
		}
	}
	wider("chance", looks[0].Chance.Plain(), watched[0].Chance.Plain())
	wider("points", looks[0].Points.Plain(), watched[0].Points.Plain())
	wider("chance gap", gaps[0].Chance.Plain(), watchedGaps[0].Chance.Plain())
	wider("points gap", gaps[0].Points.Plain(), watchedGaps[0].Points.Plain())
}

// The ledger of a route that was played on telescopes too, from the deal to the result.
func TestReviewOfPlayTelescopes(t *testing.T) {
	deal, _, err := deal.Draw(deal.Condition{}, 13, tile.Usual, fit.New(card.Practice()), 8)
	if err != nil {
		t.Fatal(err)
	}
	e, err := exercise.NewTable("Played", card.Practice(), house.Usual, charleston.South, deal, "nearest", 8)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := e.WalkAll([][]string{nil}); err != nil {
		t.Fatal(err)
	}
	c := counsel(t, "nearest")
	c.Games = shelfOf{}
	own := c.ownAhead(e.Seat).Worker()
	for range 4 {
		trail, err := e.Replay(e.Routes[0])
		if err != nil || trail.Game == nil {
			t.Fatal("no game", err)
		}
		if trail.Game.Over() {
			break
		}
		state := trail.Game.State()
		if _, err := e.Act("A", own.DecidePlay(&state, e.Seat)); err != nil {
			t.Fatal(err)
		}
	}
	rev, err := c.Review(context.Background(), e, e.Routes[0], Budget{Games: 200}, nil)
	if err != nil {
		t.Fatal(err)
	}
	telescopes(t, rev)
	recalls(t, c, e, rev, 200)
	if len(rev.Play) == 0 {
		t.Error("no decision of play")
	}
	split := 0
	for _, p := range rev.Play {
		if p.Split {
			split++
			if math.Abs(float64(p.Others.Value+p.Draw.Value-p.Swing.Value)) > 1e-12 || p.Others.Low >= p.Others.High || p.Draw.Low >= p.Draw.High {
				t.Errorf("%s: the others %+v and the tile %+v are not the swing %+v", p.Action, p.Others, p.Draw, p.Swing)
			}
		}
		if p.Action.Seat != e.Seat {
			t.Errorf("%s: %+v", p.Action, p.Worth)
		}
	}
	if split == 0 {
		t.Error("no tile was drawn before a decision")
	}
}

// Only what was played to the end of fresh games has a chance; the others say how far they came. With as many games the value
// of a decision is the same when it is judged by another question of the same seed.
func TestAdviceHasChancesOfWholeGamesOnly(t *testing.T) {
	c, v := counsel(t, "nearest"), southView(charleston.LastRight, charleston.Passing)
	budget := Budget{Games: 1500}
	a, err := c.Advise(context.Background(), v, nil, budget, nil)
	if err != nil {
		t.Fatal(err)
	}
	finals := 0
	for i := range a.Candidates {
		o := &a.Candidates[i]
		if o.Final != (o.Chance.N > 0) || o.Final == (o.Round > 0) || !o.Final && o.Chance.Value != 0 || o.Fell && o.Even || o.Short == 0 {
			t.Errorf("place %d: %+v", i+1, o.Standing)
		}
		if o.Final {
			finals++
			if o.Chance.N != a.Whole {
				t.Errorf("place %d has %d whole games, %d were played", i+1, o.Chance.N, a.Whole)
			}
		}
	}
	if finals != sim.Finalists || a.Top < finals {
		t.Errorf("%d played to the end, %d even", finals, a.Top)
	}
	last := a.Candidates[len(a.Candidates)-1].Action
	again, err := c.Advise(context.Background(), v, []charleston.Action{last}, budget, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i := range a.Candidates[:finals] {
		for j := range again.Candidates {
			if o := &again.Candidates[j]; o.Action == a.Candidates[i].Action && o.Final && o.Value != a.Candidates[i].Value {
				t.Errorf("%s is %+v, and %+v where %s is asked about too", o.Own, a.Candidates[i].Chance, o.Chance, last.Own)
			}
		}
	}
}

// Advice that is cut short in its rounds calls nothing final and nothing the best, and says that it was stopped.
func TestAdviceCutShort(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	looks := 0
	a, err := counsel(t, "nearest").Advise(ctx, southView(charleston.FirstRight, charleston.Passing), nil, Budget{Games: 20_000}, func(Advice) {
		if looks++; looks == 2 {
			cancel()
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	inPlay := 0
	for _, o := range a.Candidates {
		if !o.Fell {
			inPlay++
		}
		if o.Even == o.Fell {
			t.Errorf("%s: even %v, fell out %v", o.Own, o.Even, o.Fell)
		}
	}
	if a.Stopped != Interrupted || a.Top != inPlay || a.Top < 2 || a.Candidates[0].Final {
		t.Errorf("stopped %q, %d even of %d in play, the first final: %v", a.Stopped, a.Top, inPlay, a.Candidates[0].Final)
	}
}
