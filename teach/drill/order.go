package drill

import (
	"context"
	"runtime"
	"sync"
)

// inOrder does the jobs from..to-1 on all cores and hands over their results in the order of the jobs, from one
// goroutine at a time, until take says stop, the jobs are done, or ctx ends. Then what was handed over is the result of
// fewer jobs. worker is called once a core.
//
// sim.Run does this for games, by the shard; a job here takes seconds, and what it found is to be kept at once.
func inOrder[R any](ctx context.Context, from, to uint64, worker func() (func(uint64) (R, error), error), take func(uint64, R) (stop bool, err error)) (next uint64, err error) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	o := ordered[R]{next: from, due: from, to: to, waiting: map[uint64]R{}, take: take, cancel: cancel}
	var wg sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			work, err := worker()
			if err != nil {
				o.fail(err)
				return
			}
			for job, ok := o.start(ctx); ok; job, ok = o.start(ctx) {
				r, err := work(job)
				if ctx.Err() != nil {
					return // cut short: not a result
				}
				if err != nil {
					o.fail(err)
					return
				}
				o.finish(job, r)
			}
		})
	}
	wg.Wait()
	return o.due, o.err
}

type ordered[R any] struct {
	mu      sync.Mutex
	next    uint64 // the first job not started
	due     uint64 // the first job not handed over
	to      uint64
	waiting map[uint64]R
	take    func(uint64, R) (bool, error)
	cancel  func()
	ended   bool
	err     error
}

func (o *ordered[R]) start(ctx context.Context) (uint64, bool) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.ended || o.next >= o.to || ctx.Err() != nil {
		return 0, false
	}
	o.next++
	return o.next - 1, true
}

func (o *ordered[R]) fail(err error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.err == nil && !o.ended {
		o.err = err
	}
	o.ended = true
	o.cancel()
}

func (o *ordered[R]) finish(job uint64, r R) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.waiting[job] = r
	for !o.ended {
		next, there := o.waiting[o.due]
		if !there {
			return
		}
		delete(o.waiting, o.due)
		stop, err := o.take(o.due, next)
		o.due++
		if err != nil {
			o.err = err
		}
		if stop || err != nil {
			o.ended = true
			o.cancel()
		}
	}
}
