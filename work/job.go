package work

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"secondpass/engine/sim"
)

// Kind is a kind of work.
type Kind string

// The kinds.
const (
	KindExperiment  Kind = "experiment"
	KindCardReport  Kind = "card report"
	KindDrillSearch Kind = "drill search"
	KindMatch       Kind = "match"
	KindTuning      Kind = "tuning"
	KindBalancing   Kind = "balancing"
	KindRepeats     Kind = "repeats"
)

// Work is what is to be done. As JSON it holds all that the result depends on.
type Work interface {
	Kind() Kind
	// Do does the work with the runner of ctx. Where ctx ends it returns what it has so far. Everything that takes long goes
	// through sim.Run or sim.InOrder, one after another, and nothing depends on the time.
	Do(ctx context.Context, tell Tell) (result any, err error)
}

// Progress is how far a job has come in its present stage.
type Progress struct {
	// Stage says what is counted: "deals", "games".
	Stage    string
	Done, Of int
	// Result is what it has come to, or nil where there is nothing to see yet. It changes after Tell has returned.
	Result any
}

// Tell is told of progress, on the goroutine that runs the job: it may call [Job.Bytes] and take its time. Where it returns
// true the job is stopped.
type Tell func(Progress) (stop bool)

// Job is work and what was played of it. It is for one goroutine at a time.
type Job struct {
	Work
	runs []played
	// live is the run that goes on.
	live *sim.Pieces
}

// played is one run of a job, as far as it came. Runs are known by their order, which the work gives them again.
type played struct {
	// Next is the first piece not taken, Ended says that none is wanted any more.
	Next  int  `json:"next"`
	Ended bool `json:"ended"`
	// Total is what the pieces add up to.
	Total json.RawMessage `json:"total"`
}

// New is a job that has not begun.
func New(w Work) *Job { return &Job{Work: w} }

const (
	jobFormat  = "secondpass job"
	jobVersion = 1
)

type jobJSON struct {
	Format  string          `json:"format"`
	Version int             `json:"version"`
	Kind    Kind            `json:"kind"`
	Work    json.RawMessage `json:"work"`
	Runs    []played        `json:"runs"`
}

// works makes an empty work of each kind.
var works = map[Kind]func() Work{
	KindExperiment:  func() Work { return &Experiment{} },
	KindCardReport:  func() Work { return &CardReport{} },
	KindDrillSearch: func() Work { return &DrillSearch{} },
	KindMatch:       func() Work { return &Match{} },
	KindTuning:      func() Work { return &Tuning{} },
	KindBalancing:   func() Work { return &Balancing{} },
	KindRepeats:     func() Work { return &Repeats{} },
}

// Read reads a job that [Job.Bytes] wrote.
func Read(data []byte) (*Job, error) {
	var j jobJSON
	if err := json.Unmarshal(data, &j); err != nil {
		return nil, fmt.Errorf("this is no job: %w", err)
	}
	if j.Format != jobFormat || j.Version != jobVersion {
		return nil, fmt.Errorf("a job of format %q, version %d; this program reads %q, version %d", j.Format, j.Version, jobFormat, jobVersion)
	}
	empty, known := works[j.Kind]
	if !known {
		return nil, fmt.Errorf("a job of kind %q, which this program does not know", j.Kind)
	}
	w := empty()
	dec := json.NewDecoder(bytes.NewReader(j.Work))
	dec.DisallowUnknownFields()
	if err := dec.Decode(w); err != nil {
		return nil, fmt.Errorf("a job of kind %q: %w", j.Kind, err)
	}
	return &Job{Work: w, runs: j.Runs}, nil
}

// Bytes is the job as it stands.
func (j *Job) Bytes() ([]byte, error) {
	w, err := json.Marshal(j.Work)
	if err != nil {
		return nil, err
	}
	runs := append([]played{}, j.runs...)
	if j.live != nil {
		if runs[len(runs)-1].Total, err = json.Marshal(j.live.Total); err != nil {
			return nil, err
		}
	}
	return json.Marshal(jobJSON{jobFormat, jobVersion, j.Kind(), w, runs})
}

// Run goes on with a job until it is done, ctx ends or tell, which may be nil, says so, and returns what it has come to.
func (j *Job) Run(ctx context.Context, tell Tell) (result any, err error) {
	inner := sim.RunnerOf(ctx)
	if w, sent := ctx.Value(workersKey{}).(Workers); sent {
		if r := w.Runner(j); r != nil {
			inner = r
		}
	}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	heed := func(p Progress) bool {
		if tell != nil && tell(p) {
			cancel()
			return true
		}
		return false
	}
	return j.Do(sim.WithRunner(ctx, &journal{job: j, ctx: ctx, inner: inner}), heed)
}

// Run is [Job.Run] for a job whose result is known to be an R.
func Run[R any](ctx context.Context, j *Job, tell Tell) (result R, err error) {
	made, err := j.Run(ctx, tell)
	if r, ok := made.(R); ok {
		return r, err
	}
	return result, err
}

// journal does the runs of a job, keeps what they add up to, and gives those that are kept back instead of playing them.
type journal struct {
	job   *Job
	ctx   context.Context // ends when the job is to stop
	inner sim.Runner
	at    int  // the number of the next run
	off   bool // the job was stopped: what is played now to come to an end is no part of it
}

// Do goes on with a run where it stood.
func (r *journal) Do(ctx context.Context, p *sim.Pieces) (next int, err error) {
	// A worker that has runs of its own does them where it is.
	within := sim.WithRunner(ctx, sim.Alone{})
	if r.off = r.off || r.ctx.Err() != nil; r.off {
		return r.inner.Do(within, p)
	}
	if p.Total == nil {
		return p.From, errors.New("a run without a total cannot be kept")
	}
	mine := *p
	over, err := r.job.restore(r.at, &mine)
	if err != nil {
		return mine.From, err
	}
	kept := &r.job.runs[r.at]
	r.at++
	// One that was stopped where nothing more was wanted anyway is over.
	if !over && mine.From > p.From && p.Look != nil && p.Look(mine.From) {
		over = r.ctx.Err() == nil
		r.off, kept.Ended = !over, over
		return mine.From, nil
	}
	if over {
		return mine.From, nil
	}
	mine.Take = func(piece int, result any) error {
		kept.Next, kept.Ended = piece+1, piece+1 >= p.To
		return p.Take(piece, result)
	}
	mine.Look = func(next int) bool {
		if p.Look != nil && p.Look(next) {
			kept.Ended = kept.Ended || r.ctx.Err() == nil
			return true
		}
		return false
	}
	r.job.live = &mine
	next, err = r.inner.Do(within, &mine)
	r.job.live = nil
	if err != nil {
		return next, err
	}
	r.off = !kept.Ended
	kept.Total, err = json.Marshal(mine.Total)
	return next, err
}

// restore sets a run to where it stood; over says that there is nothing more to play of it.
func (j *Job) restore(run int, p *sim.Pieces) (over bool, err error) {
	if run == len(j.runs) {
		total, err := json.Marshal(p.Total)
		j.runs = append(j.runs, played{Next: p.From, Ended: p.From >= p.To, Total: total})
		return p.From >= p.To, err
	}
	k := &j.runs[run]
	if k.Next < p.From || k.Next > p.To {
		return false, fmt.Errorf("run %d of the job stands at piece %d; it has those from %d to %d", run, k.Next, p.From, p.To)
	}
	p.From = k.Next
	if err := json.Unmarshal(k.Total, p.Total); err != nil {
		return false, fmt.Errorf("run %d of the job: %w", run, err)
	}
	return k.Ended, nil
}
