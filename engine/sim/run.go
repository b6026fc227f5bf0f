package sim

import (
	"context"
	"encoding/json"
	"runtime"
	"sync"
	"time"
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
//
// newWorker is called once a core and returns the function that plays a shard; what that function
// owns need not be shared. watch, which may be nil, is called after each shard is merged, on the goroutine that called Run,
// with the number of games merged so far; while it works, others play on. When it returns true the run ends there,
// whatever other cores have played beyond. When ctx ends, the run keeps what was merged. Either way
// the result is that of a shorter run. An error of a worker ends the run where its shard would have been merged.
//
// Who plays is the [Runner] of ctx.
func Run[R Result[R]](ctx context.Context, from, games int, total R, newWorker func() func(Shard) (R, error), watch func(played int) (stop bool)) (played int, err error) {
	return runShards(ctx, ShardGames, from, games, total, newWorker, watch)
}

// runShards is Run with shards of another size, for games of which a few take long. Shard i is the games from i*size on,
// whatever number the run begins with.
func runShards[R Result[R]](ctx context.Context, size, from, games int, total R, newWorker func() func(Shard) (R, error), watch func(int) bool) (played int, err error) {
	if from >= games {
		return from, nil
	}
	pieces := PiecesOf(from/size, (games+size-1)/size, func() (func(context.Context, int) (R, error), error) {
		play := newWorker()
		return func(_ context.Context, i int) (R, error) {
			first := max(from, i*size)
			return play(Shard{First: first, Count: min((i+1)*size, games) - first})
		}, nil
	}, func(_ int, r R) error {
		total.Merge(r)
		return nil
	})
	pieces.Total = total
	if watch != nil {
		pieces.Look = func(next int) bool { return watch(min(next*size, games)) }
	}
	next, err := RunnerOf(ctx).Do(ctx, pieces)
	return max(from, min(next*size, games)), err
}

// Pieces is work cut into pieces that know nothing of each other: those from number From up to To-1.
type Pieces struct {
	From, To int
	// Worker is called once for each that works; what it returns does one piece and gives its result. An error of it while
	// its ctx has ended means that the piece was cut short.
	Worker func() (func(ctx context.Context, piece int) (any, error), error)
	// Take is given the results in the order of the pieces, one at a time; an error ends the work.
	Take func(piece int, result any) error
	// Look, which may be nil, is told the number of the first piece not taken, each time one was; stop ends the work.
	Look func(next int) (stop bool)
	// Total, which may be nil, points to all that Take makes of the results, so that a runner can keep it as JSON and fill
	// it again.
	Total any
	// Decode reads a result from its JSON, for one that another process has worked out.
	Decode func(data []byte) (any, error)
}

// PiecesOf is pieces whose results have a type.
func PiecesOf[R any](from, to int, worker func() (func(ctx context.Context, piece int) (R, error), error), take func(piece int, result R) error) *Pieces {
	return &Pieces{
		From: from, To: to,
		Worker: func() (func(context.Context, int) (any, error), error) {
			do, err := worker()
			return func(ctx context.Context, piece int) (any, error) { return do(ctx, piece) }, err
		},
		Take: func(piece int, result any) error { return take(piece, result.(R)) },
		Decode: func(data []byte) (any, error) {
			var r R
			err := json.Unmarshal(data, &r)
			return r, err
		},
	}
}

// InOrder does pieces with the runner of ctx and returns the first that was not taken: To, or an earlier one where Look said
// stop, something failed, or ctx ended. What was taken is then the result of fewer pieces.
func InOrder(ctx context.Context, p *Pieces) (next int, err error) { return RunnerOf(ctx).Do(ctx, p) }

// Runner does pieces. Whatever it is, the results are taken in the order of the pieces, so that what they make is the same.
type Runner interface {
	// Do is InOrder. Take and Look are called on the goroutine that called Do, with no lock held: they may save or draw while
	// others work on.
	Do(ctx context.Context, p *Pieces) (next int, err error)
}

type runnerKey struct{}

// WithRunner is a context under which runs are done by r.
func WithRunner(ctx context.Context, r Runner) context.Context {
	return context.WithValue(ctx, runnerKey{}, r)
}

// RunnerOf is the runner of a context; without one it is Cores.
func RunnerOf(ctx context.Context) Runner {
	if r, ok := ctx.Value(runnerKey{}).(Runner); ok {
		return r
	}
	return Cores{}
}

// Cores does pieces on all cores of this process.
type Cores struct{}

// runAhead is how many pieces a core may be ahead of the first that was not taken: what waits is kept in memory.
const runAhead = 32

// outcome is the result of a piece, or why there is none.
type outcome struct {
	piece  int
	result any
	err    error
}

// noPiece is the outcome of a worker that could not begin.
const noPiece = -1

// Do hands pieces to the cores and takes their results in order.
func (Cores) Do(ctx context.Context, p *Pieces) (next int, err error) {
	cores := min(runtime.GOMAXPROCS(0), p.To-p.From)
	if cores <= 0 {
		return p.From, nil
	}
	ctx, cancel := context.WithCancel(ctx)
	window := cores * runAhead
	tickets, outcomes := make(chan int, window), make(chan outcome, window+cores)
	var wg sync.WaitGroup
	for core := range cores {
		wg.Go(func() { p.work(ctx, core, cores, tickets, outcomes) })
	}
	defer wg.Wait()
	defer close(tickets)
	defer cancel()
	waiting := map[int]outcome{}
	for handed, next := p.From, p.From; ; {
		for ; handed < min(p.To, next+window); handed++ {
			tickets <- handed
		}
		o := <-outcomes
		if o.piece == noPiece {
			return next, o.err
		}
		for waiting[o.piece] = o; ; next++ {
			due, there := waiting[next]
			if !there {
				break
			}
			delete(waiting, next)
			if due.err != nil {
				return next, cut(ctx, due.err)
			}
			if over, err := p.take(next, due.result); over || err != nil {
				return next + 1, err
			}
			// Who ends ctx while looking has seen the last result, whatever lies here already.
			if ctx.Err() != nil {
				return next + 1, nil
			}
		}
	}
}

// take takes a result and looks; over says that it was the last.
func (p *Pieces) take(piece int, result any) (over bool, err error) {
	if err := p.Take(piece, result); err != nil {
		return true, err
	}
	return p.Look != nil && p.Look(piece+1) || piece+1 == p.To, nil
}

// work does pieces as long as there are tickets.
func (p *Pieces) work(ctx context.Context, core, cores int, tickets <-chan int, outcomes chan<- outcome) {
	do, err := p.Worker()
	if err != nil {
		outcomes <- outcome{piece: noPiece, err: err}
		return
	}
	for piece := range tickets {
		stepAside(ctx, core, cores)
		o := outcome{piece: piece, err: ctx.Err()}
		if o.err == nil {
			begun := time.Now()
			o.result, o.err = do(ctx, piece)
			spent(ctx, time.Since(begun))
		}
		outcomes <- o
	}
}

// cut leaves out the error of a piece that was cut short.
func cut(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return nil
	}
	return err
}

// Alone does pieces one after another where it is called: within a worker, whose fellows have the other cores.
type Alone struct{}

// Do does each piece and takes its result.
func (Alone) Do(ctx context.Context, p *Pieces) (next int, err error) {
	if p.From >= p.To {
		return p.From, nil
	}
	do, err := p.Worker()
	if err != nil {
		return p.From, err
	}
	for piece := p.From; piece < p.To; piece++ {
		if ctx.Err() != nil {
			return piece, nil
		}
		result, err := do(ctx, piece)
		if err != nil {
			return piece, cut(ctx, err)
		}
		if over, err := p.take(piece, result); over || err != nil {
			return piece + 1, err
		}
	}
	return p.To, nil
}
