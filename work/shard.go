package work

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"secondpass/engine/sim"
)

// Bench is the run that a job has come to, made ready so that any pieces of it can be done, in any order.
type Bench struct {
	pieces *sim.Pieces
	close  func()
}

// Bench prepares the present run of a job. The job stays as it was. The bench is to be closed.
func (j *Job) Bench(ctx context.Context) (*Bench, error) {
	ctx, cancel := context.WithCancel(ctx)
	b := &bench{job: j, found: make(chan *sim.Pieces)}
	failed := make(chan error, 1)
	go func() {
		_, err := j.Do(sim.WithRunner(ctx, b), func(Progress) bool { return false })
		if err == nil {
			err = errors.New("the job is done")
		}
		failed <- err
	}()
	select {
	case p := <-b.found:
		return &Bench{p, func() { cancel(); <-failed }}, nil
	case err := <-failed:
		cancel()
		return nil, err
	}
}

// Close ends the run.
func (b *Bench) Close() { b.close() }

// Worker is who does pieces, one at a time, and gives the result of each as bytes; several may be made to work side by side. Who goes
// on with the job takes the results with [Elsewhere].
func (b *Bench) Worker() (func(ctx context.Context, piece int) ([]byte, error), error) {
	do, err := b.pieces.Worker()
	if err != nil {
		return nil, err
	}
	return func(ctx context.Context, piece int) ([]byte, error) {
		if piece < b.pieces.From || piece >= b.pieces.To {
			return nil, fmt.Errorf("there is no piece %d; those from %d to %d are not done yet", piece, b.pieces.From, b.pieces.To-1)
		}
		result, err := do(sim.WithRunner(ctx, sim.Alone{}), piece)
		if err != nil {
			return nil, err
		}
		return json.Marshal(result)
	}, nil
}

// bench gives back the runs of a job that are over, and waits at the first that is not.
type bench struct {
	job   *Job
	run   int
	found chan *sim.Pieces
}

// errClosed ends the work once its pieces are done.
var errClosed = errors.New("the bench is closed")

func (b *bench) Do(ctx context.Context, p *sim.Pieces) (next int, err error) {
	mine := *p
	if b.run < len(b.job.runs) {
		over, err := b.job.restore(b.run, &mine)
		if b.run++; over || err != nil {
			return mine.From, err
		}
	} else if p.From >= p.To {
		return p.From, nil
	}
	select {
	case b.found <- &mine:
		<-ctx.Done()
	case <-ctx.Done():
	}
	return mine.From, errClosed
}

// Shard works out one piece of the run that a job has come to and returns its result as bytes. The job stays as it was.
// Who goes on with the job takes them with [Elsewhere].
func (j *Job) Shard(ctx context.Context, piece int) ([]byte, error) {
	b, err := j.Bench(ctx)
	if err != nil {
		return nil, err
	}
	defer b.Close()
	do, err := b.Worker()
	if err != nil {
		return nil, err
	}
	return do(ctx, piece)
}

// Sent is the job as bytes for those who do pieces of its present run, and the same however far that run has come.
func (j *Job) Sent() ([]byte, error) {
	as := &Job{Work: j.Work, runs: j.runs}
	if j.live != nil {
		as.runs = j.runs[:len(j.runs)-1]
	}
	if w, own := j.Work.(interface{ sent() (Work, error) }); own {
		var err error
		if as.Work, err = w.sent(); err != nil {
			return nil, err
		}
	}
	return as.Bytes()
}

// Workers do the pieces of jobs in other processes.
type Workers interface {
	// Runner is who does the runs of a job, or nil for one that is done here.
	Runner(j *Job) sim.Runner
}

type workersKey struct{}

// WithWorkers is a context under which the pieces of jobs go to workers.
func WithWorkers(ctx context.Context, w Workers) context.Context {
	return context.WithValue(ctx, workersKey{}, w)
}

// Elsewhere is a runner whose pieces are done by others. Ask sends a job, as bytes, and the number of a piece, and returns
// what [Job.Shard] made of them; it is called by several goroutines.
type Elsewhere struct {
	Job *Job
	Ask func(ctx context.Context, job []byte, piece int) ([]byte, error)
}

// Do asks for each piece and takes the answers in order.
func (e Elsewhere) Do(ctx context.Context, p *sim.Pieces) (next int, err error) {
	job, err := e.Job.Sent()
	if err != nil {
		return p.From, err
	}
	mine := *p
	mine.Worker = func() (func(context.Context, int) (any, error), error) {
		return func(ctx context.Context, piece int) (any, error) {
			data, err := e.Ask(ctx, job, piece)
			if err != nil {
				return nil, err
			}
			return p.Decode(data)
		}, nil
	}
	return sim.Cores{}.Do(ctx, &mine)
}
