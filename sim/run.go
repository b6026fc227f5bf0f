package sim

import (
	"context"
	"runtime"
	"sync"
)

// Shard is a stretch of the games of a run: Count games from number First on.
type Shard struct{ First, Count int }

// shardGames is the size of a shard: small enough that stopping loses little and that cores
// finish together, large enough that handing it out costs nothing beside playing it.
const shardGames = 128

// Result is what a shard's games add up to. Merge adds the games that follow; it must give the
// same result whatever the sizes of the shards, which whole-number sums do and floating-point ones do not.
type Result[R any] interface{ Merge(next R) }

// Run plays games 0 to games-1 and returns what they add up to, with the number played.
// newWorker is called once a core and returns the function that plays a shard; what that
// function owns need not be shared. progress, which may be nil, is told the number of games played so far
// from one goroutine at a time. When ctx ends, the run stops after the shards at work and keeps the games
// from 0 on without a gap, so that the result is that of a shorter run. The first error of a worker
// ends the run.
func Run[R Result[R]](ctx context.Context, games int, total R, newWorker func() func(Shard) (R, error), progress func(done int)) (played int, err error) {
	shards := (games + shardGames - 1) / shardGames
	results := make([]R, shards)
	done := make([]bool, shards)
	var (
		mu       sync.Mutex
		next     int
		finished int
		wg       sync.WaitGroup
	)
	take := func() (int, bool) {
		mu.Lock()
		defer mu.Unlock()
		if next == shards || err != nil || ctx.Err() != nil {
			return 0, false
		}
		next++
		return next - 1, true
	}
	finish := func(i, count int, r R, failure error) {
		mu.Lock()
		defer mu.Unlock()
		if failure != nil {
			if err == nil {
				err = failure
			}
			return
		}
		results[i], done[i] = r, true
		finished += count
		if progress != nil {
			progress(finished)
		}
	}
	for range min(runtime.GOMAXPROCS(0), shards) {
		wg.Go(func() {
			play := newWorker()
			for i, ok := take(); ok; i, ok = take() {
				s := Shard{First: i * shardGames, Count: min(shardGames, games-i*shardGames)}
				r, failure := play(s)
				finish(i, s.Count, r, failure)
			}
		})
	}
	wg.Wait()
	if err != nil {
		return 0, err
	}
	for i := 0; i < shards && done[i]; i++ {
		total.Merge(results[i])
		played = min(games, (i+1)*shardGames)
	}
	return played, nil
}
