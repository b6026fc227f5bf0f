package work

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"secondpass/engine/sim"
)

// Shard works out one piece of the run that a job has come to and returns its result as bytes. The job stays as it was.
// Who goes on with the job takes them with [Elsewhere].
func (j *Job) Shard(ctx context.Context, piece int) ([]byte, error) {
	s := &sharder{job: j, piece: piece}
	_, err := j.Do(sim.WithRunner(ctx, s), func(Progress) bool { return false })
	switch {
	case s.data != nil:
		return s.data, nil
	case err == nil:
		err = errors.New("the job is done")
	}
	return nil, err
}

// sharder does one piece of a job.
type sharder struct {
	job   *Job
	run   int
	piece int
	data  []byte
}

// errOnePiece ends the work once its piece is done.
var errOnePiece = errors.New("one piece is done")

// Do gives back the runs that are over and does the piece of the first that is not.
func (s *sharder) Do(ctx context.Context, p *sim.Pieces) (next int, err error) {
	mine := *p
	if s.run < len(s.job.runs) {
		over, err := s.job.restore(s.run, &mine)
		if s.run++; over || err != nil {
			return mine.From, err
		}
	} else if p.From >= p.To {
		return p.From, nil
	}
	if s.piece < mine.From || s.piece >= mine.To {
		return mine.From, fmt.Errorf("there is no piece %d; those from %d to %d are not done yet", s.piece, mine.From, mine.To-1)
	}
	do, err := p.Worker()
	if err != nil {
		return mine.From, err
	}
	result, err := do(sim.WithRunner(ctx, sim.Alone{}), s.piece)
	if err != nil {
		return mine.From, err
	}
	if s.data, err = json.Marshal(result); err != nil {
		return mine.From, err
	}
	return mine.From, errOnePiece
}

// Elsewhere is a runner whose pieces are done by others. Ask sends a job, as bytes, and the number of a piece, and returns
// what [Job.Shard] made of them; it is called by several goroutines.
type Elsewhere struct {
	Job *Job
	Ask func(ctx context.Context, job []byte, piece int) ([]byte, error)
}

// Do asks for each piece and takes the answers in order.
func (e Elsewhere) Do(ctx context.Context, p *sim.Pieces) (next int, err error) {
	job, err := e.Job.Bytes()
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
