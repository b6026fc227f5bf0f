package web

import (
	"context"
	"errors"
	"sync"
	"time"

	"golang.org/x/sync/semaphore"
)

const (
	// unwatched is how long a simulation goes on when nobody watches.
	unwatched = 8 * time.Second
	// jobsKept is how many finished simulations are remembered.
	jobsKept = 64
)

// jobState is what a simulation does.
type jobState string

const (
	jobWaiting jobState = "waiting"
	jobRunning jobState = "running"
	jobStopped jobState = "stopped"
	jobDone    jobState = "done"
	jobFailed  jobState = "failed"
)

// work is a simulation that can be stopped and gone on with. It is called with a context that ends when it is to
// stop, and publishes what it has so far; what it publishes must not change afterwards.
type work func(ctx context.Context, publish func(data any)) error

// job is one simulation and what it has found so far.
type job struct {
	mu       sync.Mutex
	state    jobState
	data     any
	err      error
	rounds   int // how often it was started
	watchers int
	idle     *time.Timer
	stop     context.CancelFunc
	changed  chan struct{} // closed and replaced at each change
	used     time.Time
}

// jobs is all simulations of a server by their key.
type jobs struct {
	mu    sync.Mutex
	byKey map[string]*job
	room  *semaphore.Weighted
}

// newJobs makes a list of simulations of which so many run at once; the others wait.
func newJobs(atOnce int64) *jobs {
	return &jobs{byKey: map[string]*job{}, room: semaphore.NewWeighted(atOnce)}
}

// find is the job of a key, or nil.
func (j *jobs) find(key string) *job {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.byKey[key]
}

// start begins the work of a key, or goes on with it; where it runs already it lets it run. round counts from 0 how
// often the work was started before.
func (j *jobs) start(key string, begin func(round int, before any) work) {
	j.mu.Lock()
	w, ok := j.byKey[key]
	if !ok {
		j.forgetOldest()
		w = &job{state: jobStopped, changed: make(chan struct{})}
		j.byKey[key] = w
	}
	j.mu.Unlock()
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.state == jobRunning || w.state == jobWaiting {
		return
	}
	ctx, stop := context.WithCancel(context.Background())
	do := begin(w.rounds, w.data)
	w.rounds++
	w.state, w.stop, w.err, w.used = jobWaiting, stop, nil, time.Now()
	w.watchIdle()
	w.tellAll()
	go j.run(ctx, w, do)
}

func (j *jobs) run(ctx context.Context, w *job, do work) {
	err := j.room.Acquire(ctx, 1)
	if err == nil {
		w.set(func() { w.state = jobRunning })
		err = do(ctx, func(data any) { w.set(func() { w.data = data }) })
		j.room.Release(1)
	}
	w.set(func() {
		switch {
		case ctx.Err() != nil:
			w.state = jobStopped
		case err != nil:
			w.state, w.err = jobFailed, err
		default:
			w.state = jobDone
		}
		w.stop()
	})
}

// halt stops the work of a key; it keeps what it has.
func (j *jobs) halt(key string) {
	if w := j.find(key); w != nil {
		w.halt()
	}
}

func (j *jobs) stopAll() {
	j.mu.Lock()
	defer j.mu.Unlock()
	for _, w := range j.byKey {
		w.halt()
	}
}

// forgetOldest makes room for one more; j.mu is held. Those that run stay.
func (j *jobs) forgetOldest() {
	for len(j.byKey) >= jobsKept {
		oldest := ""
		for key, w := range j.byKey {
			if !w.active() && (oldest == "" || w.used.Before(j.byKey[oldest].used)) {
				oldest = key
			}
		}
		if oldest == "" {
			return
		}
		delete(j.byKey, oldest)
	}
}

func (w *job) active() bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.state == jobRunning || w.state == jobWaiting
}

func (w *job) halt() {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.stop != nil {
		w.stop()
	}
}

// set changes the job and tells those who watch.
func (w *job) set(change func()) {
	w.mu.Lock()
	defer w.mu.Unlock()
	change()
	w.tellAll()
}

// tellAll wakes those who watch; w.mu is held.
func (w *job) tellAll() {
	close(w.changed)
	w.changed = make(chan struct{})
}

// watchIdle stops the job in a while unless somebody comes to watch; w.mu is held.
func (w *job) watchIdle() {
	if w.idle != nil {
		w.idle.Stop()
	}
	if w.watchers == 0 {
		stop := w.stop
		w.idle = time.AfterFunc(unwatched, stop)
	}
}

// Watch counts one more who watches until the returned function is called.
func (w *job) Watch() (leave func()) {
	add := func(n int) {
		w.mu.Lock()
		defer w.mu.Unlock()
		w.watchers += n
		if w.stop != nil {
			w.watchIdle()
		}
	}
	add(1)
	return func() { add(-1) }
}

// shown is a job as a page shows it.
type shown struct {
	State jobState
	Data  any
	Error string
}

// Active says whether figures still change.
func (s shown) Active() bool { return s.State == jobRunning || s.State == jobWaiting }

// Waiting says that other simulations go first.
func (s shown) Waiting() bool { return s.State == jobWaiting }

// Show is the job as it is now, and a channel that closes when that changes.
func (w *job) Show() (shown, <-chan struct{}) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.used = time.Now()
	s := shown{State: w.state, Data: w.data}
	if w.err != nil {
		s.Error = w.err.Error()
	}
	return s, w.changed
}

// now is what a key's job has so far; the zero shown where there is none.
func (j *jobs) now(key string) shown {
	w := j.find(key)
	if w == nil {
		return shown{}
	}
	s, _ := w.Show()
	return s
}

// ErrNothing says that a key has no job that could be watched.
var ErrNothing = errors.New("Nothing is simulated or counted here now. Open the page again and start it.")

// watched is the job of a key, to be watched.
func (j *jobs) watched(key string) (*job, error) {
	if w := j.find(key); w != nil {
		return w, nil
	}
	return nil, ErrNothing
}
