package club

import (
	"context"
	"errors"
	"net/http"
	"sync"
	"time"

	"secondpass/face/web"
	"secondpass/face/web/page"
	"secondpass/store"
	"secondpass/store/sql"
)

const (
	// booksHeld is how many workbooks are held ready at most; one takes a few MB.
	booksHeld = 200
	// elsewhereKept bounds the memory that workbooks of other processes take.
	elsewhereKept = 4096
	// idle is how long nobody is in a workbook before another process may have it: after one was started again it gets its share.
	idle = 10 * time.Minute
)

// errFull: too many teachers are at work at once.
var errFull = page.Errorf(http.StatusServiceUnavailable, "Too many teachers are at work at once for this server. Try again in a minute.")

// book is the workbook of a teacher, made when it is first asked for.
type book struct {
	made            sync.Once
	failed          error
	server          *web.Server
	handler, phones http.Handler
	// mine is by what this process has it, nil where no other serves the club. at is where it is open instead.
	mine *sql.Store
	at   *sql.Peer
	// inside is how many requests are in it, used when the last one came.
	inside int
	used   time.Time
}

// workbooks holds those that somebody works in, and closes the ones that were idle longest where there are too many.
type workbooks struct {
	// open serves what a teacher keeps.
	open func(teacher int64, kept store.Store, files store.Files) (*web.Server, error)
	from Teachers
	// process is this one among those that serve the club; nil where it is alone.
	process *sql.Process

	mu   sync.Mutex
	by   map[int64]*book
	most int
	// elsewhere is in which processes other workbooks were, when they were last asked for.
	elsewhere map[int64]*sql.Peer
	// ending: nothing is opened any more.
	ending bool
}

func newWorkbooks(from Teachers, process *sql.Process, open func(int64, store.Store, store.Files) (*web.Server, error)) *workbooks {
	return &workbooks{open: open, from: from, process: process, by: map[int64]*book{}, most: booksHeld, elsewhere: map[int64]*sql.Peer{}}
}

// lobby is the workbook of nobody; it stays, in each process.
func (b *workbooks) lobby() (*book, error) {
	one := &book{}
	kept, files := b.from.Kept(0) // a teacher who is not there
	b.serve(one, 0, kept, files)
	return one, one.failed
}

func (b *workbooks) make(one *book, teacher int64) {
	one.made.Do(func() {
		if b.process == nil {
			kept, files := b.from.Kept(teacher)
			b.serve(one, teacher, kept, files)
			return
		}
		one.mine, one.at, one.failed = b.process.Take(teacher, func() { b.lost(teacher, one) })
		if one.mine != nil {
			b.serve(one, teacher, one.mine, one.mine.Files(nil))
		}
	})
}

func (b *workbooks) serve(one *book, teacher int64, kept store.Store, files store.Files) {
	if one.server, one.failed = b.open(teacher, kept, files); one.failed != nil {
		return
	}
	one.handler, one.phones = one.server.Handler(), one.server.Phones()
}

// of is the workbook of a teacher, which stays open until leave is called, or the other process in which it is open.
func (b *workbooks) of(teacher int64) (one *book, leave func(), at *sql.Peer, err error) {
	b.mu.Lock()
	one, ok := b.by[teacher]
	if !ok {
		if at := b.elsewhere[teacher]; at != nil {
			b.mu.Unlock()
			return nil, nil, at, nil
		}
		if b.ending {
			b.mu.Unlock()
			at, err := b.other()
			return nil, nil, at, err
		}
		if !b.makeRoom() {
			b.mu.Unlock()
			return nil, nil, nil, errFull
		}
		one = &book{}
		b.by[teacher] = one
	}
	one.inside++
	one.used = time.Now()
	b.mu.Unlock()
	leave = func() {
		b.mu.Lock()
		defer b.mu.Unlock()
		one.inside--
		one.used = time.Now()
		if one.server == nil && b.by[teacher] == one {
			delete(b.by, teacher) // it is tried again
		}
	}
	b.make(one, teacher)
	if one.server == nil {
		leave()
		b.found(teacher, one.at)
		return nil, nil, one.at, one.failed
	}
	return one, leave, nil, nil
}

// errEnding: this process ends, and there is no other.
var errEnding = page.Errorf(http.StatusServiceUnavailable, "The club is being started again. Try it once more in a moment.")

// other is a process that takes what this one takes no more.
func (b *workbooks) other() (*sql.Peer, error) {
	if b.process == nil {
		return nil, errEnding
	}
	at, err := b.process.Other()
	if err != nil || at == nil {
		return nil, errors.Join(errEnding, err)
	}
	return at, nil
}

// found keeps in mind where a workbook is.
func (b *workbooks) found(teacher int64, at *sql.Peer) {
	if at == nil {
		return
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if len(b.elsewhere) >= elsewhereKept {
		clear(b.elsewhere)
	}
	b.elsewhere[teacher] = at
}

// gone forgets that a workbook is in a process where it was not found.
func (b *workbooks) gone(teacher int64, at *sql.Peer) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.elsewhere[teacher] == at {
		delete(b.elsewhere, teacher)
	}
}

// lost closes a workbook that another process has taken: whoever looks at it comes back, and is led there.
func (b *workbooks) lost(teacher int64, one *book) {
	b.mu.Lock()
	if b.by[teacher] == one {
		delete(b.by, teacher)
	}
	b.mu.Unlock()
	one.made.Do(func() {}) // waits until it is made
	if one.server != nil {
		one.server.Close()
	}
}

// end closes a workbook and lets others have it.
func (b *workbooks) end(one *book) error {
	one.made.Do(func() {})
	if one.server != nil {
		one.server.Close()
	}
	if one.mine == nil {
		return nil
	}
	return b.process.GiveBack(one.mine)
}

// drop closes a workbook that is no more.
func (b *workbooks) drop(teacher int64) {
	b.mu.Lock()
	one := b.by[teacher]
	b.mu.Unlock()
	if one != nil {
		b.lost(teacher, one)
	}
}

// makeRoom closes the workbook that was idle longest where there are too many; b.mu is held. False where all are in use.
func (b *workbooks) makeRoom() bool {
	if len(b.by) < b.most {
		return true
	}
	var oldest int64
	for teacher, one := range b.by {
		if one.idle() && (oldest == 0 || one.used.Before(b.by[oldest].used)) {
			oldest = teacher
		}
	}
	if oldest == 0 {
		return false
	}
	b.put(oldest)
	return true
}

// put closes a workbook that is idle; b.mu is held.
func (b *workbooks) put(teacher int64) {
	one := b.by[teacher]
	one.server.Close()
	delete(b.by, teacher)
	if one.mine != nil {
		go b.process.GiveBack(one.mine) // where that fails this process still has it, and opens it when it is asked for
	}
}

// idle says that nobody is in it and nothing goes on.
func (one *book) idle() bool { return one.inside == 0 && one.server != nil && !one.server.Working() }

// rest closes, until ctx ends, those in which nobody was for a while, so that other processes can have them.
func (b *workbooks) rest(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-time.After(idle / 10):
		}
		b.closeIdle(time.Now().Add(-idle))
	}
}

// closeIdle closes those in which nobody was since a moment.
func (b *workbooks) closeIdle(since time.Time) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for teacher, one := range b.by {
		if one.idle() && one.used.Before(since) {
			b.put(teacher)
		}
	}
}

// held is how many there are.
func (b *workbooks) held() float64 {
	b.mu.Lock()
	defer b.mu.Unlock()
	return float64(len(b.by))
}

// noMore ends that workbooks are opened here.
func (b *workbooks) noMore() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.ending = true
}

// close ends all that goes on in them, and lets other processes have them.
func (b *workbooks) close() error {
	b.mu.Lock()
	open := make([]*book, 0, len(b.by))
	for _, one := range b.by {
		open = append(open, one)
	}
	b.mu.Unlock()
	errs := make([]error, len(open))
	var all sync.WaitGroup
	for i, one := range open {
		all.Go(func() { errs[i] = b.end(one) })
	}
	all.Wait()
	b.mu.Lock()
	clear(b.by)
	b.mu.Unlock()
	return errors.Join(errs...)
}
