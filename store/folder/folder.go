// Package folder is a data folder as a whole: who serves it, its backups and snapshots, and whether all that is in it is
// sound. What stands in it is the business of packages store/sql and store/files.
package folder

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/gofrs/flock"

	"secondpass/store"
	"secondpass/store/files"
)

// servingLock is locked by the server of a folder, servingAt says where it answers.
const (
	servingLock = "serving.lock"
	servingAt   = "serving.txt"
)

// ErrServed: a folder has one server, since what a second one shows of a class would not be what the first one knows.
var ErrServed = errors.New("the data folder is served already")

// Serving is the right to serve a folder, until it is released.
type Serving struct {
	dir  string
	lock *flock.Flock
}

// Serve takes the right to serve a folder, making the folder where it is not there; ErrServed says where another program
// serves it. What programs that were killed left half written is swept away.
func Serve(dir string) (*Serving, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("the data folder cannot be made: %w", store.OfDisk(err))
	}
	lock := flock.New(filepath.Join(dir, servingLock), flock.SetPermissions(0o600))
	ours, err := lock.TryLock()
	if err != nil {
		return nil, fmt.Errorf("the data folder %s cannot be used: %w", dir, store.OfDisk(err))
	}
	if !ours {
		where := ""
		if at, err := os.ReadFile(filepath.Join(dir, servingAt)); err == nil {
			where = ", at " + strings.TrimSpace(string(at))
		}
		return nil, fmt.Errorf("%w%s: open that, or give another folder with --data", ErrServed, where)
	}
	files.Sweep(dir, time.Hour)
	return &Serving{dir, lock}, nil
}

// At tells others where the folder is served.
func (s *Serving) At(address string) error {
	return files.Write(filepath.Join(s.dir, servingAt), []byte(address+"\n"))
}

// Release lets another program serve the folder.
func (s *Serving) Release() error {
	os.Remove(filepath.Join(s.dir, servingAt)) // one that stays says where nobody answers, and only while nobody serves
	return s.lock.Unlock()
}
