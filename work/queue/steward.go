package queue

import (
	"context"
	"sync"
	"time"

	"secondpass/engine/sim"
)

// steward oversees the runs of a job: between two pieces it makes room for others, and what cores have spent it takes down.
type steward struct {
	*stay
	allowance Allowance
	stop      func()
	mu        sync.Mutex
	ended     error
}

// Hold makes room for others where it is their turn, and waits for its own.
func (s *steward) Hold(ctx context.Context) {
	s.makeRoom()
	_ = s.wait(ctx) // whoever asks looks at ctx
}

// Spent takes down what a core has spent, and stops the job where no more may be.
func (s *steward) Spent(core time.Duration) {
	if s.allowance == nil {
		return
	}
	if err := s.allowance.Spend(core); err != nil {
		s.mu.Lock()
		s.ended = err
		s.mu.Unlock()
		s.stop()
	}
}

// over is why the job was stopped, nil where it was not for its allowance.
func (s *steward) over() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.ended
}

// Elsewhere makes of a runner, which does pieces on other machines, one under which a job has no place of the room meanwhile.
func Elsewhere(r sim.Runner) sim.Runner { return elsewhere{r} }

type elsewhere struct{ sim.Runner }

// Do does pieces elsewhere and comes back.
func (e elsewhere) Do(ctx context.Context, p *sim.Pieces) (next int, err error) {
	s, ok := sim.StewardOf(ctx).(*steward)
	if !ok {
		return e.Runner.Do(ctx, p)
	}
	back := s.elsewhere()
	next, err = e.Runner.Do(ctx, p)
	_ = back(ctx) // what follows looks at ctx
	return next, err
}
