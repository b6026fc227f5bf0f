package club

import (
	"net/http"
	"sync"
	"time"

	"secondpass/face/web"
	"secondpass/face/web/page"
)

// booksHeld is how many workbooks are held ready at most; one takes a few MB.
const booksHeld = 200

// errFull: too many teachers are at work at once.
var errFull = page.Errorf(http.StatusServiceUnavailable, "Too many teachers are at work at once for this server. Try again in a minute.")

// book is the workbook of a teacher, made when it is first asked for.
type book struct {
	made            sync.Once
	failed          error
	server          *web.Server
	handler, phones http.Handler
	// inside is how many requests are in it, used when the last one came.
	inside int
	used   time.Time
}

// workbooks holds those that somebody works in, and closes the ones that were idle longest where there are too many.
type workbooks struct {
	open func(teacher int64) (*web.Server, error)
	mu   sync.Mutex
	by   map[int64]*book
	most int
}

func newWorkbooks(open func(teacher int64) (*web.Server, error)) *workbooks {
	return &workbooks{open: open, by: map[int64]*book{}, most: booksHeld}
}

// lobby is the workbook of nobody; it stays.
func (b *workbooks) lobby() (*book, error) {
	one := &book{}
	b.make(one, 0) // a teacher who is not there
	return one, one.failed
}

func (b *workbooks) make(one *book, teacher int64) {
	one.made.Do(func() {
		if one.server, one.failed = b.open(teacher); one.failed != nil {
			return
		}
		one.handler, one.phones = one.server.Handler(), one.server.Phones()
	})
}

// of is the workbook of a teacher, which stays open until leave is called.
func (b *workbooks) of(teacher int64) (one *book, leave func(), err error) {
	b.mu.Lock()
	one, ok := b.by[teacher]
	if !ok {
		if !b.makeRoom() {
			b.mu.Unlock()
			return nil, nil, errFull
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
		if one.failed != nil && b.by[teacher] == one {
			delete(b.by, teacher) // it is tried again
		}
	}
	b.make(one, teacher)
	if one.failed != nil {
		leave()
		return nil, nil, one.failed
	}
	return one, leave, nil
}

// makeRoom closes the workbook that was idle longest where there are too many; b.mu is held. False where all are in use.
func (b *workbooks) makeRoom() bool {
	if len(b.by) < b.most {
		return true
	}
	var oldest int64
	for teacher, one := range b.by {
		if one.inside == 0 && !one.server.Working() && (oldest == 0 || one.used.Before(b.by[oldest].used)) {
			oldest = teacher
		}
	}
	if oldest == 0 {
		return false
	}
	b.by[oldest].server.Close()
	delete(b.by, oldest)
	return true
}

// held is how many there are.
func (b *workbooks) held() float64 {
	b.mu.Lock()
	defer b.mu.Unlock()
	return float64(len(b.by))
}

// close ends all that goes on in them.
func (b *workbooks) close() {
	b.mu.Lock()
	defer b.mu.Unlock()
	var all sync.WaitGroup
	for _, one := range b.by {
		if one.server != nil {
			all.Go(one.server.Close)
		}
	}
	all.Wait()
	clear(b.by)
}
