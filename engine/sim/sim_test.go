package sim

import (
	"context"
	"errors"
	"fmt"
	"reflect"
	"runtime"
	"testing"
	"time"

	"secondpass/internal/goodness"
)

// tally counts the faces of a die and notes the order in which games were merged.
type tally struct {
	faces [6]int
	games []int
}

func (t *tally) Merge(next *tally) {
	for i := range t.faces {
		t.faces[i] += next.faces[i]
	}
	t.games = append(t.games, next.games...)
}

func throwDice(seed uint64) func() func(Shard) (*tally, error) {
	return func() func(Shard) (*tally, error) {
		return func(s Shard) (*tally, error) {
			t := &tally{}
			for g := s.First; g < s.First+s.Count; g++ {
				t.faces[Stream(seed, uint64(g), "die").IntN(6)]++
				t.games = append(t.games, g)
			}
			return t, nil
		}
	}
}

func ExampleRun() {
	total := &tally{}
	played, err := Run(context.Background(), 0, 600, total, throwDice(1), nil)
	fmt.Println(played, len(total.games), err)
	// Output: 600 600 <nil>
}

func TestRunIsTheSameOnAnyNumberOfCores(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	var first *tally
	for _, cores := range []int{1, 2, 7} {
		runtime.GOMAXPROCS(cores)
		total := &tally{}
		if _, err := Run(context.Background(), 0, 10_001, total, throwDice(3), nil); err != nil {
			t.Fatal(err)
		}
		for i, g := range total.games {
			if g != i {
				t.Fatalf("on %d cores place %d has game %d", cores, i, g)
			}
		}
		if first == nil {
			first = total
		} else if total.faces != first.faces {
			t.Errorf("on %d cores %v, on one %v", cores, total.faces, first.faces)
		}
	}
}

func TestRunStopsWithoutAGap(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	total := &tally{}
	played, err := Run(ctx, 0, 1_000_000, total, throwDice(3), func(done int) bool {
		if done >= 1000 {
			cancel()
		}
		return false
	})
	if err != nil || played < 1 || played == 1_000_000 || played != len(total.games) {
		t.Fatalf("played %d of which %d are kept, %v", played, len(total.games), err)
	}
	short := &tally{}
	if _, err := Run(context.Background(), 0, played, short, throwDice(3), nil); err != nil || short.faces != total.faces {
		t.Errorf("stopped after %d games with %v, a run of that length has %v", played, total.faces, short.faces)
	}
	// Resumed it comes to the same as a run through.
	through := &tally{}
	if _, err := Run(context.Background(), 0, played+1000, through, throwDice(3), nil); err != nil {
		t.Fatal(err)
	}
	if n, err := Run(context.Background(), played, played+1000, total, throwDice(3), nil); err != nil || n != played+1000 || total.faces != through.faces {
		t.Errorf("resumed to %d games: %v, run through %v, %v", n, total.faces, through.faces, err)
	}
}

// A run that its watcher ends has exactly the games up to there, whatever other cores have played.
func TestWatcherEndsTheRun(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(4))
	total := &tally{}
	played, err := Run(context.Background(), 0, 100_000, total, throwDice(3), func(done int) bool { return done >= 10*ShardGames })
	if err != nil || played != 10*ShardGames || len(total.games) != played {
		t.Errorf("%d played, %d merged, %v", played, len(total.games), err)
	}
}

func TestRunReportsTheFirstError(t *testing.T) {
	broken := errors.New("broken")
	_, err := Run(context.Background(), 0, 1000, &tally{}, func() func(Shard) (*tally, error) {
		return func(Shard) (*tally, error) { return nil, broken }
	}, nil)
	if !errors.Is(err, broken) {
		t.Error(err)
	}
}

// Streams of neighbouring games, seeds and of other purposes are unrelated: the first throws of each
// make a fair table of pairs (chi-square over the 36 pairs of faces).
func TestStreamsAreUnrelated(t *testing.T) {
	const n = 36_000
	others := map[string]func(g uint64) int{
		"next game":     func(g uint64) int { return Stream(1, g+1, "die").IntN(6) },
		"next seed":     func(g uint64) int { return Stream(2, g, "die").IntN(6) },
		"other purpose": func(g uint64) int { return Stream(1, g, "mock").IntN(6) },
	}
	for name, other := range others {
		seen, expected := make([]int, 36), make([]float64, 36)
		for g := range uint64(n) {
			seen[Stream(1, g, "die").IntN(6)*6+other(g)]++
		}
		for i := range expected {
			expected[i] = n / 36
		}
		if c, err := goodness.ChiSquareTest(seen, expected); err != nil || c.P < 1e-4 {
			t.Errorf("%s: chi-square %.1f, p %.2g, %v", name, c.Stat, c.P, err)
		}
	}
}

// While a watcher takes its time, as one that saves to a disk does, the others play on.
func TestAWatcherHoldsNobodyUp(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(2))
	begun := make(chan int, 100)
	total, first := &tally{}, true
	_, err := Run(context.Background(), 0, 20*ShardGames, total, func() func(Shard) (*tally, error) {
		play := throwDice(3)()
		return func(s Shard) (*tally, error) {
			begun <- s.First
			return play(s)
		}
	}, func(int) bool {
		if !first {
			return false
		}
		first = false
		for range 10 { // far more than were under way
			select {
			case <-begun:
			case <-time.After(5 * time.Minute): // only bounds a test that hangs
				t.Fatal("nobody plays while one watches")
			}
		}
		return false
	})
	if err != nil || len(total.games) != 20*ShardGames {
		t.Errorf("%d games, %v", len(total.games), err)
	}
}

// Where a worker fails, what stands before its shard is kept, and no more, on any number of cores.
func TestAnErrorEndsTheRunInItsPlace(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	broken := errors.New("broken")
	for _, cores := range []int{1, 2, 7} {
		runtime.GOMAXPROCS(cores)
		total := &tally{}
		played, err := Run(context.Background(), 0, 40*ShardGames, total, func() func(Shard) (*tally, error) {
			play := throwDice(3)()
			return func(s Shard) (*tally, error) {
				if s.First >= 5*ShardGames {
					return nil, broken
				}
				return play(s)
			}
		}, nil)
		if !errors.Is(err, broken) || played != 5*ShardGames || len(total.games) != played {
			t.Errorf("on %d cores: %d played, %d merged, %v", cores, played, len(total.games), err)
		}
	}
}

// What is handed to one core after another is what is handed to all.
func TestRunnersAgree(t *testing.T) {
	cores, alone := &tally{}, &tally{}
	for _, c := range []struct {
		runner Runner
		total  *tally
	}{{Cores{}, cores}, {Alone{}, alone}} {
		if n, err := Run(WithRunner(context.Background(), c.runner), 70, 1001, c.total, throwDice(3), nil); err != nil || n != 1001 {
			t.Fatalf("%T: %d games, %v", c.runner, n, err)
		}
	}
	if !reflect.DeepEqual(cores, alone) || len(alone.games) != 1001-70 || alone.games[0] != 70 {
		t.Errorf("%d games from %d on, alone %d from %d on", len(cores.games), cores.games[0], len(alone.games), alone.games[0])
	}
}

// Whoever ends a run while looking at it has seen its last shard: what other cores have played beyond does not slip in.
func TestEndedWhileLooking(t *testing.T) {
	for _, runner := range []Runner{Cores{}, Alone{}} {
		for range 50 {
			ctx, stop := context.WithCancel(WithRunner(context.Background(), runner))
			total := &tally{}
			n, err := Run(ctx, 0, 6*ShardGames, total, throwDice(3), func(played int) bool {
				if played == 2*ShardGames {
					stop()
				}
				return false
			})
			if err != nil || n != 2*ShardGames || len(total.games) != n {
				t.Fatalf("%T: %d played, %d merged, %v", runner, n, len(total.games), err)
			}
		}
	}
}
