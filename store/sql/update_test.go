//go:build unix

package sql

import (
	"database/sql"
	"fmt"
	"path/filepath"
	"slices"
	"testing"

	"github.com/pressly/goose/v3"
)

// beforeProcesses is the version of the tables of the first clubs, which one process served.
const beforeProcesses = 220

// versionAt is the version of the tables of a database of a server.
func versionAt(t *testing.T, owner string) int64 {
	t.Helper()
	db, err := sql.Open("pgx", owner)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	return versionOf(db)
}

// The database of an earlier program is brought up to date with all that it holds. Going back is the backup made before, put into an empty
// database: it has the tables of the earlier program, row for row as they were. Down there is no other way, since a later program may
// keep what an earlier one does not know.
func TestUpdateAndGoingBack(t *testing.T) {
	made, serve := newDatabase(t, true)
	d := connected(t, serve, "")
	s := aTeacher(t, d, "CDFGH")
	owner, earlier := newDatabase(t, false)
	db, err := sql.Open("pgx", owner)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if err := migrate(db, goose.DialectPostgres, beforeProcesses, nil); err != nil {
		t.Fatal(err)
	}
	whole := kept(t, made, s.teacher)
	tx, err := db.Begin()
	if err != nil {
		t.Fatal(err)
	}
	defer tx.Rollback()
	if _, err := tx.Exec(`INSERT INTO teachers (id, created) VALUES ($1, 1)`, s.teacher); err != nil {
		t.Fatal(err)
	}
	if err := s.reading(func(from *transaction) error {
		for _, table := range append(slices.Clone(tables), "counters", "files") {
			if err := copyRowsOf(table, from, &transaction{Tx: tx, teacher: s.teacher}); err != nil {
				return err
			}
		}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	if err := tx.Commit(); err != nil {
		t.Fatal(err)
	}
	if _, err := Connect(earlier, ""); err == nil {
		t.Error("tables of an earlier program are served from")
	}
	was := rowsOf(t, db)
	backup := filepath.Join(t.TempDir(), "before.backup")
	if err := Dump(owner, backup); err != nil {
		t.Fatal(err)
	}
	up := connected(t, earlier, owner)
	if _, target, err := steps(db, goose.DialectPostgres); err != nil || versionAt(t, owner) != target {
		t.Errorf("brought up to version %d of %d, %v", versionAt(t, owner), target, err)
	}
	if got := hers(t, up.For(s.teacher)); got != [7]int{1, 1, 1, 1, 1, 2, 1} {
		t.Errorf("after the update she sees %v", got)
	}
	if _, problems := up.For(s.teacher).Check(); problems != nil {
		t.Errorf("after the update: %v", problems)
	}
	if is := slices.DeleteFunc(kept(t, owner, s.teacher), func(row string) bool { return !slices.Contains(whole, row) }); len(is) < len(was) {
		t.Errorf("%d rows of %d are as they were", len(is), len(was))
	}
	back, _ := newDatabase(t, false)
	if err := restore(backup, back); err != nil {
		t.Fatal(err)
	}
	again, err := sql.Open("pgx", back)
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	if got := versionAt(t, back); got != beforeProcesses {
		t.Errorf("gone back to version %d", got)
	}
	if is := rowsOf(t, again); !slices.Equal(is, was) {
		t.Errorf("gone back there are %d rows of %d, or others", len(is), len(was))
	}
}

// rowsOf is every row of every table with a column for the teacher.
func rowsOf(t *testing.T, db *sql.DB) (rows []string) {
	t.Helper()
	for _, table := range walled(t, db) {
		found, err := db.Query(fmt.Sprintf(`SELECT '%s ' || r::text FROM %s r`, table, table))
		texts, err := scanned(found, err, func(r row) (text string, err error) { return text, r.Scan(&text) })
		if err != nil {
			t.Fatal(err)
		}
		rows = append(rows, texts...)
	}
	slices.Sort(rows)
	return rows
}
