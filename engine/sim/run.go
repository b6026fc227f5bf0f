package sim

import (
	"context"
	"runtime"
	"sync"
)

// Shard is a stretch of the games of a run: Count games from number First on.
type Shard struct{ First, Count int }

// ShardGames is the size of a shard: small enough that stopping loses little and that cores
// finish together, large enough that handing it out costs nothing beside playing it.
const ShardGames = 64

// Result is what a shard's games add up to. Merge adds the games that follow; it must give the
// same result whatever the sizes of the shards, which whole-number sums do and floating-point ones do not.
type Result[R any] interface{ Merge(next R) }

// Run plays the games from number `from`, which earlier runs have come to, up to games-1 and merges
// what they add up to into total, in the order of the games. It returns the number played in all.
// from is a multiple of ShardGames: the number that a stopped run returned.
//
// newWorker is called once a core and returns the function that plays a shard; what that function
// owns need not be shared. watch, which may be nil, is called after each shard is merged, from one
// goroutine at a time, with the number of games merged so far; when it returns true the run ends there,
// whatever other cores have played beyond. When ctx ends, the run keeps what was merged. Either way
// the result is that of a shorter run. The first error of a worker ends the run.
func Run[R Result[R]](ctx context.Context, from, games int, total R, newWorker func() func(Shard) (R, error), watch func(played int) (stop bool)) (played int, err error) {
	return runShards(ctx, ShardGames, from, games, total, newWorker, watch)
}

// runShards is Run with shards of another size, for games of which a few take long.
func runShards[R Result[R]](ctx context.Context, size, from, games int, total R, newWorker func() func(Shard) (R, error), watch func(int) bool) (played int, err error) {
	r := runner[R]{ctx: ctx, size: size, games: games, next: from, merged: from, total: total, watch: watch, waiting: map[int]R{}}
	shards := (games - from + size - 1) / size
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), max(shards, 0)) {
		wg.Go(func() {
			play := newWorker()
			for s, ok := r.take(); ok; s, ok = r.take() {
				result, err := play(s)
				r.finish(s, result, err)
			}
		})
	}
	wg.Wait()
	return r.merged, r.err
}

// runner hands out shards and merges their results in order.
type runner[R Result[R]] struct {
	ctx   context.Context
	size  int
	games int
	total R
	watch func(int) bool

	mu      sync.Mutex
	next    int       // the first game not handed out yet
	merged  int       // the first game not merged yet
	waiting map[int]R // results of shards by their first game, until those before them are merged
	ended   bool
	err     error
}

func (r *runner[R]) take() (Shard, bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.next >= r.games || r.ended || r.ctx.Err() != nil {
		return Shard{}, false
	}
	s := Shard{First: r.next, Count: min(r.size, r.games-r.next)}
	r.next += s.Count
	return s, true
}

func (r *runner[R]) finish(s Shard, result R, err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if err != nil {
		r.ended = true
		if r.err == nil {
			r.err = err
		}
		return
	}
	r.waiting[s.First] = result
	for !r.ended {
		next, there := r.waiting[r.merged]
		if !there {
			return
		}
		delete(r.waiting, r.merged)
		r.total.Merge(next)
		r.merged += min(r.size, r.games-r.merged)
		r.ended = r.watch != nil && r.watch(r.merged)
	}
}
