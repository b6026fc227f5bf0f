package sql

import (
	"database/sql"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"secondpass/exercise"
	"secondpass/store"
)

// Add keeps a new exercise. It returns store.ErrNameTaken when its name is.
func (s *Store) Add(e *exercise.Exercise) (*store.Saved, error) {
	if err := exercise.CheckName(e.Name); err != nil {
		return nil, err
	}
	document, err := text(e)
	if err != nil {
		return nil, err
	}
	now := s.Now().Unix()
	entry := store.Entry{Name: e.Name, Revision: 1, Created: time.Unix(now, 0), Changed: time.Unix(now, 0)}
	err = s.db.QueryRow(`INSERT INTO exercises (id, name, document, revision, created, changed)
		SELECT COALESCE(MAX(id), 0) + 1, $1, $2, 1, $3, $3 FROM exercises RETURNING id`,
		e.Name, document, now).Scan(&entry.ID)
	if err != nil {
		return nil, s.nameError(err, e.Name)
	}
	return &store.Saved{Entry: entry, Exercise: e}, nil
}

// Save keeps the exercise as it is now. It returns store.ErrChanged when another program saved it since
// it was loaded, and then keeps theirs.
func (s *Store) Save(x *store.Saved) error { return s.save(s.db, x) }

func (s *Store) save(db execer, x *store.Saved) error {
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
		return errors.Join(err, store.ErrChanged)
	}
	x.Revision++
	x.Entry.Name, x.Changed = x.Exercise.Name, time.Unix(now, 0)
	return nil
}

// nameError makes store.ErrNameTaken of a failure that a taken name explains.
func (s *Store) nameError(err error, name string) error {
	if _, found := s.find(name, false); found == nil {
		return fmt.Errorf("%q: %w", name, store.ErrNameTaken)
	}
	return err
}

func text(e *exercise.Exercise) (string, error) {
	var b strings.Builder
	err := e.Write(&b)
	return b.String(), err
}

const columns = `id, name, revision, created, changed, deleted IS NOT NULL`

func scan(row interface{ Scan(...any) error }, more ...any) (store.Entry, error) {
	var e store.Entry
	var created, changed int64
	err := row.Scan(append([]any{&e.ID, &e.Name, &e.Revision, &created, &changed, &e.Deleted}, more...)...)
	e.Created, e.Changed = time.Unix(created, 0), time.Unix(changed, 0)
	return e, err
}

// List is the exercises, the one changed last first; with deleted, those deleted instead.
func (s *Store) List(deleted bool) ([]store.Entry, error) {
	rows, err := s.db.Query(`SELECT `+columns+` FROM exercises WHERE (deleted IS NOT NULL) = $1
		ORDER BY changed DESC, id DESC`, deleted)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var entries []store.Entry
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
func (s *Store) find(ref string, deleted bool) (store.Entry, error) {
	e, err := scan(s.db.QueryRow(`SELECT `+columns+` FROM exercises
		WHERE name = $1 AND (deleted IS NOT NULL) = $2 ORDER BY deleted DESC LIMIT 1`, ref, deleted))
	if errors.Is(err, sql.ErrNoRows) {
		id, bad := strconv.ParseInt(ref, 10, 64)
		if bad != nil {
			return e, fmt.Errorf("%q: %w", ref, store.ErrNotFound)
		}
		e, err = scan(s.db.QueryRow(`SELECT `+columns+` FROM exercises
			WHERE id = $1 AND (deleted IS NOT NULL) = $2`, id, deleted))
	}
	if errors.Is(err, sql.ErrNoRows) {
		return e, fmt.Errorf("%q: %w", ref, store.ErrNotFound)
	}
	return e, err
}

// Load reads an exercise by its name or number and checks it.
func (s *Store) Load(ref string) (*store.Saved, error) {
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
	return &store.Saved{Entry: entry, Exercise: e}, nil
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
func (s *Store) Delete(ref string) (store.Entry, error) {
	e, err := s.find(ref, false)
	if err != nil {
		return e, err
	}
	_, err = s.db.Exec(`UPDATE exercises SET deleted = $1 WHERE id = $2`, s.Now().Unix(), e.ID)
	return e, err
}

// Restore brings back a deleted exercise, by name (the one deleted last) or number. It returns
// store.ErrNameTaken when another exercise has got its name meanwhile.
func (s *Store) Restore(ref string) (store.Entry, error) {
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
func (s *Store) AddFree(e *exercise.Exercise) (*store.Saved, error) {
	wanted := e.Name
	for tries := 0; ; tries++ {
		var err error
		if e.Name, err = s.FreeName(wanted); err != nil {
			return nil, err
		}
		x, err := s.Add(e)
		if !errors.Is(err, store.ErrNameTaken) || tries == 100 {
			return x, err
		}
	}
}
