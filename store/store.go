// Package store keeps exercises in a database in the user's data folder: SQLite, in one file.
//
// Each save is one transaction that is on the disk when [Store.Save] returns, so that a
// program killed at any moment loses nothing. What is kept is the exercise file of package
// exercise; it is checked whenever it is read.
package store

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/pressly/goose/v3"
	_ "modernc.org/sqlite" // registers the driver "sqlite"

	"secondpass/exercise"
)

//go:embed migrations/*.sql
var migrations embed.FS

// FileName is the name of the database in the data folder.
const FileName = "secondpass.db"

// Store is an open database. It may be used by several goroutines, and the file by several
// programs at once.
type Store struct {
	db *sql.DB
	// Now tells the time of a change; tests may set it.
	Now func() time.Time
}

// Entry is one exercise in the list.
type Entry struct {
	ID               int64
	Name             string
	Revision         int64
	Created, Changed time.Time
	Deleted          bool
}

// Saved is an exercise with its place in the store.
type Saved struct {
	Entry
	*exercise.Exercise
}

// Errors that callers tell apart.
var (
	// ErrNotFound: no exercise has that name or number.
	ErrNotFound = errors.New("no such exercise")
	// ErrNameTaken: another exercise has that name.
	ErrNameTaken = errors.New("the name is taken")
	// ErrChanged: another program has saved the exercise since it was loaded.
	ErrChanged = errors.New("the exercise was changed by another program meanwhile; open it again")
)

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
	return &Store{db: db, Now: time.Now}, nil
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

// Add keeps a new exercise. It returns ErrNameTaken when its name is.
func (s *Store) Add(e *exercise.Exercise) (*Saved, error) {
	if err := exercise.CheckName(e.Name); err != nil {
		return nil, err
	}
	document, err := text(e)
	if err != nil {
		return nil, err
	}
	now := s.Now().Unix()
	entry := Entry{Name: e.Name, Revision: 1, Created: time.Unix(now, 0), Changed: time.Unix(now, 0)}
	err = s.db.QueryRow(`INSERT INTO exercises (id, name, document, revision, created, changed)
		SELECT COALESCE(MAX(id), 0) + 1, $1, $2, 1, $3, $3 FROM exercises RETURNING id`,
		e.Name, document, now).Scan(&entry.ID)
	if err != nil {
		return nil, s.nameError(err, e.Name)
	}
	return &Saved{entry, e}, nil
}

// Save keeps the exercise as it is now. It returns ErrChanged when another program saved it since
// it was loaded, and then keeps theirs.
func (s *Store) Save(x *Saved) error { return s.save(s.db, x) }

func (s *Store) save(db execer, x *Saved) error {
	document, err := text(x.Exercise)
	if err != nil {
		return err
	}
	now := s.Now().Unix()
	res, err := db.Exec(`UPDATE exercises SET name = $1, document = $2, revision = revision + 1, changed = $3
		WHERE id = $4 AND revision = $5 AND deleted IS NULL`, x.Exercise.Name, document, now, x.ID, x.Revision)
	if err != nil {
		return s.nameError(err, x.Exercise.Name)
	}
	if n, err := res.RowsAffected(); err != nil || n == 0 {
		return errors.Join(err, ErrChanged)
	}
	x.Revision++
	x.Entry.Name, x.Changed = x.Exercise.Name, time.Unix(now, 0)
	return nil
}

// nameError makes ErrNameTaken of a failure that a taken name explains.
func (s *Store) nameError(err error, name string) error {
	if _, found := s.find(name, false); found == nil {
		return fmt.Errorf("%q: %w", name, ErrNameTaken)
	}
	return err
}

func text(e *exercise.Exercise) (string, error) {
	var b strings.Builder
	err := e.Write(&b)
	return b.String(), err
}

const columns = `id, name, revision, created, changed, deleted IS NOT NULL`

func scan(row interface{ Scan(...any) error }, more ...any) (Entry, error) {
	var e Entry
	var created, changed int64
	err := row.Scan(append([]any{&e.ID, &e.Name, &e.Revision, &created, &changed, &e.Deleted}, more...)...)
	e.Created, e.Changed = time.Unix(created, 0), time.Unix(changed, 0)
	return e, err
}

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

// List is the exercises, the one changed last first; with deleted, those deleted instead.
func (s *Store) List(deleted bool) ([]Entry, error) {
	rows, err := s.db.Query(`SELECT `+columns+` FROM exercises WHERE (deleted IS NOT NULL) = $1
		ORDER BY changed DESC, id DESC`, deleted)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var entries []Entry
	for rows.Next() {
		e, err := scan(rows)
		if err != nil {
			return nil, err
		}
		entries = append(entries, e)
	}
	return entries, rows.Err()
}

// find looks an exercise up by its name or, where no name fits, its number.
func (s *Store) find(ref string, deleted bool) (Entry, error) {
	e, err := scan(s.db.QueryRow(`SELECT `+columns+` FROM exercises
		WHERE name = $1 AND (deleted IS NOT NULL) = $2 ORDER BY deleted DESC LIMIT 1`, ref, deleted))
	if errors.Is(err, sql.ErrNoRows) {
		id, bad := strconv.ParseInt(ref, 10, 64)
		if bad != nil {
			return e, fmt.Errorf("%q: %w", ref, ErrNotFound)
		}
		e, err = scan(s.db.QueryRow(`SELECT `+columns+` FROM exercises
			WHERE id = $1 AND (deleted IS NOT NULL) = $2`, id, deleted))
	}
	if errors.Is(err, sql.ErrNoRows) {
		return e, fmt.Errorf("%q: %w", ref, ErrNotFound)
	}
	return e, err
}

// Load reads an exercise by its name or number and checks it.
func (s *Store) Load(ref string) (*Saved, error) {
	found, err := s.find(ref, false)
	if err != nil {
		return nil, err
	}
	var document string
	entry, err := scan(s.db.QueryRow(`SELECT `+columns+`, document FROM exercises WHERE id = $1`, found.ID), &document)
	if err != nil {
		return nil, err
	}
	e, err := exercise.Read(strings.NewReader(document))
	if err != nil {
		return nil, fmt.Errorf("exercise %q is damaged: %w", ref, err)
	}
	return &Saved{entry, e}, nil
}

// Rename gives an exercise another name.
func (s *Store) Rename(ref, name string) error {
	if err := exercise.CheckName(name); err != nil {
		return err
	}
	x, err := s.Load(ref)
	if err != nil {
		return err
	}
	x.Exercise.Name = name
	return s.Save(x)
}

// Delete puts an exercise away; Restore brings it back.
func (s *Store) Delete(ref string) (Entry, error) {
	e, err := s.find(ref, false)
	if err != nil {
		return e, err
	}
	_, err = s.db.Exec(`UPDATE exercises SET deleted = $1 WHERE id = $2`, s.Now().Unix(), e.ID)
	return e, err
}

// Restore brings back a deleted exercise, by name (the one deleted last) or number. It returns
// ErrNameTaken when another exercise has got its name meanwhile.
func (s *Store) Restore(ref string) (Entry, error) {
	e, err := s.find(ref, true)
	if err != nil {
		return e, err
	}
	if _, err = s.db.Exec(`UPDATE exercises SET deleted = NULL WHERE id = $1`, e.ID); err != nil {
		return e, s.nameError(err, e.Name)
	}
	return e, nil
}

// FreeName is the wanted name, or the first of "NAME 2", "NAME 3" and so on that is free.
func (s *Store) FreeName(wanted string) (string, error) {
	for i := 1; ; i++ {
		name := wanted
		if i > 1 {
			name = fmt.Sprintf("%s %d", wanted, i)
		}
		if _, err := scan(s.db.QueryRow(`SELECT `+columns+` FROM exercises WHERE name = $1 AND deleted IS NULL`, name)); errors.Is(err, sql.ErrNoRows) {
			return name, nil
		} else if err != nil {
			return "", err
		}
	}
}

// AddFree keeps a new exercise under its name or, where another has that, the first of "NAME 2", "NAME 3" and so on that
// is free, also when several programs or requests do so at once.
func (s *Store) AddFree(e *exercise.Exercise) (*Saved, error) {
	wanted := e.Name
	for tries := 0; ; tries++ {
		var err error
		if e.Name, err = s.FreeName(wanted); err != nil {
			return nil, err
		}
		x, err := s.Add(e)
		if !errors.Is(err, ErrNameTaken) || tries == 100 {
			return x, err
		}
	}
}
