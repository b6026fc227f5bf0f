package sql

import (
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"secondpass/store"
)

// A change that the disk refuses says why in one plain sentence, is not kept in part, and is kept when the disk takes
// changes again.
func TestRefusedByTheDisk(t *testing.T) {
	t.Parallel()
	for name, refused := range map[string]struct {
		refuse func(t *testing.T, s *Store, dir string) (again func())
		what   error
		text   string
	}{
		"full": {func(t *testing.T, s *Store, _ string) func() {
			var pages int
			if err := s.writer.QueryRow(`PRAGMA page_count`).Scan(&pages); err != nil {
				t.Fatal(err)
			}
			most(t, s.writer, pages)
			return func() { most(t, s.writer, 1_000_000) }
		}, store.ErrFull, "not saved: the disk is full"},
		"busy": {func(t *testing.T, s *Store, dir string) func() {
			s.patience = 30 * time.Millisecond
			other, err := connect(filepath.Join(dir, FileName), 1, "")
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { other.Close() })
			tx, err := other.Begin()
			if err != nil {
				t.Fatal(err)
			}
			return func() { tx.Rollback() }
		}, store.ErrBusy, "not saved: another program keeps the data busy"},
		"read-only": {func(t *testing.T, s *Store, _ string) func() {
			if _, err := s.writer.Exec(`PRAGMA query_only = 1`); err != nil {
				t.Fatal(err)
			}
			return func() { s.writer.Exec(`PRAGMA query_only = 0`) }
		}, store.ErrReadOnly, "not saved: the data folder cannot be written to"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			s := open(t, dir)
			x, c, r := openClass(t, s)
			before := document(t, x.Exercise)
			if _, err := s.AddStudent("Ana"); err != nil {
				t.Fatal(err)
			}
			again := refused.refuse(t, s, dir)
			pass(t, x.Exercise, "N E W")
			x.Exercise.Condition = strings.Repeat("much ", 20_000)
			big := newExercise(t, "Odds")
			big.Condition = x.Exercise.Condition
			for what, change := range map[string]func() error{
				"save":   func() error { return s.Save(x) },
				"follow": func() error { return s.SaveFollow(x, c, r) },
				"add":    func() error { _, err := s.Add(big); return err },
				"free":   func() error { _, err := s.AddFree(big); return err },
			} {
				err := change()
				var trouble *store.Trouble
				if !errors.Is(err, refused.what) || errors.Is(err, store.ErrNameTaken) || !strings.HasSuffix(err.Error(), refused.text) || !errors.As(err, &trouble) || trouble.Cause == nil {
					t.Errorf("%s: %v", what, err)
				}
			}
			kept, err := s.Load("Evens")
			if err != nil || document(t, kept.Exercise) != before || kept.Revision != 1 || x.Revision != 1 {
				t.Errorf("something of it is kept: %v", err)
			}
			again()
			if err := s.Save(x); err != nil {
				t.Fatal(err)
			}
			if kept, err = s.Load("Evens"); err != nil || document(t, kept.Exercise) != document(t, x.Exercise) {
				t.Errorf("what was tried again is not kept: %v", err)
			}
		})
	}
}

func most(t *testing.T, db *sql.DB, pages int) {
	t.Helper()
	if _, err := db.Exec(fmt.Sprintf(`PRAGMA max_page_count = %d`, pages)); err != nil {
		t.Fatal(err)
	}
}

// A lock that another program holds for a moment is waited for.
func TestAMomentBusy(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	tx, err := open(t, dir).writer.Begin()
	if err != nil {
		t.Fatal(err)
	}
	time.AfterFunc(100*time.Millisecond, func() { tx.Rollback() })
	if _, err := s.Add(newExercise(t, "Monday")); err != nil {
		t.Error(err)
	}
}

// A page of the file that was spoilt is said to be, by whoever meets it.
func TestADamagedPage(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	for range 40 {
		if _, err := s.AddFree(newExercise(t, "Monday")); err != nil {
			t.Fatal(err)
		}
	}
	s.Close()
	path := filepath.Join(dir, FileName)
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	const page = 4096
	for i := 2 * page; i < len(data); i++ { // the first pages are those that opening reads
		if data[i] != 0 && i%page < 16 {
			data[i] ^= 0x55
		}
	}
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	s, err = Open(dir)
	if err == nil {
		defer s.Close()
		_, err = s.List(false)
	}
	if !errors.Is(err, store.ErrDamaged) {
		t.Error(err)
	}
}

// The file and what stands beside it are their owner's alone, also where an earlier program let others read.
func TestOwnersAlone(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, FileName), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	s := open(t, dir)
	if _, err := s.Add(newExercise(t, "Monday")); err != nil {
		t.Fatal(err)
	}
	files, err := os.ReadDir(dir)
	if err != nil || len(files) < 3 {
		t.Fatal(files, err)
	}
	for _, f := range files {
		if info, err := f.Info(); err != nil || info.Mode().Perm()&0o077 != 0 {
			t.Errorf("%s: %v, %v", f.Name(), info.Mode(), err)
		}
	}
}

// After a moment the file alone holds what was kept, also while the program goes on.
func TestTheFileAlone(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	s.foldAfter = time.Millisecond
	if _, err := s.Add(newExercise(t, "Monday")); err != nil {
		t.Fatal(err)
	}
	var found error
	for range 30_000 { // the program tells nobody when it has folded the log in
		if _, found = alone(t, dir).Load("Monday"); found == nil {
			break
		}
		time.Sleep(10 * time.Millisecond)
	}
	if found != nil {
		t.Error(found)
	}
	if _, err := s.Add(newExercise(t, "Tuesday")); err != nil {
		t.Fatal(err)
	}
	s.Close()
	if _, err := alone(t, dir).Load("Tuesday"); err != nil {
		t.Error(err)
	}
}

// alone is a store of a copy of the data file without what stands beside it.
func alone(t *testing.T, dir string) *Store {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, FileName))
	if err != nil {
		t.Fatal(err)
	}
	copied := t.TempDir()
	if err := os.WriteFile(filepath.Join(copied, FileName), data, 0o600); err != nil {
		t.Fatal(err)
	}
	return open(t, copied)
}
