// Package sql keeps exercises, drills, students, lessons and classes in a database in the user's data folder: SQLite, in
// one file. Its statements are such as other databases take too.
//
// Each change is one transaction that is on the disk when its method returns, so that a program killed at any moment
// loses nothing. What is kept of an exercise is its file; it is checked whenever it is read.
package sql

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"github.com/gofrs/flock"
	_ "modernc.org/sqlite" // registers the driver "sqlite"

	"secondpass/store"
)

// FileName is the name of the database in the data folder.
const FileName = "secondpass.db"

// openingName is the file that is locked while a program opens the database.
const openingName = "opening.lock"

const (
	// readers is how many reads of one program go on at once.
	readers = 4
	// foldAfter is how long after a change the log is folded into the file, so that the file alone holds everything.
	foldAfter = time.Second
)

// Store is an open database. It may be used by several goroutines, and the file by several
// programs at once.
type Store struct {
	// writer has one connection, since SQLite takes one writer at a time: changes of one program wait for each other here
	// in turn, and only those of different programs for the lock of the file. db is for reading, beside them.
	writer, db          *sql.DB
	path                string
	using               *flock.Flock
	patience, foldAfter time.Duration
	fold                folding
	// Clock tells the time of a change; tests may set it.
	Clock func() time.Time
}

var _ store.Store = (*Store)(nil)

// Open opens the database in a folder, making both when they are not there. One of an earlier version is brought up to date; a copy
// of it is kept.
func Open(dir string) (*Store, error) {
	path := filepath.Join(dir, FileName)
	s, err := openIn(dir, path)
	if err != nil {
		return nil, fmt.Errorf("the data file %s cannot be used: %w", path, told(err))
	}
	return s, nil
}

func openIn(dir, path string) (s *Store, err error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, store.OfDisk(err)
	}
	opening, err := lockOpening(dir, patience)
	if err != nil {
		return nil, err
	}
	defer opening.Unlock()
	s = &Store{path: path, patience: patience, foldAfter: foldAfter, Clock: time.Now,
		using: flock.New(filepath.Join(dir, usingName), flock.SetPermissions(0o600))}
	defer func() {
		if err != nil {
			s.closeAll()
		}
	}()
	if _, err := s.using.TryRLock(); err != nil { // whoever uses it alone has the lock of opening too
		return nil, store.OfDisk(err)
	}
	if err := ownersAlone(path); err != nil {
		return nil, store.OfDisk(err)
	}
	if s.writer, err = connect(path, 1, ""); err != nil {
		return nil, err
	}
	if s.db, err = connect(path, readers, "&_pragma=query_only(1)"); err != nil {
		return nil, err
	}
	return s, asMade(migrate(s.writer, 0, s.keepEarlier))
}

// ownersAlone makes the file where it is not there, and shuts it to others: it holds names of students. The files that
// SQLite puts beside it take after it.
func ownersAlone(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return err
	}
	defer f.Close()
	info, err := f.Stat()
	if err == nil && info.Mode().Perm()&0o077 != 0 {
		err = f.Chmod(0o600)
	}
	return err
}

// connect opens the file with so many connections at most. Waiting is left to within, but for the short moments in which
// SQLite itself needs the file alone.
func connect(path string, most int, more string) (*sql.DB, error) {
	// The path goes into a URI, where these three would end it or start an escape.
	path = strings.NewReplacer("%", "%25", "?", "%3f", "#", "%23").Replace(filepath.ToSlash(path))
	db, err := sql.Open("sqlite", "file:"+path+"?_pragma=busy_timeout(2000)&_pragma=journal_mode(WAL)"+
		"&_pragma=synchronous(FULL)&_pragma=foreign_keys(1)&_txlock=immediate"+more)
	if err == nil {
		db.SetMaxOpenConns(most)
	}
	return db, err
}

// Close folds the log into the file and closes the database.
func (s *Store) Close() error {
	s.fold.stop()
	_, err := s.writer.Exec(`PRAGMA wal_checkpoint(TRUNCATE)`) // not where others still read; they will
	if repeatable(err) {
		err = nil
	}
	return errors.Join(err, s.closeAll())
}

func (s *Store) closeAll() error {
	var err error
	for _, db := range []*sql.DB{s.db, s.writer} {
		if db != nil {
			err = errors.Join(err, db.Close())
		}
	}
	return errors.Join(err, s.using.Unlock())
}

// Now is the time of a change.
func (s *Store) Now() time.Time { return s.Clock() }

// within does work in one transaction that is on the disk when it returns; after an error nothing of it is kept. Where
// the database asks for it, the same is tried again, so that work must leave what it was given as it was until it is
// sure: what it changes in memory is changed after within.
func (s *Store) within(work func(tx *sql.Tx) error) error {
	wait := waitFor(s.path, s.patience)
	for pause := time.Millisecond; ; pause = min(2*pause, 50*time.Millisecond) {
		err := s.try(wait, work)
		if err == nil {
			s.fold.soon(s.foldAfter, s.foldIn)
			return nil
		}
		if repeatable(err) && !wait.over() {
			time.Sleep(rand.N(pause)) // two that fell over each other should not do so again
			continue
		}
		if said := told(err); said != err {
			return fmt.Errorf("not saved: %w", said)
		}
		return err
	}
}

func (s *Store) try(wait *waiting, work func(tx *sql.Tx) error) error {
	conn, err := s.turn(wait)
	if err != nil {
		return err
	}
	defer conn.Close()
	tx, err := conn.BeginTx(context.Background(), nil)
	if err != nil {
		return err
	}
	defer tx.Rollback() // does nothing after Commit
	if err := work(tx); err != nil {
		return err
	}
	return tx.Commit()
}

// turn waits for the connection that writes. That wait ends, a transaction once begun does not.
func (s *Store) turn(wait *waiting) (*sql.Conn, error) {
	for {
		ctx, cancel := context.WithTimeout(context.Background(), s.patience/4)
		conn, err := s.writer.Conn(ctx)
		late := ctx.Err() != nil
		cancel()
		switch {
		case err == nil || !late:
			return conn, err
		case wait.over():
			return nil, &store.Trouble{What: store.ErrBusy, Cause: err}
		}
	}
}

// next is a number for something new of a table. No number is given twice, also when what had it is deleted.
func next(tx *sql.Tx, table string) (id int64, err error) {
	err = tx.QueryRow(`INSERT INTO counters (name, last) VALUES ($1, 1)
		ON CONFLICT (name) DO UPDATE SET last = counters.last + 1 RETURNING last`, table).Scan(&id)
	return id, err
}

// foldIn moves the log into the file, as far as no reader is in the way; it holds up nobody.
func (s *Store) foldIn() { _, _ = s.db.Exec(`PRAGMA wal_checkpoint(PASSIVE)`) }

// folding is the next time that the log is folded in.
type folding struct {
	mu      sync.Mutex
	due     *time.Timer
	stopped bool
	running sync.WaitGroup
}

// soon does work after a while, once for all who ask meanwhile.
func (f *folding) soon(after time.Duration, work func()) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.stopped || f.due != nil {
		return
	}
	f.due = time.AfterFunc(after, func() {
		f.mu.Lock()
		f.due = nil
		stopped := f.stopped
		if !stopped {
			f.running.Add(1)
		}
		f.mu.Unlock()
		if !stopped {
			defer f.running.Done()
			work()
		}
	})
}

// stop waits for what is being done and lets nothing else begin.
func (f *folding) stop() {
	f.mu.Lock()
	f.stopped = true
	if f.due != nil {
		f.due.Stop()
	}
	f.mu.Unlock()
	f.running.Wait()
}
