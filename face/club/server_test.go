//go:build unix

package club

import (
	"database/sql"
	"fmt"
	"sync"
	"sync/atomic"
	"testing"

	_ "github.com/jackc/pgx/v5/stdlib" // registers the driver "pgx"

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
	do(`CREATE DATABASE ` + name + ` OWNER keeper TEMPLATE made`)
	d, err := store.Connect(pg.URLAs("serving", name), "")
	if err != nil {
		t.Fatal(err)
	}
	return serve(t, Kept{d}, func() { d.Close() })
}
