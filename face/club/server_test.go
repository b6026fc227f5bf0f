//go:build unix

package club

import (
	"database/sql"
	"testing"

	_ "github.com/jackc/pgx/v5/stdlib" // registers the driver "pgx"

	"secondpass/internal/postgres"
	store "secondpass/store/sql"
)

// onServer serves a new club on PostgreSQL, where row-level security stands between teachers too.
func onServer(t *testing.T) *house {
	t.Helper()
	pg := postgres.Start(t)
	db, err := sql.Open("pgx", pg.URL)
	if err != nil {
		t.Fatal(err)
	}
	for _, statement := range []string{`CREATE ROLE keeper LOGIN`, `CREATE ROLE serving LOGIN`, `CREATE DATABASE club OWNER keeper`} {
		if _, err := db.Exec(statement); err != nil {
			t.Fatal(statement, err)
		}
	}
	db.Close()
	d, err := store.Connect(pg.URLAs("serving", "club"), pg.URLAs("keeper", "club"))
	if err != nil {
		t.Fatal(err)
	}
	return serve(t, Kept{d, t.TempDir()}, func() { d.Close() })
}

func TestEachTeacherHerOwn(t *testing.T) {
	t.Run("file", func(t *testing.T) { eachHerOwn(t, newHouse(t)) })
	t.Run("server", func(t *testing.T) { eachHerOwn(t, onServer(t)) })
}
