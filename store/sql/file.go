package sql

import (
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"github.com/gofrs/flock"
	"github.com/pressly/goose/v3"
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

// Open opens the database in a folder, making both when they are not there. One of an earlier version is brought up to date; a copy
// of it is kept.
func Open(dir string) (*Store, error) {
	path := filepath.Join(dir, FileName)
	d, err := openIn(dir, path)
	if err != nil {
		return nil, fmt.Errorf("the data file %s cannot be used: %w", path, told(err))
	}
	s := d.For(OnlyTeacher)
	s.whole = true
	return s, nil
}

func openIn(dir, path string) (d *Database, err error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, store.OfDisk(err)
	}
	opening, err := lockOpening(dir, patience)
	if err != nil {
		return nil, err
	}
	defer opening.Unlock()
	d = &Database{path: path, patience: patience, foldAfter: foldAfter, Clock: time.Now, snapshot: sql.TxOptions{ReadOnly: true},
		using: flock.New(filepath.Join(dir, usingName), flock.SetPermissions(0o600))}
	defer func() {
		if err != nil {
			d.closeAll()
		}
	}()
	if _, err := d.using.TryRLock(); err != nil { // whoever uses it alone has the lock of opening too
		return nil, store.OfDisk(err)
	}
	if err := ownersAlone(path); err != nil {
		return nil, store.OfDisk(err)
	}
	if d.writer, err = connect(path, 1, ""); err != nil {
		return nil, err
	}
	if d.db, err = connect(path, readers, "&_pragma=query_only(1)"); err != nil {
		return nil, err
	}
	return d, asMade(migrate(d.writer, goose.DialectSQLite3, 0, d.keepEarlier))
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

// closeFile folds the log into the file and closes the database.
func (d *Database) closeFile() error {
	d.fold.stop()
	_, err := d.writer.Exec(`PRAGMA wal_checkpoint(TRUNCATE)`) // not where others still read; they will
	if repeatable(err) {
		err = nil
	}
	return errors.Join(err, d.closeAll())
}

func (d *Database) closeAll() error {
	var err error
	for _, db := range []*sql.DB{d.db, d.writer} {
		if db != nil {
			err = errors.Join(err, db.Close())
		}
	}
	return errors.Join(err, d.using.Unlock())
}

// foldIn moves the log into the file, as far as no reader is in the way; it holds up nobody.
func (d *Database) foldIn() { _, _ = d.db.Exec(`PRAGMA wal_checkpoint(PASSIVE)`) }

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
