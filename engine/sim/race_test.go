package sim

import (
	"context"
	"fmt"
	"runtime"
	"sync/atomic"
	"testing"
)

// lottery is a race between candidates whose chances to score are known: candidate c wins a game when
// its own luck, mixed with the luck of the game that all share, is below its chance.
func lottery(chances []float64, games int, seed uint64) Race {
	return Race{Candidates: len(chances), Games: games, Worker: func() func(int, uint64) (Score, error) {
		return func(c int, g uint64) (Score, error) {
			shared := Stream(seed, g, "shared").Float64()
			own := Stream(seed, g, fmt.Sprint("own", c)).Float64()
			if 0.7*shared+0.3*own < chances[c] {
				return Sure, nil
			}
			return 0, nil
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
	for _, f := range s.Final {
		if f {
			finals++
		}
	}
	if finals != Finalists+1 {
		t.Errorf("%d finalists", finals)
	}
}

// Between candidates with the same chance a difference is shown in at most one race of twenty, though the
// race looks eight times.
func TestRaceShowsNoFalseDifference(t *testing.T) {
	const races = 300
	shown := 0
	for seed := range uint64(races) {
		s, err := lottery([]float64{0.3, 0.3}, 2400, seed+100).Run(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		if s.Apart(s.Order[1]) {
			shown++
		}
	}
	if shown > races/20+9 { // 5 % and two standard errors
		t.Errorf("a difference shown in %d of %d races", shown, races)
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

// A race that is stopped stops at once, and the stop alone makes nobody a winner and lets nobody fall out: those that were in
// play are even, those that fell out before stay out.
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
		fell := 0
		for c := range r.Candidates {
			if s.Fell[c] > 0 {
				fell++
			}
			if s.Even(c) != (s.Fell[c] == 0) {
				t.Errorf("stopped at game %d: candidate %d fell in round %d, even %v", stopAt, c, s.Fell[c], s.Even(c))
			}
		}
		if want := map[int64]int{30: 0, 600: 32}[stopAt]; fell != want {
			t.Errorf("stopped at game %d: %d fell out, %d is right", stopAt, fell, want)
		}
	}
}
