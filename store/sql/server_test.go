//go:build unix

package sql

import (
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	_ "github.com/jackc/pgx/v5/stdlib" // registers the driver "pgx"

	"secondpass/internal/postgres"
	"secondpass/store"
)

// server is the PostgreSQL server of all tests here; made is a database there with today's tables, and a copy of it is each test's own.
var (
	server postgres.Shared
	made   sync.Once
	copies atomic.Int64
)

// newDatabase makes a database on the server and returns the addresses of its owner and of the role that serves: with today's tables, or
// with none.
func newDatabase(t *testing.T, tables bool) (owner, serve string) {
	t.Helper()
	s := server.Start(t)
	from := ""
	if tables {
		from = "made"
		made.Do(func() {
			owner, _ := s.NewDatabase(t, from, "")
			if err := prepare(owner, postgres.Serving); err != nil {
				t.Fatal(err)
			}
		})
	}
	return s.NewDatabase(t, fmt.Sprintf("test%d", copies.Add(1)), from)
}

// execute does statements as whoever has the address.
func execute(t *testing.T, url, statement string) {
	t.Helper()
	db, err := sql.Open("pgx", url)
	if err == nil {
		_, err = db.Exec(statement)
		db.Close()
	}
	if err != nil {
		t.Fatal(statement, err)
	}
}

func connected(t *testing.T, url, owner string) *Database {
	t.Helper()
	d, err := Connect(url, owner)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { d.Close() })
	return d
}

func onServer(t *testing.T) *place {
	t.Helper()
	owner, serve := newDatabase(t, true)
	d := connected(t, serve, "")
	teacher, err := d.AddTeacher()
	if err != nil {
		t.Fatal(err)
	}
	d.Close()
	return &place{
		at:    serve + "|" + strconv.FormatInt(teacher, 10),
		open:  func(t *testing.T) *Store { return whole(connected(t, serve, "").For(teacher)) },
		spoil: func(t *testing.T, statement string) { t.Helper(); execute(t, owner, statement) },
		check: func(t *testing.T) []string {
			_, problems := connected(t, serve, "").For(teacher).Check()
			return problems
		},
	}
}

// whole is a store whose Close closes its database.
func whole(s *Store) *Store {
	s.whole = true
	return s
}

// openAt opens a place by what another process was told of it.
func openAt(t *testing.T, at string) *Store {
	t.Helper()
	url, teacher, onServer := strings.Cut(at, "|")
	if !onServer {
		return open(t, at)
	}
	n, err := strconv.ParseInt(teacher, 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	return whole(connected(t, url, "").For(n))
}

// Four programs open a new database at once, and each can serve from it.
func TestServersAtOnce(t *testing.T) {
	owner, serve := newDatabase(t, false)
	var all sync.WaitGroup
	for range 4 {
		cmd := program("open a new database", serve+"|"+owner)
		all.Go(func() {
			if out, err := cmd.CombinedOutput(); err != nil {
				t.Errorf("%v\n%s", err, out)
			}
		})
	}
	all.Wait()
	d := connected(t, serve, "")
	teachers, err := d.Teachers()
	if err != nil || len(teachers) != 4 {
		t.Fatalf("teachers %v, %v", teachers, err)
	}
	for _, teacher := range teachers {
		if list, err := d.For(teacher).List(false); err != nil || len(list) != 1 {
			t.Errorf("%v, %v", list, err)
		}
	}
}

func openNew(t *testing.T, at string) {
	serve, owner, _ := strings.Cut(at, "|")
	d := connected(t, serve, owner)
	teacher, err := d.AddTeacher()
	if err == nil {
		_, err = d.For(teacher).Add(newExercise(t, "Monday"))
	}
	if err != nil {
		t.Fatal(err)
	}
}

// A file that the disk of the server has changed is said to be damaged, and takes along no other; a teacher of a folder has files there.
func TestFilesOfATeacher(t *testing.T) {
	at := onServer(t)
	s := at.open(t)
	cards := s.Files(nil).Cards
	for _, name := range []string{"Mine", "Other"} {
		if _, err := cards.Keep(name, "", []byte("card "+name+"\n"), nil); err != nil {
			t.Fatal(err)
		}
	}
	at.spoil(t, `UPDATE files SET data = 'card Nine' WHERE name = 'Mine.card'`)
	if text, err := cards.Text("Mine"); !errors.Is(err, store.ErrDamaged) {
		t.Errorf("%q, %v", text, err)
	}
	if text, err := cards.Text("Other"); err != nil || string(text) != "card Other\n" {
		t.Errorf("%q, %v", text, err)
	}
	teacher, err := s.AddTeacher()
	if err != nil {
		t.Fatal(err)
	}
	if names, err := s.For(teacher).Files(nil).Cards.List(); err != nil || len(names) > 0 {
		t.Errorf("another teacher has the cards %q, %v", names, err)
	}
	dir := t.TempDir()
	if _, err := open(t, dir).Files(nil).Cards.Keep("Mine", "", []byte("card Mine\n"), nil); err != nil {
		t.Fatal(err)
	}
	if text, err := os.ReadFile(filepath.Join(dir, "cards", "Mine.card")); err != nil || string(text) != "card Mine\n" {
		t.Errorf("%q, %v", text, err)
	}
}
