//go:build unix

package club

import (
	"database/sql"
	"fmt"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	_ "github.com/jackc/pgx/v5/stdlib" // registers the driver "pgx"

	"secondpass/club"
	"secondpass/internal/browser"
	"secondpass/internal/postgres"
	store "secondpass/store/sql"
)

// server is the PostgreSQL server of all tests here; made is a database there with today's tables, and a copy of it is each test's own.
var (
	server postgres.Shared
	first  sync.Once
	copies atomic.Int64
)

func TestMain(m *testing.M) {
	browser.Main(ending{m})
}

// ending ends the server with the tests.
type ending struct{ *testing.M }

func (e ending) Run() int {
	defer server.End()
	return e.M.Run()
}

// newHouse serves a new club until the test ends.
func newHouse(t *testing.T) *house {
	t.Helper()
	h, _ := houseOn(t)
	return h
}

// houseOn is that with the address of the owner of its tables.
func houseOn(t *testing.T) (h *house, owner string) {
	t.Helper()
	serving, owner := newDatabase(t, "TEMPLATE made")
	d, err := store.Connect(serving, "")
	if err != nil {
		t.Fatal(err)
	}
	h = serve(t, Kept{d}, func() { d.Close() })
	h.database = serving
	return h, owner
}

// newDatabase makes a database, empty or a copy of made.
func newDatabase(t *testing.T, from string) (serving, owner string) {
	t.Helper()
	pg := server.Start(t)
	db, err := sql.Open("pgx", pg.URL)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	do := func(statement string) {
		t.Helper()
		if _, err := db.Exec(statement); err != nil {
			t.Fatal(statement, err)
		}
	}
	first.Do(func() {
		do(`CREATE ROLE keeper LOGIN; CREATE ROLE serving LOGIN`)
		do(`CREATE DATABASE made OWNER keeper`)
		d, err := store.Connect(pg.URLAs("serving", "made"), pg.URLAs("keeper", "made"))
		if err != nil {
			t.Fatal(err)
		}
		d.Close()
	})
	name := fmt.Sprintf("club%d", copies.Add(1))
	do(`CREATE DATABASE ` + name + ` OWNER keeper ` + from)
	return pg.URLAs("serving", name), pg.URLAs("keeper", name)
}

// A backup restored into an empty database gives the same pages, to the same sessions.
func TestRestoredIsTheSame(t *testing.T) {
	h, owner := houseOn(t)
	olga := h.somebody(nil, club.Owner, "Olga")
	ana := h.somebody(&olga, club.Teacher, "Ana")
	h.settle(&olga, "Quince", 1)
	h.settle(&ana, "Plum", 2)
	file := filepath.Join(t.TempDir(), "club.backup")
	if err := store.Dump(owner, file); err != nil {
		t.Fatal(err)
	}
	serving, newOwner := newDatabase(t, "")
	if err := store.Restore(file, serving, newOwner); err != nil {
		t.Fatal(err)
	}
	d, err := store.Connect(serving, "")
	if err != nil {
		t.Fatal(err)
	}
	back := serve(t, Kept{d}, func() { d.Close() })
	for name, p := range map[string]*club.Person{"Quince": &olga, "Plum": &ana} {
		before, after := h.as(p), back.as(p)
		for _, path := range []string{"/exercises", "/exercises/1", "/exercises/1/routes/A", "/students/" + name, "/lessons", "/lessons/1", "/cards/" + name, "/classes", "/people"} {
			was, is := before.must(200)(before.get(path)), after.must(200)(after.get(path))
			if was, is = square.ReplaceAllString(was, ""), square.ReplaceAllString(strings.ReplaceAll(is, back.address, h.address), ""); was != is {
				t.Errorf("%s of %s: %s\nbefore: %s", path, p.Name, shorten(is), shorten(was))
			}
		}
	}
}
