package page

import (
	"io"
	"net/http"
	"sync"
	"time"

	"secondpass/paper/wording"
)

// Disk is where everything is kept.
type Disk interface {
	// There is nil where it is found, which takes no time to say.
	There() error
	// Works is nil where it takes something to keep; that may take seconds.
	Works() error
}

// tryAgain is how often it is tried at most whether a disk in trouble works again.
const tryAgain = 2 * time.Second

// trouble is what is wrong with the disk, from the first change that failed until it takes something again.
type trouble struct {
	disk Disk
	mu   sync.Mutex
	// what is wrong, nil where nothing is; trying while it is tried again, which was begun at tried.
	what   error
	trying bool
	tried  time.Time
}

func (t *trouble) note(what error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.what = what; t.disk == nil {
		t.what = nil // nobody could tell when it is over
	}
}

// now is what is wrong. It waits for no disk: what is tried meanwhile is told the next time.
func (t *trouble) now(known func(error) error) error {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.disk == nil {
		return nil
	}
	if t.what == nil {
		if err := t.disk.There(); err != nil {
			t.what = known(err)
		}
	} else if !t.trying && time.Since(t.tried) >= tryAgain {
		t.trying, t.tried = true, time.Now()
		go func() {
			err := t.disk.Works()
			t.mu.Lock()
			defer t.mu.Unlock()
			if t.trying = false; err == nil {
				t.what = nil
			} else {
				t.what = known(err)
			}
		}()
	}
	return t.what
}

// KeptOn tells the site where everything is kept. From then on each page has a bar while that is in trouble.
func (s *Site) KeptOn(d Disk) { s.trouble.disk = d }

// standing is the sentence of the bar that stands on each page, "" while all is well.
func (s *Site) standing() string {
	what := s.trouble.now(func(err error) error {
		if k := s.knownAs(err); k != nil {
			return k.Err
		}
		return err
	})
	if what == nil {
		return ""
	}
	return wording.Capital(what.Error()) + ": nothing can be saved at the moment. What could not be saved stays on its page; this line goes when the disk works again."
}

// Standing answers the scripts of open pages with the sentence of the bar. That it answers at all tells them that the
// workbook is there.
func (s *Site) Standing(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	io.WriteString(w, s.standing())
}
