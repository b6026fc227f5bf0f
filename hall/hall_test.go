package hall_test

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"reflect"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"secondpass/exercise"
	"secondpass/hall"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/store/sql"
	"secondpass/teach/class"
)

// errFull is what a disk answers on which nothing more can be written.
var errFull = errors.New("the disk is full")

// disk is a store whose writes fail, or wait, when a test says so.
type disk struct {
	store.Store
	mu    sync.Mutex
	fails error
	gate  chan struct{} // writes wait until it is closed
}

func (d *disk) fail(err error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.fails = err
}

// hold makes writes wait until the returned function is called.
func (d *disk) hold() (release func()) {
	d.mu.Lock()
	defer d.mu.Unlock()
	gate := make(chan struct{})
	d.gate = gate
	return func() {
		d.mu.Lock()
		d.gate = nil
		d.mu.Unlock()
		close(gate)
	}
}

// write waits and fails as it is to, then does a write.
func (d *disk) write(do func() error) error {
	d.mu.Lock()
	err, gate := d.fails, d.gate
	d.mu.Unlock()
	if gate != nil {
		<-gate
	}
	if err != nil {
		return err
	}
	return do()
}

func (d *disk) AddClass(c *store.SavedClass) error {
	return d.write(func() error { return d.Store.AddClass(c) })
}
func (d *disk) SaveClass(c *store.SavedClass) error {
	return d.write(func() error { return d.Store.SaveClass(c) })
}
func (d *disk) DeleteClass(id int64) error {
	return d.write(func() error { return d.Store.DeleteClass(id) })
}
func (d *disk) AddClassStudent(id int64, st class.Student, token string) error {
	return d.write(func() error { return d.Store.AddClassStudent(id, st, token) })
}
func (d *disk) SaveRound(id int64, r *class.Round) error {
	return d.write(func() error { return d.Store.SaveRound(id, r) })
}
func (d *disk) SaveFollow(x *store.Saved, c *store.SavedClass, r *class.Round) error {
	return d.write(func() error { return d.Store.SaveFollow(x, c, r) })
}

// votes is the log of a disk.
type votes struct {
	store.VoteLog
	*disk
}

func (d *disk) NewVoteLog() store.VoteLog { return votes{d.Store.NewVoteLog(), d} }

func (v votes) Append(ctx context.Context, vote store.KeptVote) error {
	return v.write(func() error { return v.VoteLog.Append(ctx, vote) })
}
func (v votes) Close() { v.VoteLog.Close() }

// rater measures racks in a way that the tests can count after.
type rater struct{}

func (rater) Plans(*exercise.Exercise, tile.Rack) ([]string, error) { return []string{"Runs 1"}, nil }
func (rater) Worth(*exercise.Exercise) (func(tile.Rack) (int, float64), error) {
	return func(r tile.Rack) (int, float64) { return int(r[tile.Flower]), float64(r[tile.Joker]) / 16 }, nil
}

// building is a hall over a folder, and the class that a test is about.
type building struct {
	*testing.T
	dir  string
	disk *disk
	hall *hall.Hall
	room *hall.Room
}

// start opens a hall over a folder.
func start(t *testing.T, dir string) *building {
	t.Helper()
	s, err := sql.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	d := &disk{Store: s}
	log := slog.New(slog.NewTextHandler(t.Output(), nil))
	return &building{T: t, dir: dir, disk: d, hall: hall.New(d, rater{}, log, nil)}
}

func (h *building) stop() {
	h.hall.Close()
	h.disk.Close()
}

// again is the same folder after a restart.
func (h *building) again() *building {
	h.Helper()
	h.stop()
	next := start(h.T, h.dir)
	next.room = must(next.hall.Room(h.room.ID))
	return next
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

const dealt = "123b 456c 789d NEWF"

// open is a hall with a class on an exercise of mock passes.
func open(t *testing.T, mode class.Mode, seconds int) *building {
	t.Helper()
	h := start(t, t.TempDir())
	deal := must(tile.Parse(dealt, tile.Usual))
	x := must(h.disk.Add(must(exercise.New("Evens", card.Practice(), house.Usual, charleston.South, deal, exercise.MockPasses, 5))))
	h.room = must(h.hall.Open(x, mode, seconds, ""))
	return h
}

func (h *building) join(name string) int {
	h.Helper()
	st, _, err := h.room.Join(name)
	if err != nil {
		h.Fatal(err)
	}
	return st.ID
}

// openVote opens the next vote of a route.
func (h *building) openVote(route string) {
	h.Helper()
	if err := h.room.OpenVote(len(h.room.Now().Rounds), route); err != nil {
		h.Fatal(err)
	}
}

func three(text string) class.Choice {
	return class.Choice{Own: must(charleston.ParcelOf(must(tile.ParseList(text))...))}
}

// vote sends a choice that is made now.
func (h *building) vote(student int, seq int64, tiles string) error {
	now := time.Now()
	return h.room.Vote(student, len(h.room.Now().Rounds), class.Vote{Seq: seq, Choice: three(tiles), Made: now, Received: now})
}

func (h *building) ok(err error) {
	h.Helper()
	if err != nil {
		h.Error(err)
	}
}

// kind is the kind of an error, 0 for none.
func kind(err error) hall.Kind {
	var e *hall.Error
	if errors.As(err, &e) {
		return e.Kind
	}
	return 0
}

// onDisk says that what is shown is what a restart would find.
func (h *building) onDisk() {
	h.Helper()
	kept := must(h.disk.LoadClass(h.room.ID))
	now := h.room.Now()
	if now.Code != kept.Code || !reflect.DeepEqual(names(now.Class), names(kept.Class)) || !reflect.DeepEqual(now.Routes, kept.Routes) ||
		now.Ranking != kept.Ranking || now.Ended.IsZero() != kept.Ended.IsZero() || len(now.Rounds) != len(kept.Rounds) {
		h.Fatalf("shown is %+v; on the disk is %+v", now.Class, kept.Class)
	}
	for i, r := range now.Rounds {
		k := kept.Rounds[i]
		if r.Closed.IsZero() != k.Closed.IsZero() || r.Counted != k.Counted || !reflect.DeepEqual(r.Spread(), k.Spread()) || len(r.Follows) != len(k.Follows) ||
			!reflect.DeepEqual(r.Judgement, k.Judgement) {
			h.Fatalf("shown is the vote %+v; on the disk is %+v", r, k)
		}
	}
	for _, st := range now.Students {
		if shown, there := now.Walks[st.ID], kept.Walks[st.ID]; len(shown) != len(there) || len(there) > 0 && !reflect.DeepEqual(shown, there) {
			h.Fatalf("%s has decided %v; on the disk is %v", st.Name, shown, there)
		}
	}
}

func names(c *class.Class) []string {
	var all []string
	for _, st := range c.Students {
		all = append(all, fmt.Sprint(st.ID, " ", st.Name))
	}
	return all
}

// closed says whether a channel is closed by now.
func closed(c <-chan struct{}) bool {
	synctest.Wait()
	select {
	case <-c:
		return true
	default:
		return false
	}
}

func TestAVoteFromJoiningToTheCount(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		defer h.stop()
		plum, fig := h.join("Plum"), h.join("Fig")
		if kind(h.vote(plum, 1, "1b 4c 7d")) != hall.Late {
			t.Error("a choice before the first vote was taken")
		}
		h.openVote("Class")
		h.ok(h.vote(plum, 1, "1b"))
		h.ok(h.vote(plum, 2, "1b 4c"))
		h.ok(h.vote(plum, 3, "1b 4c 7d"))
		h.ok(h.vote(fig, 1, "2b 4c 7d"))
		h.ok(h.vote(fig, 3, "1b 4c 7d")) // changes the mind
		h.ok(h.vote(fig, 2, "2b 4c 8d")) // was held up on its way
		h.ok(h.vote(fig, 3, "1b 4c 7d")) // the same once more
		late := h.join("Kiwi")
		h.ok(h.vote(late, 1, "3b 4c 7d"))
		r := h.room.Now().Round()
		if answered, _ := r.Answered(); answered != 3 || r.Votes[fig].Seq != 3 {
			t.Errorf("%d have answered, Fig's message %d counts", answered, r.Votes[fig].Seq)
		}
		h.ok(h.room.CloseVote(1))
		h.ok(h.room.CloseVote(1))
		time.Sleep(time.Millisecond)
		if err := h.vote(plum, 5, "3b 4c 7d"); kind(err) != hall.Late {
			t.Errorf("a choice after the close: %v", err)
		}
		if h.room.Now().Round().Counted {
			t.Error("the vote is counted before its grace is over")
		}
		time.Sleep(class.Grace)
		synctest.Wait()
		if !h.room.Now().Round().Counted {
			t.Fatal("the vote is never counted")
		}
		h.onDisk()
	})
}

func TestAVoteClosesAtItsDeadline(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 20)
		defer h.stop()
		h.join("Plum")
		h.openVote("Class")
		counted := func() bool { synctest.Wait(); return h.room.Now().Round().Counted }
		time.Sleep(20*time.Second + time.Millisecond)
		if counted() || h.room.Now().Round().Closed.IsZero() {
			t.Error("at the deadline the vote is not closed")
		}
		time.Sleep(class.Grace)
		if !counted() {
			t.Error("after the grace the vote is not counted")
		}
		h.onDisk()
	})
}

// Phones are woken by what they show, the teacher's screen by everything, and nobody who reads waits for the disk.
func TestWhoIsTold(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		defer h.stop()
		plum := h.join("Plum")
		before := h.room.Now()
		h.openVote("Class")
		if !closed(before.PhonesChange()) || !closed(before.Changed()) {
			t.Error("nobody is told of a vote")
		}
		before = h.room.Now()
		release := h.disk.hold()
		answer := make(chan error, 1)
		go func() { answer <- h.vote(plum, 1, "1b 4c 7d") }()
		if closed(before.Changed()) || h.room.Now() != before {
			t.Error("a choice shows before it is on the disk")
		}
		release()
		h.ok(<-answer)
		if closed(before.PhonesChange()) || !closed(before.Changed()) {
			t.Error("a choice concerns the teacher's screen and no other phone")
		}
		if before.Round().Votes[plum].Seq != 0 {
			t.Error("a state changed that was handed out")
		}
		before = h.room.Now()
		leave, err := h.room.Enter(plum, func() {})
		if err != nil || !closed(before.Changed()) || h.room.Now().Connected != 1 {
			t.Error("a phone that comes is not shown", err)
		}
		if leave(); h.room.Now().Connected != 0 {
			t.Error("a phone that goes is not shown")
		}
	})
}

func TestTheOldestTabIsEnded(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		defer h.stop()
		plum := h.join("Plum")
		ended := 0
		for range 5 {
			leave := must(h.room.Enter(plum, func() { ended++ }))
			defer leave()
		}
		if ended != 1 || h.room.Now().Connected != 1 {
			t.Errorf("of five tabs %d were ended, %d phones count as there", ended, h.room.Now().Connected)
		}
	})
}

// count closes the vote and waits until it is counted.
func (h *building) count() {
	h.Helper()
	h.ok(h.room.CloseVote(len(h.room.Now().Rounds)))
	time.Sleep(class.Grace)
	synctest.Wait()
	if !h.room.Now().Round().Counted {
		h.Fatal("the vote is never counted")
	}
}

func TestFollowingOneChoiceAndTwo(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		defer h.stop()
		plum := h.join("Plum")
		h.openVote("Class")
		h.ok(h.vote(plum, 1, "1b 4c 7d"))
		if err := h.room.Follow(1, nil, ""); kind(err) != hall.Wrong {
			t.Errorf("following nothing: %v", err)
		}
		if err := h.room.Follow(1, []class.Choice{three("1b 4c 7d")}, ""); kind(err) != hall.Wrong {
			t.Errorf("following before the count: %v", err)
		}
		h.count()
		h.ok(h.room.Follow(1, []class.Choice{three("1b 4c 7d")}, ""))
		h.ok(h.room.Follow(1, []class.Choice{three("2b 4c 7d")}, "")) // a second tap
		h.openVote("Class")
		rack := h.room.Now().Round().Question.Rack
		h.count()
		a, b := threeOf(rack, 0), threeOf(rack, 1)
		h.ok(h.room.Follow(2, []class.Choice{a, b}, ""))
		if routes := h.room.Now().Routes; len(routes) != 2 {
			t.Fatalf("the class walks %v", routes)
		}
		x := must(h.disk.Load("1"))
		for i, name := range h.room.Now().Routes {
			route := must(x.Route(name))
			if len(route.Decisions) != 2 || route.Decisions[0].Own != three("1b 4c 7d").Own || route.Decisions[1].Own != []class.Choice{a, b}[i].Own {
				t.Errorf("route %s is %v", name, route.Decisions)
			}
		}
		h.onDisk()
	})
}

// threeOf is three naturals of a rack, without the first so many.
func threeOf(r tile.Rack, skip int) class.Choice {
	var own []tile.Kind
	for _, k := range r.Tiles() {
		if k != tile.Joker {
			own = append(own, k)
		}
	}
	return class.Choice{Own: must(charleston.ParcelOf(own[skip : skip+3]...))}
}

func TestLimits(t *testing.T) {
	now := time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)
	l := hall.NewLimits(1, 3, nil, func() time.Time { return now })
	take := func(address string) bool { _, ok := l.Take(address); return ok }
	for i, want := range []bool{true, true, true, false} {
		if take("a") != want {
			t.Errorf("at once, number %d: %v", i+1, !want)
		}
	}
	if !take("b") {
		t.Error("one address stops another")
	}
	if now = now.Add(time.Second); !take("a") || take("a") {
		t.Error("after a second there is one more")
	}
	if refund, ok := l.Take("b"); ok {
		refund()
	}
	if !take("b") || !take("b") || !take("b") || take("b") {
		t.Error("what was given back is lost")
	}
	if now = now.Add(-time.Hour); take("c") != true {
		t.Error("a clock that goes back stops a new address")
	}
}

func TestWrongCodesAreCounted(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		defer h.stop()
		code := h.room.Now().Code
		for range 30 {
			if rm, err := h.hall.ByCode("a", " "+code); err != nil || rm != h.room {
				t.Fatal("the right code:", err)
			}
		}
		wrong := "CCCCC"
		if wrong == code {
			wrong = "DDDDD"
		}
		for i := range 10 {
			if _, err := h.hall.ByCode("a", wrong); kind(err) != hall.Unknown {
				t.Fatalf("wrong code %d: %v", i, err)
			}
		}
		if _, err := h.hall.ByCode("a", wrong); kind(err) != hall.TooOften {
			t.Error(err)
		}
		if _, err := h.hall.ByCode("a", code); kind(err) != hall.TooOften {
			t.Error("the right code tells itself apart from wrong ones", err)
		}
		if _, err := h.hall.ByCode("b", code); err != nil {
			t.Error(err)
		}
		time.Sleep(6 * time.Second)
		if _, err := h.hall.ByCode("a", code); err != nil {
			t.Error("after a while:", err)
		}
	})
}

func TestEndingAndDeleting(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		defer h.stop()
		code := h.room.Now().Code
		_, token, err := h.room.Join("Plum")
		h.ok(err)
		h.openVote("Class")
		if err := h.room.End(); kind(err) != hall.Wrong {
			t.Errorf("ending in mid-vote: %v", err)
		}
		h.count()
		h.ok(h.room.End())
		h.ok(h.room.End())
		h.onDisk()
		if _, err := h.hall.ByCode("a", code); kind(err) != hall.Unknown {
			t.Error("the code still lets in", err)
		}
		if _, _, err := h.room.Join("Fig"); kind(err) != hall.Wrong {
			t.Error("somebody joins a class that has ended", err)
		}
		ended := false
		must(h.room.Enter(1, func() { ended = true }))
		last := h.room.Now()
		h.ok(h.hall.Delete(h.room))
		if !ended || !closed(last.PhonesChange()) {
			t.Error("phones of a deleted class are not told")
		}
		if _, _, err := h.hall.ByToken(token); kind(err) != hall.Stranger {
			t.Error(err)
		}
		if _, err := h.hall.Room(h.room.ID); kind(err) != hall.Unknown {
			t.Error(err)
		}
	})
}

// Guessers at fifty addresses use up what all together may guess; students at other addresses come in all the same, and
// so do five hundred behind one.
func TestGuessersKeepNobodyOut(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		defer h.stop()
		code := h.room.Now().Code
		wrong := "CCCCC"
		if wrong == code {
			wrong = "DDDDD"
		}
		tried := 0
		for range 12 {
			for g := range 50 {
				if _, err := h.hall.ByCode(fmt.Sprint("guesser ", g), wrong); kind(err) == hall.Unknown {
					tried++
				}
			}
		}
		if tried > 120+50 {
			t.Errorf("%d wrong codes were tried at once", tried)
		}
		var students sync.WaitGroup
		for i := range 500 {
			address := "hall"
			if i%2 == 0 {
				address = fmt.Sprint("student ", i)
			}
			students.Go(func() {
				if _, err := h.hall.ByCode(address, code); err != nil {
					t.Errorf("from %s: %v", address, err)
				}
			})
		}
		students.Wait()
		if _, err := h.hall.ByCode("guesser 1", code); kind(err) != hall.TooOften {
			t.Errorf("the right code tells itself apart for a guesser: %v", err)
		}
	})
}

func TestClosingTheWayIn(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		plum := h.join("Plum")
		code := h.room.Now().Code
		h.ok(h.room.LetIn(true)) // it is open already
		if h.room.Now().Code != code {
			t.Error("a second tap changes the code")
		}
		h.ok(h.room.LetIn(false))
		h.onDisk()
		if _, err := h.hall.ByCode("a", code); kind(err) != hall.Unknown {
			t.Errorf("the code still lets in: %v", err)
		}
		h.openVote("Class")
		h.ok(h.vote(plum, 1, "1b 4c 7d"))
		h = h.again()
		defer func() { h.stop() }()
		h.ok(h.room.LetIn(true))
		h.onDisk()
		if again := h.room.Now().Code; again == "" || again == code {
			t.Errorf("the new code is %q after %q", again, code)
		}
		if rm, err := h.hall.ByCode("b", h.room.Now().Code); err != nil || rm != h.room {
			t.Error(err)
		}
		h.count()
		h.ok(h.room.End())
		if err := h.room.LetIn(true); kind(err) != hall.Wrong {
			t.Errorf("a class that has ended lets in: %v", err)
		}
	})
}
