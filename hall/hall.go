package hall

import (
	"context"
	"crypto/rand"
	"encoding/base64"
	"errors"
	"log/slog"
	"strconv"
	"sync"
	"time"

	"golang.org/x/sync/singleflight"

	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/teach/class"
)

// Store is where a hall keeps classes, and finds the exercises that they work on.
type Store interface {
	store.Classes
	Load(ref string) (*store.Saved, error)
	Save(x *store.Saved) error
}

// Rater says what a class wants to know of racks. It may be called by several goroutines.
type Rater interface {
	// Plans are the hands that may be named as a plan for a rack, the nearest first.
	Plans(c *card.Card, rack tile.Rack) ([]string, error)
	// Worth is a measure of what a seat has at the end of the passing: the tiles that none of the three nearest hands uses, and
	// the estimated chance to win, 0..1. The function that it returns is called by one goroutine at a time.
	Worth(e *exercise.Exercise) (func(charleston.View) (spares int, chance float64), error)
}

// Hall is the classes that somebody is in. Its methods may be called by several goroutines.
type Hall struct {
	store Store
	votes store.VoteLog
	rater Rater
	now   func() time.Time
	log   *slog.Logger
	ended chan struct{}
	once  sync.Once

	loading singleflight.Group
	mu      sync.Mutex
	rooms   map[int64]*Room
	streams int
	// places are who is known by a token: of a string a place.
	places  sync.Map
	guesses *Limits // of codes, by address
	// guessing is held while a code is looked up.
	guessing sync.Mutex
	taps     *Limits // of each student
	joins    *Limits // of names, by address
}

// steady is this machine's time, but that nobody can set it while the program runs: votes and phones go by it.
func steady() func() time.Time {
	begun := time.Now()
	return func() time.Time { return begun.Add(time.Since(begun)) }
}

// New is a hall over a store. now tells the time, nil for that of this machine.
func New(s Store, rater Rater, log *slog.Logger, now func() time.Time) *Hall {
	if now == nil {
		now = steady()
	}
	return &Hall{store: s, votes: s.NewVoteLog(), rater: rater, now: now, log: log, ended: make(chan struct{}), rooms: map[int64]*Room{},
		guesses: newGuesses(now), taps: newTaps(now), joins: newJoins(now)}
}

// Clock is the hall's time.
func (h *Hall) Clock() time.Time { return h.now() }

// Ended is closed when the program ends.
func (h *Hall) Ended() <-chan struct{} { return h.ended }

// Close ends the timers and the log of votes.
func (h *Hall) Close() {
	h.once.Do(func() { close(h.ended) })
	h.mu.Lock()
	rooms := make([]*Room, 0, len(h.rooms))
	for _, rm := range h.rooms {
		rooms = append(rooms, rm)
	}
	h.mu.Unlock()
	for _, rm := range rooms {
		rm.mu.Lock()
		rm.leave()
		rm.mu.Unlock()
	}
	h.votes.Close()
}

// Room is a class as it stands. One that is met for the first time since the program started goes on where it was: a
// vote that was open waits a little longer, for phones to send again what they kept.
func (h *Hall) Room(id int64) (*Room, error) {
	rm := h.known(id)
	if rm == nil {
		v, err, _ := h.loading.Do(itoa(id), func() (any, error) { return h.load(id) })
		if err != nil {
			return nil, err
		}
		rm = v.(*Room)
	}
	rm.prepare()
	return rm, nil
}

func (h *Hall) known(id int64) *Room {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.rooms[id]
}

func (h *Hall) load(id int64) (*Room, error) {
	if rm := h.known(id); rm != nil {
		return rm, nil
	}
	c, err := h.store.LoadClass(id)
	if errors.Is(err, store.ErrNoClass) {
		return nil, noClass(id)
	}
	if err != nil {
		h.log.Error("not read", "class", id, "error", err)
		return nil, unreadable(id, err)
	}
	if r := c.Round(); r != nil && c.Ended.IsZero() {
		// The longer time is not written: whoever loads the class again gives it again.
		r.Resume(h.now())
	}
	return h.seat(c), nil
}

// seat makes the room of a class.
func (h *Hall) seat(c *store.SavedClass) *Room {
	h.mu.Lock()
	rm, ok := h.rooms[c.ID]
	if !ok {
		rm = newRoom(h, c)
		h.rooms[c.ID] = rm
		for token, student := range c.Tokens {
			h.places.Store(token, place{rm, student})
		}
	}
	h.mu.Unlock()
	rm.prepare()
	rm.mu.Lock()
	defer rm.mu.Unlock()
	rm.advance()
	return rm
}

// ByCode is the class that a code lets into, as somebody at an address typed it. Wrong codes are counted by address, so
// that nobody can try them out; an address from which none came is let in whatever others do. The text may be that of
// the class's link instead, which nobody can guess, so that it lets in whatever else came from the address.
func (h *Hall) ByCode(address, text string) (*Room, error) {
	find := h.guess
	if len(text) == secretLength {
		find = func(_, link string) (int64, error) { return h.linked(link) }
	}
	id, err := find(address, text)
	if err != nil {
		return nil, err
	}
	return h.Room(id)
}

// linked finds the class of a link.
func (h *Hall) linked(link string) (int64, error) {
	id, err := h.store.ClassByCode(link)
	if errors.Is(err, store.ErrNoClass) {
		return 0, &Error{Kind: Unknown, Text: "No class is open under this link. Scan the square on the teacher's screen again; it changes when joining was closed."}
	}
	return id, err
}

// guess finds the class of a code, one at a time: nobody gets ahead of the count of wrong ones.
func (h *Hall) guess(address, text string) (int64, error) {
	h.guessing.Lock()
	defer h.guessing.Unlock()
	if !h.guesses.May(address) {
		return 0, &Error{Kind: TooOften, Text: "Too many wrong codes were tried. Wait a minute, then type the code from the teacher's screen."}
	}
	code, err := class.ParseCode(text)
	if err != nil {
		return 0, wrong("", err) // that was no guess
	}
	id, err := h.store.ClassByCode(code)
	if errors.Is(err, store.ErrNoClass) {
		h.guesses.Take(address)
		return 0, noCode(code)
	}
	return id, err
}

// place is a student's in a class that somebody is in.
type place struct {
	room    *Room
	student int
}

// Knows says whether a token is that of a student in a class that somebody is in. It asks no disk.
func (h *Hall) Knows(token string) bool {
	_, ok := h.places.Load(token)
	return ok
}

// maxToken is the most characters of what a phone is known by.
const maxToken = 64

// ByToken is who a phone is, and in which class.
func (h *Hall) ByToken(token string) (*Room, class.Student, error) {
	if token == "" || len(token) > maxToken {
		return nil, class.Student{}, ErrNoPlace
	}
	if !h.Knows(token) {
		id, err := h.store.ClassOf(token)
		if errors.Is(err, store.ErrNoClass) {
			return nil, class.Student{}, ErrNoPlace
		}
		if err != nil {
			return nil, class.Student{}, err
		}
		if _, err := h.Room(id); err != nil {
			return nil, class.Student{}, err
		}
	}
	p, ok := h.places.Load(token)
	if !ok {
		return nil, class.Student{}, ErrNoPlace
	}
	rm := p.(place).room
	rm.prepare()
	st, err := rm.Now().Student(p.(place).student)
	if err != nil {
		return nil, st, ErrNoPlace // was taken out
	}
	return rm, st, nil
}

// Tap counts a message of a phone; an error says that it sends too many.
func (h *Hall) Tap(token string) error {
	if _, ok := h.taps.Take(token); !ok {
		return &Error{Kind: TooOften, Text: "That was too much at once. The last choice is sent again in a moment."}
	}
	return nil
}

// Delete deletes a class with the names and answers in it; the exercise keeps the routes.
func (h *Hall) Delete(rm *Room) error {
	rm.mu.Lock()
	defer rm.mu.Unlock()
	if err := h.store.DeleteClass(rm.ID); err != nil {
		return notSaved("That the class is deleted", err)
	}
	h.mu.Lock()
	delete(h.rooms, rm.ID)
	h.mu.Unlock()
	h.places.Range(func(token, p any) bool {
		if p.(place).room == rm {
			h.places.Delete(token)
		}
		return true
	})
	rm.leave()
	rm.publish(rm.draft(), everybody)
	return nil
}

// Arrive waits until one more name may come from an address. Where that would take too long it is an error at once.
func (h *Hall) Arrive(ctx context.Context, address string) error {
	ctx, done := context.WithTimeout(ctx, arriveWithin)
	defer done()
	if err := h.joins.Wait(ctx, address); err != nil {
		return &Error{Kind: TooOften, Text: "Too many join from this network at once. Wait a minute, then press the button again."}
	}
	return nil
}

// secretLength is the number of characters of a secret.
const secretLength = 22

// secret is 128 random bits as text that may stand in an address.
func secret() (string, error) {
	b := make([]byte, 16)
	if _, err := rand.Read(b); err != nil {
		return "", err
	}
	return base64.RawURLEncoding.EncodeToString(b), nil
}

func itoa(n int64) string { return strconv.FormatInt(n, 10) }
