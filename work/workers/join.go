package workers

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver/riverpgxv5"

	"secondpass/work"
)

// Joining is how a process joins the workers of a database.
type Joining struct {
	// URL is the address of the database.
	URL string
	// Slots is how many parts are done at once; 0 is one for each core.
	Slots int
	// Told is told, in sentences, what goes on.
	Told func(text string)
	id   string // that of a test; "" for one of its own
}

// Refused is that a worker computes something else than those who ask.
type Refused struct{ Here, There string }

func (r *Refused) Error() string {
	return fmt.Sprintf("this worker would not compute as those who ask do: it is %s; who asks is %s. The same program on both is right", r.Here, r.There)
}

// Join does parts until ctx ends. The error is [Refused] where all who ask compute otherwise.
func (j Joining) Join(ctx context.Context) error {
	pool, err := open(ctx, j.URL)
	if err != nil {
		return err
	}
	defer pool.Close()
	if err := again(ctx, func() error { return ready(ctx, pool) }); err != nil {
		return err
	}
	if j.Slots == 0 {
		j.Slots = runtime.GOMAXPROCS(0)
	}
	w := &worker{pool: pool, benches: map[string]*shared{}}
	if w.member, err = newMember(ctx, true, j.Slots); err != nil {
		return err
	}
	if j.id != "" {
		w.id = j.id
	}
	if err := again(ctx, func() error { return w.agrees(ctx) }); err != nil {
		return err
	}
	todo := river.NewWorkers()
	if err := river.AddWorkerSafely(todo, w); err != nil {
		return err
	}
	client, err := newClient(pool, w.id, map[string]river.QueueConfig{w.queue(): {MaxWorkers: j.Slots}}, todo)
	if err != nil {
		return err
	}
	if err := again(ctx, func() error { return client.Start(context.WithoutCancel(ctx)) }); err != nil {
		return err
	}
	defer w.closeAll()
	defer func() {
		stopping, cancel := context.WithTimeout(context.Background(), 2*seenEvery)
		defer cancel()
		_ = client.StopAndCancel(stopping) // what was begun is done by others in any case
		w.member.leave(pool)
	}()
	j.Told(fmt.Sprintf("joined: %s; %d parts at once", w.computes, j.Slots))
	return w.stay(ctx, j.Told)
}

// worker does parts.
type worker struct {
	river.WorkerDefaults[part]
	*member
	pool  *pgxpool.Pool
	count atomic.Int64

	mu sync.Mutex
	// benches are the runs that are ready, by their id; used is their order, the last one last.
	benches map[string]*shared
	used    []string
}

// benchesKept is how many runs a worker keeps ready.
const benchesKept = 3

// agrees says why the worker is no use to those who ask now, if there are any.
func (w *worker) agrees(ctx context.Context) error {
	all, err := members(ctx, w.pool)
	if err != nil {
		return err
	}
	var other *Member
	for i := range all {
		if all[i].Works {
			continue
		}
		if all[i].computes() == w.computes {
			return nil
		}
		other = &all[i]
	}
	if other != nil {
		return &Refused{w.computes.String(), fmt.Sprintf("%s, on %s", other.computes(), other.Host)}
	}
	return nil
}

// stay says every now and then that the worker is there, until ctx ends.
func (w *worker) stay(ctx context.Context, told func(string)) error {
	away, refused := false, ""
	for {
		w.parts = w.count.Load()
		err := w.seen(ctx, w.pool)
		if ctx.Err() != nil {
			return nil
		}
		if err != nil && !passing(err) {
			return err
		}
		if (err != nil) != away {
			away = err != nil
			told(map[bool]string{true: "the database does not answer; it is tried again", false: "the database answers again"}[away])
		}
		other := (*Refused)(nil)
		if errors.As(w.agrees(ctx), &other) && other.There != refused {
			refused = other.There
			told(other.Error())
		}
		select {
		case <-time.After(seenEvery):
		case <-ctx.Done():
			return nil
		}
	}
}

// Work does a part, where nobody has done it yet.
func (w *worker) Work(ctx context.Context, job *river.Job[part]) error {
	p := job.Args
	done, known := false, false
	var data []byte
	err := again(ctx, func() error {
		done, known = false, false
		err := w.pool.QueryRow(ctx, `SELECT job, EXISTS (SELECT 1 FROM secondpass_work.part p WHERE p.run = r.id AND p.first = $2 AND p.beyond = $3) FROM secondpass_work.run r WHERE r.id = $1`,
			p.Run, p.First, p.Beyond).Scan(&data, &done)
		if errors.Is(err, pgx.ErrNoRows) {
			return nil
		}
		known = err == nil
		return err
	})
	if err != nil || done || !known { // a run that is not known any more is over
		return w.unlessStopped(ctx, err)
	}
	begun := time.Now()
	result, err := w.do(ctx, p, data)
	if ctx.Err() != nil {
		return river.JobSnooze(0)
	}
	failure := (*string)(nil)
	if err != nil {
		text := err.Error()
		failure = &text
	}
	w.count.Add(1)
	return w.unlessStopped(ctx, again(ctx, func() error { return w.deliver(ctx, job, result, failure, time.Since(begun)) }))
}

// unlessStopped gives a part back to the queue where the worker is ending.
func (w *worker) unlessStopped(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return river.JobSnooze(0)
	}
	return err
}

// deliver puts the result of a part into its table and ends its job, both or neither. A result that was there before stays.
func (w *worker) deliver(ctx context.Context, job *river.Job[part], result []byte, failure *string, took time.Duration) error {
	tx, err := w.pool.Begin(ctx)
	if err != nil {
		return err
	}
	defer func() { _ = tx.Rollback(ctx) }() // after a commit there is nothing to roll back
	p := job.Args
	_, err = tx.Exec(ctx, `INSERT INTO secondpass_work.part (run, first, beyond, result, failure, worker, took) VALUES ($1,$2,$3,$4,$5,$6,$7) ON CONFLICT DO NOTHING`, p.Run, p.First, p.Beyond, result, failure, w.id, took)
	if pg := (*pgconn.PgError)(nil); errors.As(err, &pg) && pg.Code == "23503" { // the run is over
		return nil
	}
	if err != nil {
		return err
	}
	if _, err := river.JobCompleteTx[*riverpgxv5.Driver](ctx, tx, job); err != nil && !errors.Is(err, river.ErrNotFound) {
		return err
	}
	return tx.Commit(ctx)
}

// do works the pieces of a part out.
func (w *worker) do(ctx context.Context, p part, job []byte) (result []byte, err error) {
	defer func() {
		if thrown := recover(); thrown != nil {
			err = fmt.Errorf("pieces %d to %d: %v", p.First, p.Beyond-1, thrown)
		}
	}()
	bench, err := w.bench(p.Run, job)
	if err != nil {
		return nil, err
	}
	defer bench.release()
	do, err := bench.worker()
	if err != nil {
		return nil, err
	}
	results := make([]json.RawMessage, 0, p.Beyond-p.First)
	for piece := p.First; piece < p.Beyond; piece++ {
		one, err := do(ctx, piece)
		if err != nil {
			return nil, err
		}
		results = append(results, one)
	}
	bench.giveBack(do)
	return pack(results)
}

// shared is a bench that several slots work at. Those who work at it keep it open.
type shared struct {
	make func() (*work.Bench, error)

	mu    sync.Mutex
	users int
	drop  bool
	idle  []pieceWorker
	bench *work.Bench
}

type pieceWorker = func(ctx context.Context, piece int) ([]byte, error)

// bench is the run ready to be worked at.
func (w *worker) bench(run string, data []byte) (*shared, error) {
	w.mu.Lock()
	s, there := w.benches[run]
	if !there {
		s = &shared{make: sync.OnceValues(func() (*work.Bench, error) {
			job, err := work.Read(data)
			if err != nil {
				return nil, err
			}
			return job.Bench(context.Background())
		})}
		w.benches[run] = s
	}
	w.used = append(slices.DeleteFunc(w.used, func(id string) bool { return id == run }), run)
	for len(w.used) > benchesKept {
		w.benches[w.used[0]].discard()
		delete(w.benches, w.used[0])
		w.used = w.used[1:]
	}
	s.mu.Lock()
	s.users++
	s.mu.Unlock()
	w.mu.Unlock()
	bench, err := s.make()
	if err != nil {
		s.release()
		return nil, err
	}
	s.mu.Lock()
	s.bench = bench
	s.mu.Unlock()
	return s, nil
}

// worker is one that does pieces: one that is idle, or a new one.
func (s *shared) worker() (pieceWorker, error) {
	s.mu.Lock()
	if n := len(s.idle); n > 0 {
		do := s.idle[n-1]
		s.idle = s.idle[:n-1]
		s.mu.Unlock()
		return do, nil
	}
	bench := s.bench
	s.mu.Unlock()
	return bench.Worker()
}

// giveBack makes a worker idle; one that failed is not given back.
func (s *shared) giveBack(do pieceWorker) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.idle = append(s.idle, do)
}

func (s *shared) release() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.users--
	s.closeUnused()
}

// discard closes the bench once nobody works at it.
func (s *shared) discard() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.drop = true
	s.closeUnused()
}

// closeUnused closes a bench that is not wanted any more; s.mu is held.
func (s *shared) closeUnused() {
	if s.drop && s.users == 0 && s.bench != nil {
		s.bench.Close()
		s.bench, s.idle = nil, nil
	}
}

func (w *worker) closeAll() {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, s := range w.benches {
		s.discard()
	}
}
