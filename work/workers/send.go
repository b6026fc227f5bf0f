package workers

import (
	"context"
	"errors"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/riverqueue/river"

	"secondpass/engine/sim"
	"secondpass/work"
)

// Sender sends the pieces of jobs to the workers of a database. It connects when the first is sent.
type Sender struct {
	url  string
	told func(text string)
	// floor is the least time after which a part is sent again; target is how long a part is to take.
	floor, target time.Duration
	// size is how many pieces a part has whatever they take, for tests; 0 for as many as take the target.
	size int

	mu     sync.Mutex
	pool   *pgxpool.Pool
	client *river.Client[pgx.Tx]
	self   *member
	end    context.CancelFunc
	ended  chan struct{}
}

const (
	usualFloor  = 5 * time.Second
	usualTarget = 15 * time.Second
)

// NewSender sends to the database of an address. told is told, in sentences, what goes on that a person should know.
func NewSender(url string, told func(text string)) *Sender {
	return &Sender{url: url, told: told, floor: usualFloor, target: usualTarget}
}

// Runner sends the runs of all jobs but those that take seconds.
func (s *Sender) Runner(j *work.Job) sim.Runner { return s.RunnerOf("", j) }

// RunnerOf is Runner for one of several who share the sender: what one of them asks for is nothing to another who asks for the same.
func (s *Sender) RunnerOf(whose string, j *work.Job) sim.Runner {
	if j.Kind() == work.KindRepeats {
		return nil
	}
	return &sending{Sender: s, job: j, whose: whose}
}

// Any says whether a worker is there that computes as this program does.
func (s *Sender) Any(ctx context.Context) bool {
	if s.connect(ctx) != nil {
		return false
	}
	n, err := s.slots(ctx)
	return err == nil && n > 0
}

// connect opens the database, makes the tables where they are missing, and says every now and then that somebody asks.
func (s *Sender) connect(ctx context.Context) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.pool != nil {
		return nil
	}
	pool, err := open(ctx, s.url)
	if err != nil {
		return err
	}
	self, err := newMember(ctx, false, 0)
	if err == nil {
		err = again(ctx, func() error {
			if err := ready(ctx, pool); !errors.Is(err, errNoTables) {
				return err
			}
			return prepare(ctx, pool)
		})
	}
	client := (*river.Client[pgx.Tx])(nil)
	if err == nil {
		client, err = newClient(pool, self.id, nil, nil)
	}
	if err == nil {
		err = again(ctx, func() error {
			_, err := pool.Exec(ctx, "DELETE FROM secondpass_work.run WHERE touched < now() - $1::interval", keptFor)
			if err == nil {
				_, err = pool.Exec(ctx, "DELETE FROM secondpass_work.member WHERE seen < now() - $1::interval", keptFor)
			}
			if err == nil {
				err = self.seen(ctx, pool)
			}
			return err
		})
	}
	if err != nil {
		pool.Close()
		return err
	}
	s.pool, s.client, s.self, s.ended = pool, client, self, make(chan struct{})
	ctx, s.end = context.WithCancel(context.Background())
	go func() {
		defer close(s.ended)
		for {
			select {
			case <-time.After(seenEvery):
				_ = self.seen(ctx, pool) // a database that is away is told of by what waits for it
			case <-ctx.Done():
				return
			}
		}
	}()
	return nil
}

// Close takes leave of the workers.
func (s *Sender) Close() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.pool == nil {
		return
	}
	s.end()
	<-s.ended
	s.self.leave(s.pool)
	s.pool.Close()
	s.pool = nil
}

// slots is how many parts the workers that compute alike do at once.
func (s *Sender) slots(ctx context.Context) (n int, err error) {
	all, err := members(ctx, s.pool)
	for i := range all {
		if all[i].Works && all[i].computes() == s.self.computes {
			n += all[i].Slots
		}
	}
	return n, err
}
