// Package folder is a data folder as a whole: who serves it, its backups and snapshots, and whether all that is in it is
// sound. What stands in it is the business of packages store/sql and store/files.
package folder

import (
	"cmp"
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

// Served is the error of a folder that another program serves: a folder has one server, since what a second one shows of a class
// would not be what the first one knows.
type Served struct {
	// At is where that answers, Opens how its owner opens it, with the key where it asks for one; both are "" before it is known.
	At, Opens string
}

func (s *Served) Error() string {
	where := ""
	if s.At != "" {
		where = ", at " + s.At
	}
	return "the data folder is served already" + where + ": open that, or give another folder with --data"
}

// Serving is the right to serve a folder, until it is released.
type Serving struct {
	dir  string
	lock *flock.Flock
}

// Serve takes the right to serve a folder, making the folder where it is not there; [Served] is the error where another program
// serves it. What programs that were killed left half written is swept away.
func Serve(dir string) (*Serving, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, unusable(dir, "made", err)
	}
	lock := flock.New(filepath.Join(dir, servingLock), flock.SetPermissions(0o600))
	ours, err := lock.TryLock()
	if err != nil {
		return nil, unusable(dir, "used", err)
	}
	if !ours {
		told, _ := os.ReadFile(filepath.Join(dir, servingAt)) // one that is starting has told nothing yet
		at, opens, _ := strings.Cut(strings.TrimSpace(string(told)), "\n")
		return nil, &Served{at, cmp.Or(opens, at)}
	}
	os.Remove(filepath.Join(dir, servingAt)) // what one that was killed has left
	files.Sweep(dir, time.Hour)
	return &Serving{dir, lock}, nil
}

// unusable says which folder it is with which something cannot be done.
func unusable(dir, done string, err error) error {
	if err = store.OfDisk(err); errors.Is(err, store.ErrReadOnly) {
		return fmt.Errorf("%w; it is %s", err, dir)
	}
	return fmt.Errorf("the data folder %s cannot be %s: %w", dir, done, err)
}

// At tells others where the folder is served, and how its owner opens it there; the file is its owner's alone.
func (s *Serving) At(address, opens string) error {
	return files.Write(filepath.Join(s.dir, servingAt), []byte(address+"\n"+opens+"\n"))
}

// Release lets another program serve the folder.
func (s *Serving) Release() error {
	os.Remove(filepath.Join(s.dir, servingAt)) // one that stays is removed by the next
	return s.lock.Unlock()
}
