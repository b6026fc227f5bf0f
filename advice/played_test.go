package advice

import (
	"errors"
	"math/rand/v2"
	"reflect"
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/rules/card"
	"secondpass/rules/house"
)

// aGame is what game g of these tests is.
func aGame(g uint64) sim.Whole {
	rng := rand.New(rand.NewPCG(g, 7))
	return sim.Whole{Quick: sim.Score(rng.IntN(int(sim.Sure) + 1)), Result: sim.Sure * sim.Score(rng.IntN(2)), Points: rng.IntN(400) - 200}
}

// playedCounsel is a counsel with its games on a shelf.
func playedCounsel(t *testing.T, shelf Shelf, seed uint64) *Counsel {
	t.Helper()
	tuning, _ := player.TuningFor(card.Practice())
	c, err := NewCounsel(card.Practice(), house.Usual, tuning, "nearest", seed)
	if err != nil {
		t.Fatal(err)
	}
	c.Games = shelf
	return c
}

// ask asks a moment for games in an order and returns those that had to be played.
func ask(t *testing.T, m *moment, name string, order ...uint64) (played []uint64) {
	t.Helper()
	for _, g := range order {
		one, err := m.game(m.what(name), g, func() (sim.Whole, error) {
			played = append(played, g)
			return aGame(g), nil
		})
		if err != nil || one != aGame(g) {
			t.Errorf("%s: game %d is %v, %v", name, g, one, err)
		}
	}
	return played
}

// A game is played once, in whatever order games are asked for, also by another program; what is valued otherwise, elsewhere, or by
// another seed has games of its own. Games beyond a gap are not kept, and what two programs have kept at once is the more of the two.
func TestGamesArePlayedOnce(t *testing.T) {
	shelf := shelfOf{}
	c := playedCounsel(t, shelf, 1)
	m := c.moment("here", "x")
	other := c.moment("here", "x") // of another program, open at the same time
	for _, step := range []struct {
		m    *moment
		name string
		ask  []uint64
		want []uint64
	}{
		{m, "a", []uint64{2, 0, 1, 4, 2, 4, 0}, []uint64{2, 0, 1, 4}},
		{m, "b", []uint64{0, 1}, []uint64{0, 1}},
		{other, "a", []uint64{1, 0}, []uint64{1, 0}},
		{other, "c", []uint64{0}, []uint64{0}},
	} {
		if got := ask(t, step.m, step.name, step.ask...); !reflect.DeepEqual(got, step.want) {
			t.Errorf("%s: played %v of %v, %v is right", step.name, got, step.ask, step.want)
		}
	}
	if m.most() != 3 {
		t.Errorf("%d games without a gap", m.most())
	}
	m.keep()
	other.keep()
	for _, step := range []struct {
		sort, position string
		seed           uint64
		name           string
		want           []uint64
	}{
		{"here", "x", 1, "a", []uint64{3, 4}},
		{"here", "x", 1, "b", []uint64{2, 3, 4}},
		{"here", "x", 1, "c", []uint64{1, 2, 3, 4}},
		{"here", "y", 1, "a", []uint64{0, 1, 2, 3, 4}},
		{"there", "x", 1, "a", []uint64{0, 1, 2, 3, 4}},
		{"here", "x", 2, "a", []uint64{0, 1, 2, 3, 4}},
	} {
		if got := ask(t, playedCounsel(t, shelf, step.seed).moment(step.sort, step.position), step.name, 0, 1, 2, 3, 4); !reflect.DeepEqual(got, step.want) {
			t.Errorf("%+v: played %v", step, got)
		}
	}
	for key := range shelf {
		shelf[key] = []byte(`{"a":"AAA"}`)
	}
	if got := ask(t, playedCounsel(t, shelf, 1).moment("here", "x"), "a", 0); len(got) != 1 {
		t.Error("damaged games were taken")
	}
	lost := errors.New("lost")
	if _, err := m.game(m.what("d"), 0, func() (sim.Whole, error) { return sim.Whole{}, lost }); err != lost || len(m.what("d").games) > 0 {
		t.Errorf("a game that could not be played: %v", err)
	}
}

// Games are what they were, whatever they brought; bytes that are no games are refused.
func TestPacked(t *testing.T) {
	var games []sim.Whole
	for g := range uint64(500) {
		games = append(games, aGame(g))
	}
	data := packed(games)
	if got, ok := unpacked(data); !ok || !reflect.DeepEqual(got, games) {
		t.Error("games are others now")
	}
	if len(data) > 7*len(games) {
		t.Errorf("%d bytes a game", len(data)/len(games))
	}
	rng := rand.New(rand.NewPCG(1, 2))
	for range 2000 { // nothing panics, and what is taken are games
		torn := append([]byte{}, data[:rng.IntN(40)]...)
		for i := range torn {
			if rng.IntN(8) == 0 {
				torn[i] = byte(rng.IntN(256))
			}
		}
		got, ok := unpacked(torn)
		for _, one := range got {
			if ok && (one.Quick > sim.Sure || one.Result != 0 && one.Result != sim.Sure) {
				t.Fatalf("%v of %v", one, torn)
			}
		}
	}
}
