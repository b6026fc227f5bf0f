package sim

import (
	"context"
	"flag"
	"fmt"
	"math"
	"runtime"
	"sync/atomic"
	"testing"

	"secondpass/engine/unit"
)

// lottery is a race between candidates whose chances to score are known: candidate c wins a game when
// its own luck, mixed with the luck of the game that all share, is below its chance.
func lottery(chances []float64, games int, seed uint64) Race {
	play := func(seed uint64) func(int, uint64) (Score, error) {
		return func(c int, g uint64) (Score, error) {
			shared := Stream(seed, g, "shared").Float64()
			own := Stream(seed, g, fmt.Sprint("own", c)).Float64()
			if 0.7*shared+0.3*own < chances[c] {
				return Sure, nil
			}
			return 0, nil
		}
	}
	return Race{Candidates: len(chances), Games: games / 2, Each: games / 8,
		Worker: func() func(int, uint64) (Score, error) { return play(seed) },
		Final: func() func(int, uint64) (Whole, error) {
			fresh := play(seed + 1<<40)
			return func(c int, g uint64) (Whole, error) {
				s, err := fresh(c, g)
				return Whole{Quick: s, Result: s, Points: c}, err
			}
		}}
}

// spread is so many chances, the best in the middle of the list.
func spread(n int) []float64 {
	chances := make([]float64, n)
	for i := range chances {
		chances[i] = 0.30 + 0.10*float64((i*7)%n)/float64(n)
	}
	chances[n/2] = 0.45
	return chances
}

func TestRaceFindsTheBest(t *testing.T) {
	found := 0
	for seed := range uint64(20) {
		s, err := lottery(spread(64), 20_000, seed).Run(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		if s.Order[0] == 32 {
			found++
		}
	}
	if found < 15 { // by luck alone it would be found once in 64 races
		t.Errorf("the best was found in %d of 20 races", found)
	}
}

// The result does not depend on the number of cores.
func TestRaceIsReproducible(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	var first string
	for _, cores := range []int{1, 2, 5} {
		runtime.GOMAXPROCS(cores)
		s, err := lottery(spread(30), 3000, 1).Run(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		if text := fmt.Sprintf("%+v", s); first == "" {
			first = text
		} else if text != first {
			t.Errorf("on %d cores\n%s\non one\n%s", cores, text, first)
		}
	}
}

// What the user named is played to the end, whatever becomes of it; and a candidate that is much worse is
// shown to be.
func TestRaceKeepsTheNamed(t *testing.T) {
	r := lottery(append(spread(40), 0.01), 20_000, 2)
	r.Keep = []int{40}
	s, err := r.Run(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if !s.Final[40] || s.Behind[40].N == 0 || !s.Apart(40) {
		t.Errorf("final %v, %d fresh games, apart %v", s.Final[40], s.Behind[40].N, s.Apart(40))
	}
	finals := 0
	for c, f := range s.Final {
		if f {
			finals++
		}
		if f == (s.Reached[c] > 0) || s.Fell[c] && s.Reached[c] == 0 {
			t.Errorf("candidate %d: final %v, reached %d, fell %v", c, f, s.Reached[c], s.Fell[c])
		}
	}
	if finals != Finalists+1 {
		t.Errorf("%d finalists", finals)
	}
}

var equalSets = flag.Int("sets", 100, "sets of equal candidates of each size")

// Among candidates with the same chance, two, four or as many as there are passes, in at most one set of twenty is any ever
// called apart from the best, though that is looked at after every round and eight times while the last games are played.
func TestRaceCallsNoEqualsApart(t *testing.T) {
	for _, of := range []struct{ candidates, games int }{{2, 2400}, {4, 4800}, {364, 32_000}} {
		sets, apart := *equalSets, 0
		for seed := range uint64(sets) {
			chances := make([]float64, of.candidates)
			for i := range chances {
				chances[i] = 0.25
			}
			r := lottery(chances, of.games, 100+seed)
			called := func(s *Standings) bool {
				for c := range chances {
					if !s.Even(c) {
						return true
					}
				}
				return false
			}
			ever := false
			r.Watch = func(s Standings) { ever = ever || called(&s) }
			s, err := r.Run(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			if ever || called(&s) {
				apart++
			}
		}
		t.Logf("%d equal candidates: one is called apart in %d of %d sets", of.candidates, apart, sets)
		// 5 % and two standard errors
		if float64(apart) > 0.05*float64(sets)+2*math.Sqrt(0.05*0.95*float64(sets)) {
			t.Errorf("%d equal candidates: one is called apart in %d of %d sets", of.candidates, apart, sets)
		}
	}
}

// However many are as good as the best, all of them are even: ten of forty, of which only four can play to the end. Those that
// are much worse are shown to be, in the rounds.
func TestRaceHasAllEquals(t *testing.T) {
	chances := make([]float64, 40)
	for i := range chances {
		chances[i] = 0.05
		if i%4 == 1 {
			chances[i] = 0.6
		}
	}
	s, err := lottery(chances, 40_000, 5).Run(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	finals := 0
	for c := range chances {
		if want := c%4 == 1; s.Even(c) != want || s.Fell[c] == want {
			t.Errorf("candidate %d with %g: even %v, fell %v", c, chances[c], s.Even(c), s.Fell[c])
		}
		if s.Final[c] {
			finals++
		} else if s.Chances[c].N != 0 {
			t.Errorf("candidate %d has no fresh games and a chance: %+v", c, s.Chances[c])
		}
	}
	if finals != Finalists {
		t.Errorf("%d finalists", finals)
	}
	// Those in play, then those that rest, then those that fell out: each by the round reached.
	for place := range s.Order[1:] {
		a, b := s.Order[place], s.Order[place+1]
		if s.Fell[a] && !s.Fell[b] || s.Fell[a] == s.Fell[b] && later(s.Reached[a]) < later(s.Reached[b]) {
			t.Errorf("place %d reached round %d (fell %v), the next %d (%v)", place+1, s.Reached[a], s.Fell[a], s.Reached[b], s.Fell[b])
		}
	}
}

// The fresh games are numbered from 0 and give the figures: those of a value, which is the same whoever else is compared.
func TestRaceFreshGames(t *testing.T) {
	chances := []float64{0.5, 0.5, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2}
	r := lottery(chances, 2400, 6)
	s, err := r.Run(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	best := s.Order[0]
	var alone Value
	for g := range uint64(s.Fresh) {
		w, _ := r.Final()(best, g)
		alone.Add(w)
	}
	if s.Values[best] != alone || s.Chances[best] != alone.Watched(r.Each) || alone.Net().Value != unit.NetPoints(best) {
		t.Errorf("in the race %+v, alone %+v", s.Values[best], alone)
	}
}

// A score that may be off by a margin lets nobody fall out that is not shown to be worse by more.
func TestRaceMargin(t *testing.T) {
	chances := []float64{0.5, 0.5, 0.5, 0.5, 0.5, 0.4, 0.4, 0.4, 0.4, 0.4, 0.1}
	for _, margin := range []unit.Chance{0, 0.2} {
		r := lottery(chances, 30_000, 6)
		r.Margin = margin
		s, err := r.Run(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		for c, chance := range chances {
			if want := chance < 0.2 || chance < 0.45 && margin == 0; !s.Final[c] && s.Fell[c] != want {
				t.Errorf("margin %g: candidate %d with %g fell out: %v", margin, c, chance, s.Fell[c])
			}
		}
	}
}

// A prior decides where games are few, and is forgotten where they are many.
func TestRacePrior(t *testing.T) {
	chances := make([]float64, 40)
	prior := make([]float64, 40)
	for i := range chances {
		chances[i], prior[i] = 0.3, 0.5
	}
	prior[7] = 1
	r := lottery(chances, 200, 3)
	r.Prior = prior
	s, err := r.Run(context.Background())
	if err != nil || !s.Final[7] {
		t.Errorf("the favourite of the prior fell out: %v", err)
	}
	chances[9], prior[9] = 0.8, 0.4
	r = lottery(chances, 20_000, 3)
	r.Prior = prior
	if s, err = r.Run(context.Background()); err != nil || s.Order[0] != 9 {
		t.Errorf("the best candidate is %d, %v", s.Order[0], err)
	}
}

func TestRaceStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	r := lottery(spread(64), 1_000_000, 1)
	looks := 0
	r.Watch = func(Standings) {
		if looks++; looks == 2 {
			cancel()
		}
	}
	s, err := r.Run(ctx)
	if err != nil || len(s.Order) != 64 || s.Played == 0 || s.Played >= 1_000_000 || s.End != Cut {
		t.Errorf("%d games played, %d candidates, %v", s.Played, len(s.Order), err)
	}
	for c, final := range s.Final {
		if final {
			t.Errorf("candidate %d is final in a race that was cut in its rounds", c)
		}
	}
}

// However many candidates are named, all of them are compared with the best; and the race says why it ended.
func TestRaceWithManyNamed(t *testing.T) {
	chances := make([]float64, 12)
	for i := range chances {
		chances[i] = 0.1
	}
	chances[3] = 0.9
	r := lottery(chances, 24_000, 1)
	for c := range chances {
		r.Keep = append(r.Keep, c)
	}
	s, err := r.Run(context.Background())
	if err != nil || s.Order[0] != 3 || s.End != Settled {
		t.Fatalf("best %d, end %d, %v", s.Order[0], s.End, err)
	}
	for _, c := range s.Order[1:] {
		if !s.Apart(c) {
			t.Errorf("candidate %d is not apart: %+v", c, s.Behind[c])
		}
	}
	if s, err = lottery([]float64{0.3, 0.3}, 600, 1).Run(context.Background()); err != nil || s.End != PlayedOut {
		t.Errorf("end %d, %v", s.End, err)
	}
}

// A race that is stopped stops at once, and the stop alone makes nobody a winner and lets nobody fall out.
func TestStoppedRaceHasNoWinner(t *testing.T) {
	for _, stopAt := range []int64{30, 600} { // in the first round, and in a later one
		ctx, stop := context.WithCancel(context.Background())
		r := lottery(spread(64), 4000, 4)
		play, played := r.Worker(), atomic.Int64{}
		r.Worker = func() func(int, uint64) (Score, error) {
			return func(c int, g uint64) (Score, error) {
				if played.Add(1) == stopAt {
					stop()
				}
				return play(c, g)
			}
		}
		s, err := r.Run(ctx)
		if err != nil || s.End != Cut {
			t.Fatalf("ended with %v, %v", s.End, err)
		}
		if extra := played.Load() - stopAt; extra > int64(runtime.GOMAXPROCS(0)) {
			t.Errorf("%d games were begun after the stop", extra)
		}
		rest := 0
		for c := range r.Candidates {
			if s.Reached[c] > 0 {
				rest++
			}
			if s.Even(c) == s.Fell[c] {
				t.Errorf("stopped at game %d: candidate %d fell %v, even %v", stopAt, c, s.Fell[c], s.Even(c))
			}
		}
		if want := map[int64]int{30: 0, 600: 32}[stopAt]; rest != want {
			t.Errorf("stopped at game %d: %d rest or fell out, %d is right", stopAt, rest, want)
		}
	}
}
