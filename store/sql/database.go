// Package sql keeps exercises, drills, students, lessons and classes in a database in the user's data folder: SQLite, in
// one file. Its statements are such as other databases take too.
//
// Each change is one transaction that is on the disk when its method returns, so that a program killed at any moment
// loses nothing. What is kept of an exercise is its file; it is checked whenever it is read.
package sql

import (
	"context"
	"database/sql"
	"embed"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/pressly/goose/v3"
	_ "modernc.org/sqlite" // registers the driver "sqlite"

	"secondpass/store"
)

//go:embed migrations/*.sql
var migrations embed.FS

// FileName is the name of the database in the data folder.
const FileName = "secondpass.db"

// Store is an open database. It may be used by several goroutines, and the file by several
// programs at once.
type Store struct {
	db *sql.DB
	// Clock tells the time of a change; tests may set it.
	Clock func() time.Time
}

var _ store.Store = (*Store)(nil)

// Open opens the database in a folder, making both when they are not there.
func Open(dir string) (*Store, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("the data folder cannot be made: %w", err)
	}
	path := filepath.Join(dir, FileName)
	db, err := sql.Open("sqlite", (&dsn{path}).String())
	if err != nil {
		return nil, err
	}
	if err := migrate(db); err != nil {
		db.Close()
		return nil, fmt.Errorf("the data file %s cannot be used: %w", path, err)
	}
	return &Store{db: db, Clock: time.Now}, nil
}

// dsn is the address of a database file with the settings of every connection.
type dsn struct{ path string }

func (d *dsn) String() string {
	// The path goes into a URI, where these three would end it or start an escape.
	path := strings.NewReplacer("%", "%25", "?", "%3f", "#", "%23").Replace(filepath.ToSlash(d.path))
	return "file:" + path + "?_pragma=journal_mode(WAL)&_pragma=busy_timeout(5000)" +
		"&_pragma=synchronous(FULL)&_pragma=foreign_keys(1)&_txlock=immediate"
}

func migrate(db *sql.DB) error {
	files, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return err
	}
	p, err := goose.NewProvider(goose.DialectSQLite3, db, files)
	if err != nil {
		return err
	}
	_, err = p.Up(context.Background())
	return err
}

// Close closes the database.
func (s *Store) Close() error { return s.db.Close() }

// Now is the time of a change.
func (s *Store) Now() time.Time { return s.Clock() }

// within does work in one transaction; after an error nothing of it is kept.
func (s *Store) within(work func(tx *sql.Tx) error) error {
	tx, err := s.db.Begin()
	if err != nil {
		return err
	}
	defer tx.Rollback() // does nothing after Commit
	if err := work(tx); err != nil {
		return err
	}
	return tx.Commit()
}
