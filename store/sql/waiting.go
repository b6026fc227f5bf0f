package sql

import (
	"os"
	"time"
)

const (
	// patience is how long one waits for others who do not get on before that fails.
	patience = 10 * time.Second
	// longest is how many times as long one waits for others who do get on: on a machine that has much else to do, many
	// changes in a row take their time, and each is soon followed by the next.
	longest = 12
)

// waiting is how long somebody has waited for others who use a database, and whether they got on meanwhile.
type waiting struct {
	path         string
	patience     time.Duration
	begun, moved time.Time
	stood        [2]stamp
}

// stamp is what a change leaves on a file.
type stamp struct {
	size    int64
	changed time.Time
}

func waitFor(path string, patience time.Duration) *waiting {
	w := &waiting{path: path, patience: patience, begun: time.Now()}
	w.moved, w.stood = w.begun, w.stands()
	return w
}

// stands is how the database and its log stand; what is not there has no stamp.
func (w *waiting) stands() (now [2]stamp) {
	for i, path := range []string{w.path, w.path + "-wal"} {
		if info, err := os.Stat(path); err == nil {
			now[i] = stamp{info.Size(), info.ModTime()}
		}
	}
	return now
}

// over says that it has been long enough.
func (w *waiting) over() bool {
	now := time.Now()
	if stands := w.stands(); stands != w.stood {
		w.stood, w.moved = stands, now
	}
	return now.Sub(w.moved) >= w.patience || now.Sub(w.begun) >= longest*w.patience
}
