package sql

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"sync"

	"secondpass/store"
)

// votesAtOnce is the most votes of one transaction.
const votesAtOnce = 1000

// voteLog keeps votes, those that arrive at the same time in one transaction: a disk takes about as long for one as
// for a thousand.
type voteLog struct {
	into  *Store
	queue chan queuedVote
	done  chan struct{}
	stop  sync.Once
}

type queuedVote struct {
	store.KeptVote
	kept chan error
}

// errLogClosed: the program is ending.
var errLogClosed = errors.New("the program is ending; the vote is not kept")

// NewVoteLog starts a log; Close ends it.
func (s *Store) NewVoteLog() store.VoteLog {
	l := &voteLog{into: s, queue: make(chan queuedVote, votesAtOnce), done: make(chan struct{})}
	go l.run()
	return l
}

// Close ends the log. What was acknowledged is on the disk.
func (l *voteLog) Close() { l.stop.Do(func() { close(l.done) }) }

// Append keeps a vote and returns when it is on the disk. The same vote may be kept again.
func (l *voteLog) Append(ctx context.Context, v store.KeptVote) error {
	q := queuedVote{v, make(chan error, 1)}
	select {
	case l.queue <- q:
	case <-l.done:
		return errLogClosed
	case <-ctx.Done():
		return ctx.Err()
	}
	select {
	case err := <-q.kept:
		return err
	case <-l.done:
		return errLogClosed
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (l *voteLog) run() {
	for {
		select {
		case <-l.done:
			return
		case first := <-l.queue:
			batch := []queuedVote{first}
			for len(batch) < votesAtOnce && len(l.queue) > 0 {
				batch = append(batch, <-l.queue)
			}
			err := l.into.addVotes(batch)
			for i, q := range batch {
				if err != nil && len(batch) > 1 { // one vote that cannot be kept must not stop the others
					q.kept <- l.into.addVotes(batch[i : i+1])
					continue
				}
				q.kept <- err
			}
		}
	}
}

func (s *Store) addVotes(batch []queuedVote) error {
	return s.within(func(tx *sql.Tx) error {
		insert, err := tx.Prepare(`INSERT INTO class_votes (class, round, student, seq, choice, made, received)
		VALUES ($1, $2, $3, $4, $5, $6, $7) ON CONFLICT DO NOTHING`)
		if err != nil {
			return err
		}
		for _, q := range batch {
			choice, err := json.Marshal(q.Choice)
			if err != nil {
				return err
			}
			if q.Mends {
				if _, err := tx.Exec(`DELETE FROM class_votes WHERE class = $1 AND student = $2 AND round >= $3`, q.Class, q.Student, q.Round); err != nil {
					return err
				}
			}
			if _, err := insert.Exec(q.Class, q.Round, q.Student, q.Seq, string(choice), micro(q.Made), micro(q.Received)); err != nil {
				return err
			}
		}
		return nil
	})
}
