package hall

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"secondpass/store"
	"secondpass/teach/class"
	"secondpass/teach/lesson"
)

// State is a class at one moment, as it is on the disk. It never changes, and nobody may write to what it holds.
type State struct {
	// Code and Link let students in, "" while nobody can join. A class of an earlier program has no link.
	Code, Link string
	*class.Class
	// Connected is how many students have a stream.
	Connected int
	// Judging is the number of the round that is being judged, 0 for none; SoFar what is known of it.
	Judging int
	SoFar   *class.Judgement
	// Failed says why the last judgement failed.
	Failed string
	// Unsaved says what could not be written last; "" where all is on the disk.
	Unsaved string
	// Unread names what of the class is on the disk and cannot be read.
	Unread []string
	// Problem says why a duplicate class cannot go on; "" where it can.
	Problem string
	// Shown counts the changes that phones show.
	Shown int64

	// walks are, in a duplicate class, how far each student is.
	walks         map[int]*Walk
	phones, staff chan struct{}
}

// PhonesChange is closed when there is a newer state of which phones show a difference.
func (s *State) PhonesChange() <-chan struct{} { return s.phones }

// Changed is closed when there is a newer state.
func (s *State) Changed() <-chan struct{} { return s.staff }

// Room is one class. Its methods may be called by several goroutines; Now never waits for the others.
type Room struct {
	hall *Hall
	ID   int64
	// Key lets the teacher act.
	Key string
	// Exercise is the number of the exercise that the class works on, 0 where it works on Lesson, which is nil otherwise.
	Exercise int64
	Lesson   *lesson.Lesson

	now atomic.Pointer[State]

	// mu is held by whoever changes the class, also while that is written.
	mu sync.Mutex
	// phones are under how many names each phone has joined.
	phones map[string]int
	// writing is how many votes are on their way to the disk: no round is counted without them.
	writing int
	timer   *time.Timer
	gone    bool
	// open are the streams of each student, oldest first.
	open map[int][]*stream
	deal *deal
	// gaps are those of the class as it was loaded; see [store.SavedClass].
	gaps map[int]int
	// turns are full, in a duplicate class, while a student's decision is on its way to the disk.
	turns map[int]chan struct{}
}

func newRoom(h *Hall, c *store.SavedClass) *Room {
	rm := &Room{hall: h, ID: c.ID, Key: c.Key, Exercise: c.Exercise, Lesson: c.Lesson, phones: maps.Clone(c.Phones), gaps: c.Gaps, open: map[int][]*stream{}, turns: map[int]chan struct{}{}}
	if rm.phones == nil {
		rm.phones = map[string]int{}
	}
	rm.now.Store(&State{Code: c.Code, Link: c.Link, Unread: c.Unread, Class: c.Class, phones: make(chan struct{}), staff: make(chan struct{})})
	return rm
}

// Now is the class as it stands.
func (rm *Room) Now() *State { return rm.now.Load() }

// draft is a copy of the state that may be changed and published; rm.mu is held.
func (rm *Room) draft() *State {
	next := *rm.Now()
	next.Class = next.Class.Clone()
	return &next
}

// audience is who sees a change.
type audience bool

const (
	teacher   audience = false
	everybody audience = true
)

// publish makes a draft the state and wakes those who wait for a change; rm.mu is held.
func (rm *Room) publish(next *State, seen audience) {
	old := rm.Now()
	next.staff = make(chan struct{})
	if seen == everybody {
		next.phones = make(chan struct{})
		next.Shown++
	}
	rm.now.Store(next)
	close(old.staff)
	if seen == everybody {
		close(old.phones)
	}
}

// saved is a state as the store keeps it.
func (rm *Room) saved(s *State) *store.SavedClass {
	return &store.SavedClass{ID: rm.ID, Code: s.Code, Link: s.Link, Key: rm.Key, Exercise: rm.Exercise, Lesson: rm.Lesson, Class: s.Class}
}

// keep writes a draft and publishes it, or says why what it changes could not be saved; rm.mu is held.
func (rm *Room) keep(next *State, seen audience, what string, write func() error) error {
	if err := write(); err != nil {
		return rm.unsaved(what, err)
	}
	next.Unsaved = ""
	rm.publish(next, seen)
	return nil
}

// unsaved tells the teacher of a write that failed; rm.mu is held.
func (rm *Room) unsaved(what string, err error) error {
	e := notSaved(what, err)
	next := *rm.Now()
	if next.Unsaved == "" { // the others would say the same
		rm.hall.log.Error("not saved", "class", rm.ID, "what", what, "error", err)
	}
	next.Unsaved = e.Text
	rm.publish(&next, teacher)
	return e
}

// Join lets a student in and returns what the student is known by. phone is what the phone is known by: it joins under a
// few names and no more.
func (rm *Room) Join(name, phone string) (class.Student, string, error) {
	token, err := secret()
	if err != nil {
		return class.Student{}, "", err
	}
	rm.mu.Lock()
	defer rm.mu.Unlock()
	if n := rm.phones[phone]; n >= class.MaxNames {
		return class.Student{}, "", &Error{Kind: Wrong, Text: fmt.Sprintf("This phone has joined under %d names, which is the most. Come back with the one you have, or ask the teacher.", n)}
	}
	next := rm.draft()
	st, err := next.Join(name, rm.hall.now())
	if err != nil {
		return st, "", wrong("", err)
	}
	if rm.deal != nil {
		next.walks = maps.Clone(next.walks)
		next.walks[st.ID] = rm.deal.start(st.ID)
	}
	err = rm.keep(next, teacher, "That "+st.Name+" has joined", func() error { return rm.hall.store.AddClassStudent(rm.ID, st, token, phone) })
	if err != nil {
		return st, "", err
	}
	rm.hall.places.Store(token, place{rm, st.ID})
	rm.phones[phone]++
	return st, token, nil
}

// Remove takes a student out, with the answers, for good. One who is out already is no error.
func (rm *Room) Remove(student int) error {
	rm.mu.Lock()
	defer rm.mu.Unlock()
	next := rm.draft()
	st, err := next.Remove(student)
	if err != nil {
		return nil
	}
	next.walks = maps.Clone(next.walks)
	delete(next.walks, student)
	err = rm.keep(next, everybody, "That "+st.Name+" is taken out", func() error { return rm.hall.store.RemoveClassStudent(rm.ID, student) })
	if err != nil {
		return err
	}
	for _, s := range rm.open[student] {
		s.end()
	}
	return nil
}

// LetIn says whether students can join. Code and link stop working when they cannot, and there are others when they can
// again; those who are in stay.
func (rm *Room) LetIn(open bool) error {
	rm.mu.Lock()
	defer rm.mu.Unlock()
	next := rm.draft()
	switch {
	case !next.Ended.IsZero():
		return wrong("", class.ErrEnded)
	case open == (next.Code != ""):
		return nil
	}
	next.Code, next.Link = "", ""
	if open {
		var err error
		if next.Code, err = rm.hall.freeCode(); err != nil {
			return err
		}
		if next.Link, err = secret(); err != nil {
			return err
		}
	}
	return rm.keep(next, teacher, "Whether students can join", func() error { return rm.hall.store.SaveClass(rm.saved(next)) })
}

// ShowRanking shows the ranking of a duplicate class to the class, or hides it.
func (rm *Room) ShowRanking(show bool) error {
	rm.mu.Lock()
	defer rm.mu.Unlock()
	next := rm.draft()
	next.Ranking = show
	return rm.keep(next, everybody, "Whether the ranking shows", func() error { return rm.hall.store.SaveClass(rm.saved(next)) })
}

// End ends the class: its code lets nobody in any more. Ending twice is no error.
func (rm *Room) End() error {
	rm.mu.Lock()
	defer rm.mu.Unlock()
	rm.advance()
	next := rm.draft()
	if !next.Ended.IsZero() {
		return nil
	}
	if err := next.End(rm.hall.now()); err != nil {
		return wrong("The class goes on", err)
	}
	next.Code, next.Link = "", ""
	return rm.keep(next, everybody, "The end of the class", func() error { return rm.hall.store.SaveClass(rm.saved(next)) })
}

// leave ends what goes on by itself; rm.mu is held.
func (rm *Room) leave() {
	rm.gone = true
	rm.stopTimer()
	for _, streams := range rm.open {
		for _, s := range streams {
			s.end()
		}
	}
}

// stream is one stream to a student's phone; end ends it.
type stream struct{ end context.CancelFunc }

// Enter counts a stream of a student until leave is called. end is called when newer ones take its place.
func (rm *Room) Enter(student int, end context.CancelFunc) (leave func(), err error) {
	h := rm.hall
	h.mu.Lock()
	if h.streams >= maxStreams {
		h.mu.Unlock()
		return nil, &Error{Kind: Crowded, Text: "Too many phones are connected at once. This one tries again by itself."}
	}
	h.streams++
	h.mu.Unlock()
	rm.mu.Lock()
	defer rm.mu.Unlock()
	own := &stream{end}
	rm.open[student] = append(rm.open[student], own)
	if all := rm.open[student]; len(all) > ownStreams {
		all[0].end()
	}
	rm.count()
	return func() {
		h.mu.Lock()
		h.streams--
		h.mu.Unlock()
		rm.mu.Lock()
		defer rm.mu.Unlock()
		rm.open[student] = slices.DeleteFunc(rm.open[student], func(other *stream) bool { return other == own })
		rm.count()
	}, nil
}

// count publishes how many students are connected; rm.mu is held.
func (rm *Room) count() {
	n := 0
	for _, streams := range rm.open {
		if len(streams) > 0 {
			n++
		}
	}
	if next := *rm.Now(); next.Connected != n {
		next.Connected = n
		rm.publish(&next, teacher)
	}
}

// Touch tells the teacher's screen that something beside the class has changed which it shows.
func (rm *Room) Touch() { rm.change(func(*State) {}) }

// exercise is the class's exercise as it stands on the sheet.
func (rm *Room) exercise() (*store.Saved, error) {
	return rm.hall.store.Load(itoa(rm.Exercise))
}
