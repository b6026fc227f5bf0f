package hall_test

import (
	"context"
	database "database/sql"
	"errors"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"path/filepath"
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
	luck  *rand.Rand    // one write of three fails by it
	gate  chan struct{} // writes wait until it is closed
}

func (d *disk) fail(err error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.fails, d.luck = err, nil
}

// atRandom lets one write of three fail until fail is called.
func (d *disk) atRandom(seed uint64) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.luck = rand.New(rand.NewPCG(seed, 1))
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
	if d.luck != nil && d.luck.IntN(3) == 0 {
		err = errAtRandom
	}
	d.mu.Unlock()
	if gate != nil {
		<-gate
	}
	if err != nil {
		return err
	}
	return do()
}

func (d *disk) AddClass(c *store.SavedClass, walked *store.Saved) error {
	return d.write(func() error { return d.Store.AddClass(c, walked) })
}
func (d *disk) SaveClass(c *store.SavedClass) error {
	return d.write(func() error { return d.Store.SaveClass(c) })
}
func (d *disk) DeleteClass(id int64) error {
	return d.write(func() error { return d.Store.DeleteClass(id) })
}
func (d *disk) AddClassStudent(id int64, st class.Student, token, phone string) error {
	return d.write(func() error { return d.Store.AddClassStudent(id, st, token, phone) })
}
func (d *disk) RemoveClassStudent(id int64, student int) error {
	return d.write(func() error { return d.Store.RemoveClassStudent(id, student) })
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

func (rater) Plans(*card.Card, tile.Rack) ([]string, error) { return []string{"Runs 1"}, nil }
func (rater) Worth(*exercise.Exercise) (func(charleston.View) (int, float64), error) {
	return func(v charleston.View) (int, float64) {
		return int(v.Rack[tile.Flower]), float64(v.Rack[tile.Joker]) / 16
	}, nil
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
	h.room = must(h.hall.Open(x, mode, seconds, hall.Start{}))
	return h
}

func (h *building) join(name string) int {
	h.Helper()
	st, _, err := h.room.Join(name, "phone of "+name)
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
	if now.Code != kept.Code || now.Link != kept.Link || !reflect.DeepEqual(names(now.Class), names(kept.Class)) || !reflect.DeepEqual(now.Routes, kept.Routes) ||
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

// damage changes what is on the disk behind the program's back.
func (h *building) damage(statement string) {
	h.Helper()
	db := must(database.Open("sqlite", filepath.Join(h.dir, sql.FileName)))
	defer db.Close()
	res, err := db.Exec(statement)
	if err != nil {
		h.Fatal(err)
	}
	if n, _ := res.RowsAffected(); n != 1 {
		h.Fatalf("%s: %d rows", statement, n)
	}
}
