package web

import (
	"context"
	"crypto/rand"
	"encoding/base64"
	"errors"
	"net/http"
	"slices"
	"sync"
	"time"

	"secondpass/face/web/page"
	"secondpass/paper/wording"
	"secondpass/store"
	"secondpass/teach/class"
)

// hall is the classes that somebody is in, as they stand.
type hall struct {
	store store.Store
	votes store.VoteLog
	now   func() time.Time
	// ended closes when the program ends.
	ended chan struct{}
	once  sync.Once

	mu      sync.Mutex
	rooms   map[int64]*room
	streams int
	guesses *limits // of codes
	taps    *limits // of each student
}

// Limits of streams: of all phones, and of one student, whose newest tab ends the oldest.
const (
	maxStreams = 3 * class.MaxStudents
	ownStreams = 4
)

func newHall(s store.Store) *hall {
	return &hall{store: s, votes: s.NewVoteLog(), now: time.Now, ended: make(chan struct{}), rooms: map[int64]*room{}, guesses: newGuesses(), taps: newTaps()}
}

// close ends the log of votes; what was acknowledged is on the disk.
func (h *hall) close() {
	h.once.Do(func() { close(h.ended) })
	h.votes.Close()
}

// room is one class. Its mutex guards all of it; what it says is on the disk is there.
type room struct {
	hall *hall
	mu   sync.Mutex
	*store.SavedClass
	// phones is told what students see, desk what only the teacher sees.
	phones, desk bell
	timer        *time.Timer
	// open are the streams of each student, oldest first.
	open map[int][]*phoneStream
	// judging is the number of the round that is being judged, 0 for none; soFar what is known of it.
	judging int
	soFar   *class.Judgement
	failed  string // why the last judgement failed
	// screen is what all phones show, made when it is first asked for after a change.
	screen *screen
	// walks are, in a duplicate class, the students' routes.
	walks *walks
}

// bell wakes all who wait for a change.
type bell struct{ changed chan struct{} }

// wait is a channel that closes at the next ring; the room's mutex is held.
func (b *bell) wait() <-chan struct{} {
	if b.changed == nil {
		b.changed = make(chan struct{})
	}
	return b.changed
}

func (b *bell) ring() {
	if b.changed != nil {
		close(b.changed)
		b.changed = nil
	}
}

// tell says that something changed which the phones show; the room's mutex is held.
func (rm *room) tell() {
	rm.screen = nil
	rm.phones.ring()
	rm.desk.ring()
}

// room is a class as it stands. One that is met for the first time since the program started goes on where it was: a
// vote that was open waits a little longer, for phones to send again what they kept.
func (h *hall) room(id int64) (*room, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if rm, ok := h.rooms[id]; ok {
		return rm, nil
	}
	c, err := h.store.LoadClass(id)
	if errors.Is(err, store.ErrNoClass) {
		return nil, page.NotFound("There is no class %d.", id)
	}
	if err != nil {
		return nil, err
	}
	rm := h.seat(c)
	rm.mu.Lock()
	defer rm.mu.Unlock()
	if r := rm.Round(); r != nil && rm.Ended.IsZero() && !r.Counted {
		r.Resume(h.now())
		if err := h.store.SaveRound(rm.ID, r); err != nil {
			return nil, err
		}
		rm.setTimer()
	}
	return rm, nil
}

// seat makes the room of a class; h.mu is held.
func (h *hall) seat(c *store.SavedClass) *room {
	rm := &room{hall: h, SavedClass: c, open: map[int][]*phoneStream{}}
	h.rooms[c.ID] = rm
	return rm
}

// add keeps a new class under a code that nobody else has.
func (h *hall) add(c *class.Class, exercise int64) (*room, error) {
	key, err := secret()
	if err != nil {
		return nil, err
	}
	for {
		code, err := class.NewCode(rand.Reader)
		if err != nil {
			return nil, err
		}
		saved := &store.SavedClass{Code: code, Key: key, Exercise: exercise, Class: c}
		err = h.store.AddClass(saved)
		if errors.Is(err, store.ErrNameTaken) {
			continue
		}
		if err != nil {
			return nil, err
		}
		h.mu.Lock()
		defer h.mu.Unlock()
		return h.seat(saved), nil
	}
}

// forget takes a class that was deleted out of memory.
func (h *hall) forget(rm *room) {
	h.mu.Lock()
	delete(h.rooms, rm.ID)
	h.mu.Unlock()
	rm.mu.Lock()
	defer rm.mu.Unlock()
	if rm.timer != nil {
		rm.timer.Stop()
	}
	for _, streams := range rm.open {
		for _, p := range streams {
			p.end()
		}
	}
	rm.tell()
}

// secret is 128 random bits as text that may stand in an address.
func secret() (string, error) {
	b := make([]byte, 16)
	if _, err := rand.Read(b); err != nil {
		return "", err
	}
	return base64.RawURLEncoding.EncodeToString(b), nil
}

// setTimer wakes the room when its vote changes by itself; the room's mutex is held.
func (rm *room) setTimer() {
	if rm.timer != nil {
		rm.timer.Stop()
	}
	r := rm.Round()
	if r == nil || !rm.Ended.IsZero() {
		return
	}
	next := r.Tick(rm.hall.now())
	if next.IsZero() {
		return
	}
	rm.timer = time.AfterFunc(next.Sub(rm.hall.now()), func() {
		rm.mu.Lock()
		defer rm.mu.Unlock()
		if rm.Round() != r {
			return
		}
		r.Tick(rm.hall.now())
		// What is kept here only spares the grace after a restart: the votes themselves are on the disk.
		rm.hall.store.SaveRound(rm.ID, r)
		rm.tell()
		rm.setTimer()
	})
}

// join lets a student in and returns what the phone is known by.
func (rm *room) join(name string) (class.Student, string, error) {
	token, err := secret()
	if err != nil {
		return class.Student{}, "", err
	}
	rm.mu.Lock()
	defer rm.mu.Unlock()
	st, err := rm.Join(name, rm.hall.now())
	if err != nil {
		return st, "", err
	}
	if err := rm.hall.store.AddClassStudent(rm.ID, st, token); err != nil {
		rm.Students = rm.Students[:len(rm.Students)-1]
		return st, "", err
	}
	rm.Tokens[token] = st.ID
	rm.desk.ring()
	return st, token, nil
}

// keep takes in a message of a student and returns once the choice is on the disk.
func (rm *room) keep(ctx context.Context, student, round int, v class.Vote) (class.Kept, error) {
	rm.mu.Lock()
	kept, err := rm.Keep(student, round, v)
	if kept == class.Taken {
		rm.desk.ring()
	}
	rm.mu.Unlock()
	switch {
	case errors.Is(err, class.ErrClosed), errors.Is(err, class.ErrEnded), errors.Is(err, class.ErrNoVote):
		return 0, errVoteClosed
	case err != nil:
		return 0, page.Refused("%s.", wording.Capital(err.Error()))
	case kept == class.Older:
		return kept, nil
	}
	// The same message once more may mean that it did not reach the disk the first time.
	return kept, rm.hall.votes.Append(ctx, store.KeptVote{Class: rm.ID, Round: round, Student: student, Vote: v})
}

// phoneStream is one stream to a student's phone; end ends it.
type phoneStream struct{ end context.CancelFunc }

// enter counts a stream of a student until leave is called. end is called when newer ones take its place.
func (rm *room) enter(student int, end context.CancelFunc) (leave func(), err error) {
	h := rm.hall
	h.mu.Lock()
	if h.streams >= maxStreams {
		h.mu.Unlock()
		return nil, page.Errorf(http.StatusServiceUnavailable, "Too many phones are connected at once. This one tries again by itself.")
	}
	h.streams++
	h.mu.Unlock()
	rm.mu.Lock()
	defer rm.mu.Unlock()
	p := &phoneStream{end}
	rm.open[student] = append(rm.open[student], p)
	if own := rm.open[student]; len(own) > ownStreams {
		own[0].end()
	}
	rm.desk.ring()
	return func() {
		h.mu.Lock()
		h.streams--
		h.mu.Unlock()
		rm.mu.Lock()
		defer rm.mu.Unlock()
		rm.open[student] = slices.DeleteFunc(rm.open[student], func(other *phoneStream) bool { return other == p })
		rm.desk.ring()
	}, nil
}

// connected is how many students have a stream; the room's mutex is held.
func (rm *room) connected() (n int) {
	for _, streams := range rm.open {
		if len(streams) > 0 {
			n++
		}
	}
	return n
}
