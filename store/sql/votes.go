package sql

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"sync"

	"secondpass/store"
	"secondpass/teach/class"
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
			refused, err := l.into.addVotes(batch)
			for i, q := range batch {
				q.kept <- cmp.Or(err, refused[i])
			}
		}
	}
}

// addVotes keeps votes in one transaction. refused says which of them cannot be kept whatever the others do: they are left
// out. After err none is kept.
func (s *Store) addVotes(batch []queuedVote) (refused []error, err error) {
	refused = make([]error, len(batch))
	err = s.within(func(tx *transaction) error {
		clear(refused)
		missing := map[int64]error{} // by class; nil where it is there
		for i, q := range batch {
			err, asked := missing[q.Class]
			if !asked {
				err = hasClass(tx, q.Class)
				missing[q.Class] = err
			}
			if err == nil {
				err = addVote(tx, q.KeptVote)
			}
			if err != nil && !errors.Is(err, store.ErrNoClass) && !errors.Is(err, store.ErrOtherVote) {
				return err
			}
			refused[i] = err
		}
		return nil
	})
	return refused, err
}

// hasClass is store.ErrNoClass where there is no class of the number.
func hasClass(tx *transaction, id int64) error {
	var n int
	err := tx.QueryRow(`SELECT COUNT(*) FROM classes WHERE teacher = $1 AND id = $2`, id).Scan(&n)
	if err == nil && n == 0 {
		err = fmt.Errorf("%d: %w", id, store.ErrNoClass)
	}
	return err
}

// addVote keeps one vote of a class that is there.
func addVote(tx *transaction, v store.KeptVote) error {
	choice, err := json.Marshal(v.Choice)
	if err != nil {
		return err
	}
	if v.Mends {
		if _, err := tx.Exec(`DELETE FROM class_votes WHERE teacher = $1 AND class = $2 AND student = $3 AND round >= $4`, v.Class, v.Student, v.Round); err != nil {
			return err
		}
	}
	res, err := tx.Exec(`INSERT INTO class_votes (teacher, class, round, student, seq, choice, sum, made, received)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9) ON CONFLICT DO NOTHING`,
		v.Class, v.Round, v.Student, v.Seq, string(choice), sum("", string(choice)), micro(v.Made), micro(v.Received))
	if err != nil {
		return err
	}
	if n, err := res.RowsAffected(); err != nil || n > 0 {
		return err
	}
	return sameVote(tx, v, string(choice))
}

// sameVote sees whether what is kept under the number of a vote is that vote, and puts it there where what is there
// cannot be read.
func sameVote(tx *transaction, v store.KeptVote, choice string) error {
	const number = ` teacher = $1 AND class = $2 AND round = $3 AND student = $4 AND seq = $5`
	var kept, keptSum string
	if err := tx.QueryRow(`SELECT choice, sum FROM class_votes WHERE`+number, v.Class, v.Round, v.Student, v.Seq).Scan(&kept, &keptSum); err != nil {
		return err
	}
	if kept == choice && keptSum == sum("", choice) {
		return nil
	}
	var there class.Choice
	if unsummed(kept, keptSum, &there) == nil && there != v.Choice {
		return store.ErrOtherVote
	}
	_, err := tx.Exec(`UPDATE class_votes SET choice = $6, sum = $7 WHERE`+number, v.Class, v.Round, v.Student, v.Seq, choice, sum("", choice))
	return err
}
