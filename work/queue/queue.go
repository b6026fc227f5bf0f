package queue

import (
	"context"
	"errors"
	"sync"
	"time"

	"golang.org/x/sync/semaphore"

	"secondpass/engine/sim"
)

const (
	// unwatched is how long a simulation goes on when nobody watches.
	unwatched = 8 * time.Second
	// jobsKept is how many finished simulations are remembered.
	jobsKept = 64
)

// State is what a simulation does.
type State string

const (
	Waiting State = "waiting"
	Running State = "running"
	Stopped State = "stopped"
	Done    State = "done"
	Failed  State = "failed"
)

// Work is a simulation that can be stopped and gone on with. It is called with a context that ends when it is to
// stop, and publishes what it has so far; what it publishes must not change afterwards.
type Work func(ctx context.Context, publish func(data any)) error

// Job is one simulation and what it has found so far.
type Job struct {
	mu       sync.Mutex
	state    State
	data     any
	failure  string // of one that failed
	note     string // what it does before it finds anything more
	rounds   int    // how often it was started
	watchers int
	idle     *time.Timer
	stop     context.CancelFunc
	changed  chan struct{} // closed and replaced at each change
	used     time.Time
}

// Jobs is all simulations of a server by their key.
type Jobs struct {
	mu    sync.Mutex
	byKey map[string]*Job
	room  Room
	gate  *sim.Gate
	tell  func(key string, err error) string
	under context.Context
}

// Room is in which simulations of one list, or of several that share a machine, run; those for whom none is left wait, and go in the
// order in which they came.
type Room struct{ places *semaphore.Weighted }

// NewRoom is a room for so many at once.
func NewRoom(atOnce int64) Room { return Room{semaphore.NewWeighted(atOnce)} }

// NewJobs makes a list of simulations that run in a room. They step aside at the gate, where
// readers of pages go in. tell makes of the error that ended one what those who watch may see; it is called once for each.
func NewJobs(room Room, gate *sim.Gate, tell func(key string, err error) string) *Jobs {
	return &Jobs{byKey: map[string]*Job{}, room: room, gate: gate, tell: tell, under: context.Background()}
}

// Under makes a context the one that simulations started from now on are under: what it holds is theirs; its end is not.
func (j *Jobs) Under(ctx context.Context) {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.under = context.WithoutCancel(ctx)
}

// Find is the job of a key, or nil.
func (j *Jobs) Find(key string) *Job {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.byKey[key]
}

// Start begins the work of a key, or goes on with it; where it runs already it lets it run. round counts from 0 how
// often the work was started before.
func (j *Jobs) Start(key string, begin func(round int, before any) Work) {
	j.StartShowing(key, nil, begin)
}

// StartShowing is Start where something is shown from now on until the work publishes for the first time, which may be long where others
// go first; nil for nothing.
func (j *Jobs) StartShowing(key string, first any, begin func(round int, before any) Work) {
	j.mu.Lock()
	w, ok := j.byKey[key]
	if !ok {
		j.forgetOldest()
		w = &Job{state: Stopped, changed: make(chan struct{})}
		j.byKey[key] = w
	}
	under := j.under
	j.mu.Unlock()
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.state == Running || w.state == Waiting {
		return
	}
	ctx, stop := context.WithCancel(sim.WithGate(under, j.gate))
	do := begin(w.rounds, w.data)
	if w.data == nil {
		w.data = first
	}
	w.rounds++
	w.state, w.stop, w.failure, w.note, w.used = Waiting, stop, "", "", time.Now()
	w.watchIdle()
	w.tellAll()
	go j.run(ctx, key, w, do)
}

func (j *Jobs) run(ctx context.Context, key string, w *Job, do Work) {
	err := j.room.places.Acquire(ctx, 1)
	if err == nil {
		w.set(func() { w.state = Running })
		noted := context.WithValue(ctx, noteKey{}, func(text string) { w.set(func() { w.note = text }) })
		err = do(noted, func(data any) { w.set(func() { w.data, w.note = data, "" }) })
		j.room.places.Release(1)
	}
	failure := ""
	if err != nil && ctx.Err() == nil {
		failure = j.tell(key, err)
	}
	w.set(func() {
		switch {
		case failure != "":
			w.state, w.failure = Failed, failure
		case ctx.Err() != nil:
			w.state = Stopped
		default:
			w.state = Done
		}
		w.stop()
	})
}

// Halt stops the work of a key; it keeps what it has.
func (j *Jobs) Halt(key string) {
	if w := j.Find(key); w != nil {
		w.halt()
	}
}

func (j *Jobs) StopAll() {
	j.mu.Lock()
	defer j.mu.Unlock()
	for _, w := range j.byKey {
		w.halt()
	}
}

// Working says whether anything runs, or waits to.
func (j *Jobs) Working() bool {
	j.mu.Lock()
	defer j.mu.Unlock()
	for _, w := range j.byKey {
		if w.active() {
			return true
		}
	}
	return false
}

// forgetOldest makes room for one more; j.mu is held. Those that run stay.
func (j *Jobs) forgetOldest() {
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

func (w *Job) active() bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.state == Running || w.state == Waiting
}

func (w *Job) halt() {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.stop != nil {
		w.stop()
	}
}

// set changes the job and tells those who watch.
func (w *Job) set(change func()) {
	w.mu.Lock()
	defer w.mu.Unlock()
	change()
	w.tellAll()
}

// tellAll wakes those who watch; w.mu is held.
func (w *Job) tellAll() {
	close(w.changed)
	w.changed = make(chan struct{})
}

// watchIdle stops the job in a while unless somebody comes to watch; w.mu is held.
func (w *Job) watchIdle() {
	if w.idle != nil {
		w.idle.Stop()
	}
	if w.watchers == 0 {
		stop := w.stop
		w.idle = time.AfterFunc(unwatched, stop)
	}
}

// Watch counts one more who watches until the returned function is called.
func (w *Job) Watch() (leave func()) {
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

// Shown is a job as a page shows it.
type Shown struct {
	State State
	Data  any
	// Error is a sentence on why it failed, "" where it did not.
	Error string
	note  string
}

type noteKey struct{}

// Note tells those who watch the job that a context is of, in a sentence, what it does until it publishes again.
func Note(ctx context.Context, text string) {
	if note, ok := ctx.Value(noteKey{}).(func(string)); ok {
		note(text)
	}
}

// Active says whether figures still change.
func (s Shown) Active() bool { return s.State == Running || s.State == Waiting }

// Waiting says that other simulations go first.
func (s Shown) Waiting() bool { return s.State == Waiting }

// Meanwhile says in a sentence what is done first, "" where figures come.
func (s Shown) Meanwhile() string {
	switch s.State {
	case Waiting:
		return "Other simulations go first."
	case Running:
		return s.note
	}
	return ""
}

// Show is the job as it is now, and a channel that closes when that changes.
func (w *Job) Show() (Shown, <-chan struct{}) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.used = time.Now()
	return Shown{State: w.state, Data: w.data, Error: w.failure, note: w.note}, w.changed
}

// Now is what a key's job has so far; the zero shown where there is none.
func (j *Jobs) Now(key string) Shown {
	w := j.Find(key)
	if w == nil {
		return Shown{}
	}
	s, _ := w.Show()
	return s
}

// ErrNothing says that a key has no job that could be watched.
var ErrNothing = errors.New("Nothing is simulated or counted here now. Open the page again and start it.")

// Watched is the job of a key, to be watched.
func (j *Jobs) Watched(key string) (*Job, error) {
	if w := j.Find(key); w != nil {
		return w, nil
	}
	return nil, ErrNothing
}
