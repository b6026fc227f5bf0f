package sql

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/gofrs/flock"

	"secondpass/store"
)

// usingName is the file that every open store locks together with the others, and alone who puts another file in place.
const usingName = "using.lock"

// There says that the database is gone, as when a disk was pulled out, or does not answer.
func (d *Database) There() error {
	if d.path == "" {
		return d.answers()
	}
	if _, err := os.Stat(d.path); err != nil {
		return &store.Trouble{What: store.ErrDisk, Cause: err}
	}
	return nil
}

// Works keeps that the teacher has changed something.
func (s *Store) Works() error {
	if err := s.There(); err != nil {
		return err
	}
	return s.within(func(*transaction) error { return nil })
}

// CopyTo puts everything that is kept into a new file, as it is at one moment, while all may go on.
func (d *Database) CopyTo(path string) error {
	copying, err := connect(d.path, 1, "")
	if err == nil {
		defer copying.Close()
		_, err = copying.Exec(`VACUUM INTO $1`, path)
	}
	if err == nil {
		err = os.Chmod(path, 0o600)
	}
	return store.OfDisk(told(err))
}

// Alone keeps all others from the database of a folder until it is let go; store.ErrBusy where somebody has it open.
func Alone(dir string) (letGo func(), err error) {
	opening, err := lockOpening(dir, patience)
	if err != nil {
		return nil, err
	}
	using := flock.New(filepath.Join(dir, usingName), flock.SetPermissions(0o600))
	ours, err := using.TryLock()
	if err == nil && !ours {
		err = &store.Trouble{What: store.ErrBusy, Cause: errors.New(usingName + " is locked")}
	}
	if err != nil {
		opening.Unlock()
		return nil, fmt.Errorf("the data folder %s cannot be had alone: %w", dir, store.OfDisk(err))
	}
	return func() { using.Unlock(); opening.Unlock() }, nil
}

// lockOpening waits its turn among programs that open the database of a folder: several that make the tables at once would
// trip over each other.
func lockOpening(dir string, patience time.Duration) (*flock.Flock, error) {
	opening := flock.New(filepath.Join(dir, openingName), flock.SetPermissions(0o600))
	for wait := waitFor(filepath.Join(dir, FileName), patience); ; time.Sleep(5 * time.Millisecond) {
		ours, err := opening.TryLock()
		if err == nil && !ours && wait.over() {
			err = &store.Trouble{What: store.ErrBusy, Cause: errors.New(openingName + " is locked")}
		}
		if err != nil {
			return nil, store.OfDisk(err)
		}
		if ours {
			return opening, nil
		}
	}
}
