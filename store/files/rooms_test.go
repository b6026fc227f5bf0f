//go:build unix

package files_test

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"secondpass/internal/postgres"
	"secondpass/store"
	"secondpass/store/files"
	"secondpass/store/sql"
)

// server is the PostgreSQL server of all tests here, club the database there.
var (
	server postgres.Shared
	club   = sync.OnceValues(func() (*sql.Database, error) { return sql.Connect(serving, owner) })

	owner, serving string
	made           sync.Once
)

func TestMain(m *testing.M) {
	code := m.Run()
	server.End()
	os.Exit(code)
}

// everywhere runs a test in each sort of room, which it has as another program has it, too.
func everywhere(t *testing.T, test func(t *testing.T, room files.Room, other files.Room)) {
	t.Helper()
	t.Run("folder", func(t *testing.T) {
		dir := filepath.Join(t.TempDir(), "data")
		test(t, files.Folder(dir), files.Folder(dir))
	})
	t.Run("server", func(t *testing.T) {
		room, other := onServer(t)
		test(t, room, other)
	})
}

// onServer is the room of a new teacher, as two programs have it.
func onServer(t *testing.T) (room, other files.Room) {
	t.Helper()
	s := server.Start(t)
	made.Do(func() { owner, serving = s.NewDatabase(t, "club", "") })
	d, err := club()
	if err != nil {
		t.Fatal(err)
	}
	teacher, err := d.AddTeacher()
	if err != nil {
		t.Fatal(err)
	}
	return d.For(teacher).Room(), d.For(teacher).Room()
}

func there(room files.Room, path string) bool {
	_, err := room.Look(path)
	return err == nil
}

// later is a room in which time passes as it is told.
type later struct {
	files.Room
	now *time.Time
}

func (l later) Now() time.Time { return *l.now }

func (l later) Alone(work func(files.Room) error) error {
	return l.Room.Alone(func(r files.Room) error { return work(later{r, l.now}) })
}

// A room keeps files as a folder does: whole, under any name, a folder moves with what is in it, and what is not there is said not to be.
func TestRoom(t *testing.T) {
	everywhere(t, func(t *testing.T, room, other files.Room) {
		must := func(err error) {
			t.Helper()
			if err != nil {
				t.Fatal(err)
			}
		}
		names := func(folder string) string {
			t.Helper()
			list, err := other.List(folder)
			must(err)
			var all []string
			for _, f := range list {
				if !f.Folder {
					all = append(all, f.Name)
				}
			}
			slices.Sort(all)
			return strings.Join(all, ", ")
		}
		must(room.Write("a_%/one é.txt", []byte("1")))
		must(room.Write("a_%/one é.txt", []byte("\x00\xff12")))
		must(room.Write("a_%/in/two", nil))
		must(room.Write("abc/three", []byte("3")))
		must(room.Write("top", []byte("4")))
		if data, err := other.Read("a_%/one é.txt"); err != nil || string(data) != "\x00\xff12" {
			t.Errorf("%q, %v", data, err)
		}
		if f, err := other.Look("a_%/one é.txt"); err != nil || f.Name != "one é.txt" || f.Size != 4 || f.Folder || time.Since(f.Changed).Abs() > time.Hour {
			t.Errorf("%+v, %v", f, err)
		}
		if f, err := other.Look("a_%"); err != nil || !f.Folder {
			t.Errorf("%+v, %v", f, err)
		}
		must(room.Move("a_%", "b"))
		for folder, want := range map[string]string{"a_%": "", "b": "one é.txt", "b/in": "two", "abc": "three", "": "top", "none": ""} {
			if got := names(folder); got != want {
				t.Errorf("in %q stand %q, wanted %q", folder, got, want)
			}
		}
		must(room.Move("top", "abc/three"))
		if data, err := other.Read("abc/three"); err != nil || string(data) != "4" || there(other, "top") {
			t.Errorf("%q, %v", data, err)
		}
		must(room.Remove("abc/three"))
		for what, err := range map[string]error{"move": room.Move("none", "abc/three"), "remove": room.Remove("abc/three"), "remove 2": room.Remove("none/x")} {
			if !errors.Is(err, os.ErrNotExist) {
				t.Errorf("%s: %v", what, err)
			}
		}
		if _, err := room.Read("none"); !errors.Is(err, os.ErrNotExist) {
			t.Error(err)
		}
		if there(other, "abc/three") || there(other, "none") {
			t.Error("what is not there is seen")
		}
		// Work that fails on a server leaves nothing.
		failed := errors.New("failed")
		if err := room.Alone(func(r files.Room) error {
			return errors.Join(r.Move("b", "c"), r.Move("c", "b"), failed)
		}); !errors.Is(err, failed) {
			t.Error(err)
		}
		if names("b") != "one é.txt" {
			t.Error("work that failed is left")
		}
	})
}

// Two programs that serve keep a card that both have seen: one is kept, the other is told.
func TestTwoProgramsKeepACard(t *testing.T) {
	room, other := onServer(t)
	one, two := files.On(room, nil).Cards, files.On(other, nil).Cards
	seen, err := one.Keep("Mine", "", []byte("first"), nil)
	if err != nil {
		t.Fatal(err)
	}
	var all sync.WaitGroup
	var won atomic.Int64
	for i := range 8 {
		all.Go(func() {
			_, err := []store.Cards{one, two}[i%2].Keep("Mine", seen, []byte{byte('a' + i)}, nil)
			switch {
			case err == nil:
				won.Add(1)
			case !errors.Is(err, store.ErrCardChanged):
				t.Error(err)
			}
		})
	}
	all.Wait()
	if won.Load() != 1 {
		t.Errorf("%d of 8 at once were kept", won.Load())
	}
}
