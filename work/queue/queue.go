package queue

import (
	"context"
	"errors"
	"sync"
	"time"

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
	inLine   int    // where it stands in the queue while it waits
	begun    bool   // it has run since it was started last
	rounds   int    // how often it was started
	watchers int
	idle     *time.Timer
	stop     context.CancelFunc
	changed  chan struct{} // closed and replaced at each change
	used     time.Time
}

// Jobs is all simulations of one party by their key.
type Jobs struct {
	mu    sync.Mutex
	byKey map[string]*Job
	room  *Room
	party party
	gate  *sim.Gate
	tell  func(key string, err error) string
	under context.Context
	// allowance bounds them, nil where nothing does.
	allowance Allowance
}

// Allowance bounds how much work is done.
type Allowance interface {
	// Left is why none may be begun now, or nil.
	Left() error
	// Spend takes down for how long a core has worked. An error is why no more may be done.
	Spend(core time.Duration) error
}

// NewJobs makes a list of simulations that run in a room, which lists of other parties may share. They step aside at the gate, where
// readers of pages go in. tell makes of the error that ended one what those who watch may see; it is called once for each.
func NewJobs(room *Room, gate *sim.Gate, tell func(key string, err error) string) *Jobs {
	return &Jobs{byKey: map[string]*Job{}, room: room, gate: gate, tell: tell, under: context.Background()}
}

// Allow bounds the simulations that are started from now on.
func (j *Jobs) Allow(a Allowance) {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.allowance = a
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
// often the work was started before. An error is why none may be begun now: see [Allowance].
func (j *Jobs) Start(key string, begin func(round int, before any) Work) error {
	return j.StartShowing(key, nil, begin)
}

// StartShowing is Start where something is shown from now on until the work publishes for the first time, which may be long where others
// go first; nil for nothing.
func (j *Jobs) StartShowing(key string, first any, begin func(round int, before any) Work) error {
	if w := j.Find(key); w != nil && w.active() {
		return nil
	}
	j.mu.Lock()
	allowance := j.allowance
	j.mu.Unlock()
	if allowance != nil {
		if err := allowance.Left(); err != nil {
			return err
		}
	}
	j.mu.Lock()
	w, ok := j.byKey[key]
	if !ok {
		j.forgetOldest()
		w = &Job{state: Stopped, changed: make(chan struct{})}
		j.byKey[key] = w
	}
	under := j.under
	j.mu.Unlock()
	if ctx, do := w.start(under, j.gate, first, begin); do != nil {
		// Here, so that what was started first is in the line first.
		stay := j.room.come(&j.party, w.placed)
		go j.run(ctx, key, w, do, &steward{stay: stay, allowance: allowance, stop: w.halt})
	}
	return nil
}

// start makes a job one that waits, and gives what it is to do; nil where it does something already.
func (w *Job) start(under context.Context, gate *sim.Gate, first any, begin func(round int, before any) Work) (context.Context, Work) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.state == Running || w.state == Waiting {
		return nil, nil
	}
	ctx, stop := context.WithCancel(sim.WithGate(under, gate))
	do := begin(w.rounds, w.data)
	if w.data == nil {
		w.data = first
	}
	w.rounds++
	w.state, w.stop, w.failure, w.note, w.inLine, w.begun, w.used = Waiting, stop, "", "", 0, false, time.Now()
	w.watchIdle()
	w.tellAll()
	return ctx, do
}

func (j *Jobs) run(ctx context.Context, key string, w *Job, do Work, s *steward) {
	err := s.wait(ctx)
	if err == nil {
		noted := context.WithValue(ctx, noteKey{}, func(text string) { w.set(func() { w.note = text }) })
		err = do(sim.WithSteward(noted, s), func(data any) { w.set(func() { w.data, w.note = data, "" }) })
	}
	s.leave()
	failure := ""
	if over := s.over(); over != nil {
		failure = j.tell(key, over)
	} else if err != nil && ctx.Err() == nil {
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

// placed says where the job stands in the queue, 0 when it runs.
func (w *Job) placed(inLine int) {
	w.set(func() {
		w.inLine = inLine
		if w.state = Waiting; inLine == 0 {
			w.state, w.begun = Running, true
		}
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
	Error  string
	note   string
	inLine int
	begun  bool
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

// Begun says that it has run since it was started last, also where others have their turn now.
func (s Shown) Begun() bool { return s.begun }

// Waiting says that other simulations go first.
func (s Shown) Waiting() bool { return s.State == Waiting }

// Meanwhile says in a sentence what is done first, "" where figures come.
func (s Shown) Meanwhile() string {
	switch s.State {
	case Waiting:
		return "Other simulations go first: this one is " + inLine(s.inLine) + "."
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
	return Shown{State: w.state, Data: w.data, Error: w.failure, note: w.note, inLine: w.inLine, begun: w.begun}, w.changed
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
