package sim

import (
	"context"
	"encoding/json"
	"math"
	"reflect"
	"slices"
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// believed is beliefs without a tilt from a few games of four strong players with the practice card, and the means to play on.
func believed(t *testing.T, games int) (*Lookahead, *Ahead) {
	t.Helper()
	c := card.Practice()
	tuning, _ := player.TuningFor(c)
	kit := prepared.Of(c).Cast(tuning).Kit()
	l := &Lookahead{Game: table.NewGame(c, house.Usual), Judge: kit}
	for seat := range l.Players {
		l.Players[seat] = func() player.Player { return kit.New() }
	}
	var err error
	if l.Beliefs, err = straight(context.Background(), l.Game, kit, nil, 1, games); err != nil {
		t.Fatal(err)
	}
	return l, l.Worker()
}

// midway is game n at a wall, or over.
func (a *Ahead) midway(t *testing.T, n uint64, wall int) table.State {
	t.Helper()
	s, err := a.upTo(7, n, func(s *table.State) bool { return s.View(s.Turn()).WallLeft() <= wall })
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// What a seat sees is the same after a layout, known tiles lie where they are known to lie, and the layout depends on the
// source of randomness alone.
func TestLayKeepsWhatIsKnown(t *testing.T) {
	l, a := believed(t, 200)
	laid := 0
	for n := range uint64(40) {
		state := a.midway(t, n, int(99-2*n))
		if state.Phase() == table.Over {
			continue
		}
		laid++
		seat := charleston.Seat(n % charleston.Seats)
		var known [charleston.Seats]tile.Rack
		next := (seat + 1) % charleston.Seats
		if held := state.View(next).Rack(); held.Size() > 0 {
			known[next] = tile.RackOf(held.Tiles()[0])
		}
		one, two := state, state
		for _, s := range []*table.State{&one, &two} {
			if err := l.Beliefs.Lay(s, seat, &known, a.judge, Stream(3, n, "unseen")); err != nil {
				t.Fatalf("game %d: %v", n, err)
			}
		}
		if one != two {
			t.Fatalf("game %d: the same numbers gave two layouts", n)
		}
		before, after := state.View(seat), one.View(seat)
		if before.Rack() != after.Rack() || before.Unseen() != after.Unseen() || before.WallLeft() != after.WallLeft() || !slices.Equal(before.Legal(), after.Legal()) {
			t.Fatalf("game %d: the seat sees something else after the layout", n)
		}
		for k, want := range known[next] {
			if got := one.View(next).Rack()[k]; got < want {
				t.Fatalf("game %d: %d of %v are known to lie with %s, %d do", n, want, tile.Kind(k), next.Name(), got)
			}
		}
		one.View(seat) // Redeal has checked that the tiles are the same in all
	}
	if laid < 20 {
		t.Fatalf("only %d games went on long enough", laid)
	}
}

// Racks that are laid out are worth about what the true ones are worth, which uniform ones are not by far: their
// logarithms are 3 and more lower.
func TestLaidRacksAreWorthTheTrueOnes(t *testing.T) {
	l, a := believed(t, 400)
	var truly, grown, plain float64
	jokers := [2]int{}
	seats := 0
	weigh := func(s *table.State, v table.View, seat charleston.Seat) float64 {
		rack, unseen := s.View(seat).Rack(), s.View(seat).Unseen()
		scales := a.judge.Scales(v, seat)
		return math.Log(scales.Weigh(&rack, &unseen))
	}
	for n := range uint64(160) {
		state := a.midway(t, 1000+n, 70)
		if state.Phase() == table.Over {
			continue
		}
		seat := state.Turn()
		uniformly, believing := state, state
		if err := Refill(&uniformly, seat, Stream(3, n, "unseen")); err != nil {
			t.Fatal(err)
		}
		if err := l.Beliefs.Lay(&believing, seat, &[charleston.Seats]tile.Rack{}, a.judge, Stream(3, n, "unseen")); err != nil {
			t.Fatal(err)
		}
		v := state.View(seat)
		for other := range charleston.Seat(charleston.Seats) {
			if other == seat || v.Dead(other) {
				continue
			}
			seats++
			truly += weigh(&state, v, other)
			grown += weigh(&believing, v, other)
			plain += weigh(&uniformly, v, other)
			jokers[0] += int(state.View(other).Rack()[tile.Joker])
			jokers[1] += int(believing.View(other).Rack()[tile.Joker])
		}
	}
	n := float64(seats)
	t.Logf("%d racks at a wall of 70: log worth true %.2f, laid out by beliefs %.2f, uniformly %.2f; jokers true %d, laid out %d", seats, truly/n, grown/n, plain/n, jokers[0], jokers[1])
	if math.Abs(grown-truly)/n > 0.6 {
		t.Errorf("racks laid out are worth %.2f in logarithm, true ones %.2f", grown/n, truly/n)
	}
	if (truly-plain)/n < 2 {
		t.Errorf("uniform racks are worth %.2f, true ones %.2f: the test would not tell", plain/n, truly/n)
	}
	if ratio := float64(jokers[1]) / float64(jokers[0]); ratio < 0.75 || ratio > 1.33 {
		t.Errorf("%d jokers laid out, %d in truth", jokers[1], jokers[0])
	}
}

// As many racks wait for their last tile as do in games: racks that seek a worth alone come to it by waiting nearly twice as often.
func TestLaidRacksWaitAsOften(t *testing.T) {
	l, a := believed(t, 400)
	waits := func(s *table.State, v table.View, seat charleston.Seat) int {
		rack := s.View(seat).Rack()
		scales := a.judge.Scales(v, seat)
		return boolInt(scales.Completes(&rack, anyTile))
	}
	racks, truly, laid := 0, 0, 0
	for n := range uint64(400) {
		state := a.midway(t, 2000+n, 60)
		if state.Phase() == table.Over {
			continue
		}
		seat := state.Turn()
		believing := state
		if err := l.Beliefs.Lay(&believing, seat, &[charleston.Seats]tile.Rack{}, a.judge, Stream(3, n, "unseen")); err != nil {
			t.Fatal(err)
		}
		v := state.View(seat)
		for other := range charleston.Seat(charleston.Seats) {
			if _, open := v.Open(other); other == seat || open == 0 || v.Dead(other) {
				continue
			}
			racks++
			truly += waits(&state, v, other)
			laid += waits(&believing, v, other)
		}
	}
	t.Logf("of %d racks with groups open at a wall of 60, %d wait, laid out %d", racks, truly, laid)
	if truly < 30 || float64(laid) > 1.35*float64(truly) || float64(laid) < 0.7*float64(truly) {
		t.Errorf("of %d racks with groups open %d wait, laid out %d", racks, truly, laid)
	}
}

// The same games make the same beliefs, whatever the shards, and kept ones are the same too.
func TestBeliefsAreTheSameAgain(t *testing.T) {
	one, _ := believed(t, 100)
	two, _ := believed(t, 100)
	for _, l := range []*Lookahead{one, two} {
		if err := l.Beliefs.setTilt(context.Background(), l.Game, l.Judge, nil, 1, 8); err != nil {
			t.Fatal(err)
		}
	}
	kept, err := json.Marshal(one.Beliefs)
	if err != nil {
		t.Fatal(err)
	}
	var back Beliefs
	if err := json.Unmarshal(kept, &back); err != nil {
		t.Fatal(err)
	}
	for name, other := range map[string]*Beliefs{"again": two.Beliefs, "kept": &back} {
		if !reflect.DeepEqual(one.Beliefs, other) {
			t.Errorf("%s: they differ", name)
		}
	}
	t.Logf("%d bytes", len(kept))
	for _, broken := range []string{`[]`, `{"cells":[[{"worths":[[2,1]]}]]}`, `7`} {
		if err := json.Unmarshal([]byte(broken), &back); err == nil {
			t.Errorf("%s is read as beliefs", broken)
		}
	}
}
