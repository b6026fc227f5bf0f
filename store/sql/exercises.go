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
	x := &store.Saved{Entry: store.Entry{Name: e.Name, Revision: 1, Created: time.Unix(now, 0), Changed: time.Unix(now, 0)}, Exercise: e}
	err = s.within(func(tx *transaction) error {
		if err := nameFree(tx, e.Name, 0); err != nil {
			return err
		}
		x.ID, err = insertExercise(tx, e.Name, document, now)
		return err
	})
	if err != nil {
		return nil, err
	}
	return x, nil
}

func insertExercise(tx *transaction, name, document string, now int64) (id int64, err error) {
	if id, err = next(tx, "exercises"); err != nil {
		return 0, err
	}
	by := searchedIn(document)
	tx.grows = true
	_, err = tx.Exec(`INSERT INTO exercises (teacher, id, name, document, sum, revision, created, changed, card, deal, aims) VALUES ($1, $2, $3, $4, $5, 1, $6, $6, $7, $8, $9)`,
		id, name, document, sum(name, document), now, by.card, by.deal, by.aims)
	return id, err
}

// Save keeps the exercise as it is now. It returns store.ErrChanged when another program saved it since
// it was loaded, and then keeps theirs.
func (s *Store) Save(x *store.Saved) error { return s.saveWith(x, nil) }

// saveWith keeps an exercise, and what more says in the same transaction.
func (s *Store) saveWith(x *store.Saved, more func(tx *transaction) error) error {
	document, err := text(x.Exercise)
	if err != nil {
		return err
	}
	now := s.Now().Unix()
	err = s.within(func(tx *transaction) error {
		if err := nameFree(tx, x.Exercise.Name, x.ID); err != nil {
			return err
		}
		by := searchedIn(document)
		res, err := tx.Exec(`UPDATE exercises SET name = $2, document = $3, sum = $4, revision = revision + 1, changed = $5, card = $8, deal = $9, aims = $10
			WHERE teacher = $1 AND id = $6 AND revision = $7 AND deleted IS NULL`, x.Exercise.Name, document, sum(x.Exercise.Name, document), now, x.ID, x.Revision, by.card, by.deal, by.aims)
		if err := oneRow(res, err, store.ErrChanged); err != nil {
			return err
		}
		if more != nil { // a class is opened
			return more(tx)
		}
		tx.grows = true
		return nil
	})
	if err != nil {
		return err
	}
	x.Revision++
	x.Entry.Name, x.Changed = x.Exercise.Name, time.Unix(now, 0)
	return nil
}

// nameFree is store.ErrNameTaken where an exercise other than that of the number has the name.
func nameFree(tx *transaction, name string, id int64) error {
	var taken int
	err := tx.QueryRow(`SELECT COUNT(*) FROM exercises WHERE teacher = $1 AND name = $2 AND deleted IS NULL AND id <> $3`, name, id).Scan(&taken)
	if err == nil && taken > 0 {
		err = fmt.Errorf("%q: %w", name, store.ErrNameTaken)
	}
	return err
}

func read(name, document, kept string) (*exercise.Exercise, error) {
	if kept != sum(name, document) {
		return nil, errSum
	}
	return exercise.Read(strings.NewReader(document))
}

func text(e *exercise.Exercise) (string, error) {
	var b strings.Builder
	err := e.Write(&b)
	return b.String(), err
}

const columns = `id, name, revision, created, changed, deleted IS NOT NULL`

func scanEntry(r row) (store.Entry, error) { return scan(r) }

func scan(r row, more ...any) (store.Entry, error) {
	var e store.Entry
	var created, changed int64
	err := r.Scan(append([]any{&e.ID, &e.Name, &e.Revision, &created, &changed, &e.Deleted}, more...)...)
	e.Created, e.Changed = time.Unix(created, 0), time.Unix(changed, 0)
	return e, err
}

// List is the exercises, the one changed last first; with deleted, those deleted instead.
func (s *Store) List(deleted bool) ([]store.Entry, error) {
	return reading(s, func(tx *transaction) ([]store.Entry, error) {
		return all(tx, scanEntry, `SELECT `+columns+` FROM exercises WHERE teacher = $1 AND (deleted IS NOT NULL) = $2
			ORDER BY changed DESC, id DESC`, deleted)
	})
}

// find looks an exercise up by its name, in capitals or not, or, where no name fits, its number. The name as it is written
// goes before others; two that are written otherwise are [store.ErrSeveral].
func find(tx *transaction, ref string, deleted bool) (store.Entry, error) {
	e, err := scan(tx.QueryRow(`SELECT `+columns+` FROM exercises
		WHERE teacher = $1 AND name = $2 AND (deleted IS NOT NULL) = $3 ORDER BY deleted DESC LIMIT 1`, ref, deleted))
	if errors.Is(err, sql.ErrNoRows) {
		e, err = findFolded(tx, ref, deleted)
	}
	if errors.Is(err, sql.ErrNoRows) {
		id, bad := strconv.ParseInt(ref, 10, 64)
		if bad != nil {
			return e, fmt.Errorf("%q: %w", ref, store.ErrNotFound)
		}
		e, err = scan(tx.QueryRow(`SELECT `+columns+` FROM exercises
			WHERE teacher = $1 AND id = $2 AND (deleted IS NOT NULL) = $3`, id, deleted))
	}
	if errors.Is(err, sql.ErrNoRows) {
		return e, fmt.Errorf("%q: %w", ref, store.ErrNotFound)
	}
	return e, err
}

// findFolded looks for a name that differs in capitals alone; the database knows those of ASCII only.
func findFolded(tx *transaction, ref string, deleted bool) (found store.Entry, err error) {
	entries, err := all(tx, scanEntry, `SELECT `+columns+` FROM exercises WHERE teacher = $1 AND (deleted IS NOT NULL) = $2 ORDER BY deleted DESC`, deleted)
	if err != nil {
		return found, err
	}
	err = sql.ErrNoRows
	for _, e := range entries {
		switch {
		case !strings.EqualFold(e.Name, ref) || e.Name == found.Name:
		case found.Name != "":
			return found, fmt.Errorf("%q: %w: %q and %q", ref, store.ErrSeveral, found.Name, e.Name)
		default:
			found, err = e, nil
		}
	}
	return found, err
}

// Load reads an exercise by its name or number and checks it.
func (s *Store) Load(ref string) (*store.Saved, error) {
	return reading(s, func(tx *transaction) (*store.Saved, error) { return load(tx, ref) })
}

func load(tx *transaction, ref string) (*store.Saved, error) {
	found, err := find(tx, ref, false)
	if err != nil {
		return nil, err
	}
	var document, kept string
	entry, err := scan(tx.QueryRow(`SELECT `+columns+`, document, sum FROM exercises WHERE teacher = $1 AND id = $2`, found.ID), &document, &kept)
	if err != nil {
		return nil, err
	}
	e, err := read(entry.Name, document, kept)
	if err != nil {
		return nil, damaged(fmt.Sprintf("exercise %q", ref), err)
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

// Delete puts an exercise away; Restore brings it back. One on which a class works is store.ErrInClass.
func (s *Store) Delete(ref string) (e store.Entry, err error) {
	now := s.Now().Unix()
	err = s.within(func(tx *transaction) (err error) {
		if e, err = find(tx, ref, false); err != nil {
			return err
		}
		var class int64
		err = tx.QueryRow(`SELECT id FROM classes WHERE teacher = $1 AND exercise = $2 AND ended = 0 ORDER BY id LIMIT 1`, e.ID).Scan(&class)
		switch {
		case err == nil:
			return fmt.Errorf("%q is not deleted, class %d: %w", e.Name, class, store.ErrInClass)
		case !errors.Is(err, sql.ErrNoRows):
			return err
		}
		_, err = tx.Exec(`UPDATE exercises SET deleted = $2 WHERE teacher = $1 AND id = $3`, now, e.ID)
		return err
	})
	return e, err
}

// Restore brings back a deleted exercise, by name (the one deleted last) or number. It returns
// store.ErrNameTaken when another exercise has got its name meanwhile.
func (s *Store) Restore(ref string) (e store.Entry, err error) {
	err = s.within(func(tx *transaction) (err error) {
		if e, err = find(tx, ref, true); err == nil {
			err = nameFree(tx, e.Name, e.ID)
		}
		if err == nil {
			_, err = tx.Exec(`UPDATE exercises SET deleted = NULL WHERE teacher = $1 AND id = $2`, e.ID)
		}
		return err
	})
	return e, err
}

// FreeName is the wanted name, or the first of "NAME 2", "NAME 3" and so on that is free.
func (s *Store) FreeName(wanted string) (string, error) {
	return reading(s, func(tx *transaction) (string, error) { return freeName(tx, wanted) })
}

func freeName(tx *transaction, wanted string) (string, error) {
	for i := 1; ; i++ {
		name := wanted
		if i > 1 {
			name = fmt.Sprintf("%s %d", wanted, i)
		}
		var taken int
		err := tx.QueryRow(`SELECT COUNT(*) FROM exercises WHERE teacher = $1 AND name = $2 AND deleted IS NULL`, name).Scan(&taken)
		if err != nil || taken == 0 {
			return name, err
		}
	}
}

// AddFree keeps a new exercise under its name or, where another has that, the first of "NAME 2", "NAME 3" and so on that
// is free, also when several programs or requests do so at once.
func (s *Store) AddFree(e *exercise.Exercise) (*store.Saved, error) {
	if err := exercise.CheckName(e.Name); err != nil {
		return nil, err
	}
	now := s.Now().Unix()
	named := *e
	x := &store.Saved{Entry: store.Entry{Revision: 1, Created: time.Unix(now, 0), Changed: time.Unix(now, 0)}, Exercise: e}
	err := s.within(func(tx *transaction) (err error) {
		if named.Name, err = freeName(tx, e.Name); err != nil {
			return err
		}
		document, err := text(&named)
		if err != nil {
			return err
		}
		x.ID, err = insertExercise(tx, named.Name, document, now)
		return err
	})
	if err != nil {
		return nil, err
	}
	e.Name, x.Entry.Name = named.Name, named.Name
	return x, nil
}
