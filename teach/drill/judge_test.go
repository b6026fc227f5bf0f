package drill

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"secondpass/advice"
	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// made makes a tally of games with scores drawn around means, for choices that meet the same luck.
func made(games int, spread float64, means ...float64) *tally {
	t := newTally(len(means))
	rng := rand.New(rand.NewPCG(1, 2))
	err := t.play(context.Background(), func(i int, _ uint64) (sim.Score, error) {
		return sim.Score(float64(sim.Sure) * (means[i] + spread*rng.NormFloat64())), nil
	}, games)
	if err != nil {
		panic(err)
	}
	return t
}

func TestAnswersFollowTheMargin(t *testing.T) {
	tally := made(4000, 0.05, 0.30, 0.299, 0.25, 0.10)
	k := Key{Answers: tally.answers()}
	if got := k.Right(); !reflect.DeepEqual(got, []int{0, 1}) && !reflect.DeepEqual(got, []int{1, 0}) {
		t.Errorf("right %v", got)
	}
	if tally.clearness(4096) != clear || k.Check() != nil {
		t.Error("a clear key is not called so", k.Check())
	}
	if e := k.Edge(); math.Abs(float64(e.Value-0.05)) > 0.005 || e.Low > 0.05 || e.High < 0.05 {
		t.Errorf("edge %+v, 5 points were made", e)
	}
}

func TestUnclearAndHopeless(t *testing.T) {
	// 1.5 points behind with a standard error of about half a point: neither 3 errors above the margin nor below.
	if got := made(512, 0.08, 0.30, 0.285).clearness(1 << 20); got != unclear {
		t.Errorf("got %d, wanted unclear", got)
	}
	if got := made(512, 0.08, 0.30, 0.29).clearness(1024); got == clear {
		t.Error("on the margin itself and called clear")
	}
	if got := made(4096, 0.4, 0.30, 0.289).clearness(4096); got != hopeless {
		t.Errorf("got %d, wanted hopeless", got)
	}
}

func TestWhatTeachesNothing(t *testing.T) {
	for name, means := range map[string][]float64{
		"all right":  {0.3, 0.3},
		"four right": {0.3, 0.3, 0.3, 0.3, 0.1},
	} {
		k := Key{Answers: made(4000, 0.02, means...).answers()}
		if k.Check() == nil {
			t.Error(name)
		}
	}
}

func TestNothingVaried(t *testing.T) {
	tally := made(300, 0, 0.5, 0.5)
	for _, a := range tally.answers() {
		if !a.Right || !a.Cost.Bounded() || !a.Chance.Bounded() {
			t.Errorf("%+v", a)
		}
	}
}

// voteView is a decision with two answers, from a deal.
func voteView(t testing.TB, m *Maker, seed uint64) charleston.View {
	t.Helper()
	set := m.counsel.Game.Set()
	racks, _ := table.Deal(set, sim.Stream(seed, 0, "deal"))
	s, err := charleston.Start(racks, house.Usual.Passing, set)
	if err != nil {
		t.Fatal(err)
	}
	lots := sim.Stream(seed, 0, "lots")
	for s.Phase() != charleston.Voting {
		for seat := range charleston.Seat(charleston.Seats) {
			v := s.View(seat)
			if err := s.Apply(sim.Decide(m.counsel.Own.New(), &v), lots); err != nil {
				t.Fatal(err)
			}
		}
	}
	return s.View(charleston.South)
}

// The difference between stopping and going on by a key agrees with that of advice, which is played by other code and
// by other games.
func TestKeyAgreesWithAdvice(t *testing.T) {
	m := maker(t)
	v := voteView(t, m, 4)
	b, err := m.bench()
	if err != nil {
		t.Fatal(err)
	}
	d := b.votes(&v).Drill
	k, err := b.fixedKey(context.Background(), d, 9, 1000)
	if err != nil {
		t.Fatal(err)
	}
	a, err := m.counsel.Advise(context.Background(), v, nil, advice.Budget{Games: 2000}, nil)
	if err != nil {
		t.Fatal(err)
	}
	stop := 0
	if a.Candidates[0].Stop {
		stop = 1
	}
	if k.Best() != stop && a.Top == 1 {
		t.Errorf("the key has %s for best, advice %v", d.Choices[k.Best()], a.Candidates[0].Action)
	}
	key, advice := k.Answers[1-k.Best()].Cost.Plain(), a.Candidates[1].Behind.Plain()
	if gap, half := math.Abs(key.Value-advice.Value), math.Hypot(key.High-key.Low, advice.High-advice.Low)/2; gap > half {
		t.Errorf("key %+v, advice %+v", key, advice)
	}
	for i := range a.Candidates {
		o := &a.Candidates[i]
		at := slices.IndexFunc(d.Choices, func(c Choice) bool { return c.Action == o.Action })
		if key := k.Answers[at].Chance; key.Low > o.Chance.High || key.High < o.Chance.Low || k.Whole != levelGames {
			t.Errorf("%s: chance by the key of %d whole games %+v, by advice %+v", d.Choices[at], k.Whole, key, o.Chance)
		}
	}
}

// The same drills whatever the number of cores; and what was found goes out to a file and comes back the same.
func TestSameOnAnyCoresAndThroughAFile(t *testing.T) {
	s := Search{Seed: 12, Each: 2, Total: 2, Deals: 4, Filter: Filter{Kinds: []Kind{Stopping, Courtesy}}}
	many := find(t, s)
	before := runtime.GOMAXPROCS(1)
	one := find(t, s)
	runtime.GOMAXPROCS(before)
	if len(many) == 0 {
		t.Fatal("nothing found")
	}
	a, _ := json.Marshal(many)
	if b, _ := json.Marshal(one); !bytes.Equal(a, b) {
		t.Errorf("on many cores\n%s\non one\n%s", a, b)
	}
	c := maker(t).counsel.Game.Card()
	var file bytes.Buffer
	if err := Write(&file, c, many); err != nil {
		t.Fatal(err)
	}
	_, back, err := ReadFile(bytes.NewReader(file.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	if b, _ := json.Marshal(back); !bytes.Equal(a, b) {
		t.Errorf("read back\n%s\nwritten\n%s", b, a)
	}
	wrong := *many[0]
	wrong.Key.Answers = make([]Answer, len(wrong.Choices))
	unkeyed := bytes.Buffer{}
	if err := Write(&unkeyed, c, []*Drill{&wrong}); err != nil {
		t.Fatal(err)
	}
	if _, _, err := ReadFile(&unkeyed); err == nil || !strings.Contains(err.Error(), "drill 1: its key calls no answer right") {
		t.Errorf("a key without a right answer: %v", err)
	}
	spoilt := strings.Replace(file.String(), `"phase": "vote"`, `"phase": "offer"`, 1)
	if _, _, err := ReadFile(strings.NewReader(strings.Replace(spoilt, many[0].Position.View.Rack.String(), "1111b", 1))); err == nil {
		t.Error("a spoilt file was read")
	}
}

func TestFilesThatAreRefused(t *testing.T) {
	for text, want := range map[string]string{
		`{`:                              "no drill file",
		`{"format":"x"}`:                 "format",
		`{"format":"secondpass drills"}`: "version",
		`{"extra":1}`:                    "unknown field",
		`{"format":"secondpass drills","version":1,"card":{"name":"A","text":"nonsense","flowers":8,"jokers":8}}`: "card",
		`{"format":"secondpass drills","version":1,"card":{"flowers":99}}`:                                        "flowers",
	} {
		if _, _, err := ReadFile(strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", text, err)
		}
	}
}

func TestChoicesAreReadBack(t *testing.T) {
	for ask, texts := range map[Ask][]string{
		AskPass:    {"1b 8c 9d", "11b F"},
		AskBlind:   {"17c + 1 blind", "N + 2 blind", "3 blind", "123b"},
		AskStop:    {"stop", "go on"},
		AskOffer:   {"offer 0", "offer 3"},
		AskSection: {"section Runs and more"},
		AskClaim:   {"S claims 4c: 444c J", "S declines"},
	} {
		for _, text := range texts {
			c, err := ParseChoice(ask, charleston.South, text)
			if err != nil || c.String() != text {
				t.Errorf("%s: %q became %q, %v", ask, text, c, err)
			}
		}
	}
	for ask, texts := range map[Ask][]string{
		AskPass: {"", "12b", "1234b", "1b + 1 blind", "4 blind", "+ 3 blind", "x"}, AskStop: {"", "yes"}, AskOffer: {"offer 4", "offer", "3"},
		AskSection: {"section ", "Runs"}, AskClaim: {"", "N declines", "S dances"},
	} {
		for _, text := range texts {
			if c, err := ParseChoice(ask, charleston.South, text); err == nil {
				t.Errorf("%s: %q was read as %q", ask, text, c)
			}
		}
	}
}

// Nobody's drills are all of one side: of a kind with two sides, neither gets more than two thirds.
func TestNoSideFillsAKind(t *testing.T) {
	q := newQuota([]Kind{Stopping}, 6, 100)
	taken := 0
	for q.take(side{Stopping, false}) {
		taken++
	}
	if taken != 4 || q.full() || !q.take(side{Stopping, true}) || !q.take(side{Stopping, true}) || q.take(side{Stopping, true}) || !q.full() {
		t.Errorf("%d of one side; %+v", taken, q)
	}
}

// A position in play comes back from its text with the same view, under the same card.
func TestPlayPositionIsReadBack(t *testing.T) {
	m := maker(t)
	game := m.counsel.Game
	racks, wall := table.Deal(game.Set(), sim.Stream(3, 0, "deal"))
	rec := table.Record{Game: game, Racks: racks, Wall: wall}
	state, err := game.Start(racks, wall)
	if err != nil {
		t.Fatal(err)
	}
	own := m.counsel.Own.New()
	a := own.Turn(state.View(charleston.East))
	if a.Kind != table.Discard {
		t.Fatalf("East %s", a)
	}
	if err := state.Apply(a); err != nil {
		t.Fatal(err)
	}
	rec.Actions = append(rec.Actions, a)
	text, err := rec.Text()
	if err != nil {
		t.Fatal(err)
	}
	p := Position{Seat: charleston.South, Record: text}
	data, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	var back Position
	if err := json.Unmarshal(data, &back); err != nil {
		t.Fatal(err)
	}
	got, err := back.Table(game)
	if err != nil {
		t.Fatal(err)
	}
	if got != state {
		t.Errorf("the state came back as another one:\n%s", data)
	}
	if rack, err := back.Rack(game.Card()); err != nil || rack != state.Rack(charleston.South) {
		t.Error(rack, err)
	}
}

// The rack before the last pass is what is left without what came and with what was given.
func TestRackBefore(t *testing.T) {
	v := charleston.View{Step: charleston.FirstAcross, Rack: tile.MustParse("123b 456c 789d NEWS")}
	gave, _ := exercise.ParseParcel("1c 1c 1c", tile.Usual)
	came, _ := exercise.ParseParcel("NEW", tile.Usual)
	v.Gave[charleston.FirstRight], v.Came[charleston.FirstRight] = gave, came
	if before, ok := rackBefore(&v); !ok || before != tile.MustParse("123b 111456c 789d S") {
		t.Error(before, ok)
	}
	if _, ok := rackBefore(&charleston.View{Step: charleston.FirstRight}); ok {
		t.Error("something was before the first pass")
	}
}

// Judged for its own card again, a drill's position gives a drill of the same kind with the same right answers; for a
// card of two hands, what still teaches is keyed for that card.
func TestRenew(t *testing.T) {
	drills := find(t, Search{Seed: 12, Each: 1, Total: 2, Deals: 4, Filter: Filter{Kinds: []Kind{Stopping, Courtesy}}})
	m := maker(t)
	n, err := m.Renew(context.Background(), drills, 31, func(r Renewed) error {
		if r.New == nil || r.New.Kind != r.Old.Kind || !r.New.Key.Same(&r.Old.Key) || r.New.Key.Seed != 31 {
			t.Errorf("%+v became %+v", r.Old, r.New)
		}
		return nil
	})
	if err != nil || n != len(drills) || n == 0 {
		t.Fatal(n, err)
	}
	text := "card Two\nseason 2030\nsection Evens\n25 exposed FFF 22x 444y 66z 8888x\nsection Runs\n25 exposed 1111x 22x 333y 44y 555z ; slide\n"
	c, _, err := card.Read("two", []byte(text), tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	tuning, _ := player.TuningFor(c)
	counsel, err := advice.NewCounsel(c, house.Usual, tuning, "strong", 1)
	if err != nil {
		t.Fatal(err)
	}
	other, err := NewMaker(counsel, "strong")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := other.Renew(context.Background(), drills, 31, func(r Renewed) error {
		if r.New != nil && (!r.New.Key.ForCard(other.Fingerprint()) || r.New.Check(counsel.Game) != nil) {
			t.Errorf("keyed for another card: %+v", r.New)
		}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
}

// A stopped search keeps what it found and says where to go on; both parts together are the whole.
func TestStoppedSearchGoesOn(t *testing.T) {
	s := Search{Maker: maker(t), Seed: 12, Each: 9, Total: 2, Deals: 4, Filter: Filter{Kinds: []Kind{Stopping, Courtesy}}}
	var whole, parts []*Drill
	found, err := s.Run(context.Background(), 0, nil)
	if err != nil {
		t.Fatal(err)
	}
	whole = found.Drills
	found, err = s.Run(context.Background(), 0, func(*Found) bool { return true }) // after the first deal
	if err != nil || found.Next != 1 {
		t.Fatal(found, err)
	}
	parts = found.Drills
	if s.Total -= len(parts); s.Total > 0 {
		if found, err = s.Run(context.Background(), found.Next, nil); err != nil {
			t.Fatal(err)
		}
		parts = append(parts, found.Drills...)
	}
	a, _ := json.Marshal(whole)
	if b, _ := json.Marshal(parts); !bytes.Equal(a, b) || len(whole) == 0 {
		t.Errorf("in one go\n%s\nin two\n%s", a, b)
	}
}
