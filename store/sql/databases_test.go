package sql

import (
	"os"
	"path/filepath"
	"testing"
)

func TestMain(m *testing.M) {
	code := m.Run()
	server.End()
	os.Exit(code)
}

// place is where a test keeps things: a folder, or a database on a server.
type place struct {
	// open opens it as another program does; all of them are one teacher's.
	open func(t *testing.T) *Store
	// spoil changes what stands there without the store's knowledge, whoever's it is.
	spoil func(t *testing.T, statement string)
	// check reads everything in it, and says what is wrong.
	check func(t *testing.T) (problems []string)
	// at is by what another process opens it, see [openAt].
	at string
}

// count is a number that a query finds among the rows of the store's teacher.
func count(t *testing.T, s *Store, query string) (n int) {
	t.Helper()
	if err := s.reading(func(tx *transaction) error { return tx.Tx.QueryRow(query).Scan(&n) }); err != nil {
		t.Fatal(query, err)
	}
	return n
}

// hold holds up all changes, as another program that writes for long.
func hold(t *testing.T, s *Store) (release func()) {
	t.Helper()
	tx, err := s.writer.Begin()
	if err == nil {
		_, err = tx.Exec(`UPDATE teachers SET changes = changes WHERE id = $1`, s.teacher)
	}
	if err != nil {
		t.Fatal(err)
	}
	return func() {
		if err := tx.Rollback(); err != nil {
			t.Error(err)
		}
	}
}

// everywhere runs a test on each database.
func everywhere(t *testing.T, test func(t *testing.T, at *place)) {
	t.Helper()
	t.Run("file", func(t *testing.T) { test(t, inFolder(filepath.Join(t.TempDir(), "a new folder # with % odd ? name"))) })
	t.Run("server", func(t *testing.T) { test(t, onServer(t)) })
}

func inFolder(dir string) *place {
	at := &place{at: dir}
	at.open = func(t *testing.T) *Store { return open(t, dir) }
	at.spoil = func(t *testing.T, statement string) {
		t.Helper()
		db, err := connect(filepath.Join(dir, FileName), 1, "")
		if err == nil {
			_, err = db.Exec(statement)
			db.Close()
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	at.check = func(t *testing.T) []string {
		_, problems := Check(dir)
		return problems
	}
	return at
}
