package sql

import (
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"time"

	"secondpass/store"
	"secondpass/teach/lesson"
)

// AddLesson keeps a new lesson; store.ErrNameTaken when another has its title.
func (s *Store) AddLesson(l *lesson.Lesson) (*store.SavedLesson, error) {
	var b strings.Builder
	if err := l.Write(&b); err != nil {
		return nil, err
	}
	now := s.Now().Unix()
	x := &store.SavedLesson{LessonEntry: store.LessonEntry{Title: l.Title, Revision: 1, Changed: time.Unix(now, 0)}, Lesson: l}
	err := s.within(func(tx *transaction) (err error) {
		if err = titleFree(tx, l.Title, 0); err != nil {
			return err
		}
		if x.ID, err = next(tx, "lessons"); err != nil {
			return err
		}
		tx.grows = true
		_, err = tx.Exec(`INSERT INTO lessons (teacher, id, title, document, sum, revision, changed) VALUES ($1, $2, $3, $4, $5, 1, $6)`,
			x.ID, l.Title, b.String(), sum(l.Title, b.String()), now)
		return err
	})
	if err != nil {
		return nil, err
	}
	return x, nil
}

// titleFree is store.ErrNameTaken where a lesson other than that of the number has the title.
func titleFree(tx *transaction, title string, id int64) error {
	var taken int
	err := tx.QueryRow(`SELECT COUNT(*) FROM lessons WHERE teacher = $1 AND title = $2 AND deleted IS NULL AND id <> $3`, title, id).Scan(&taken)
	if err == nil && taken > 0 {
		err = fmt.Errorf("%q: %w", title, store.ErrNameTaken)
	}
	return err
}

// SaveLesson keeps a lesson as it is now; store.ErrChanged when another program saved it since it was loaded.
func (s *Store) SaveLesson(x *store.SavedLesson) error {
	var b strings.Builder
	if err := x.Lesson.Write(&b); err != nil {
		return err
	}
	now := s.Now().Unix()
	err := s.within(func(tx *transaction) error {
		if err := titleFree(tx, x.Lesson.Title, x.ID); err != nil {
			return err
		}
		tx.grows = true
		res, err := tx.Exec(`UPDATE lessons SET title = $2, document = $3, sum = $4, revision = revision + 1, changed = $5
			WHERE teacher = $1 AND id = $6 AND revision = $7 AND deleted IS NULL`, x.Lesson.Title, b.String(), sum(x.Lesson.Title, b.String()), now, x.ID, x.Revision)
		return oneRow(res, err, store.ErrChanged)
	})
	if err != nil {
		return err
	}
	x.Revision++
	x.LessonEntry.Title, x.Changed = x.Lesson.Title, time.Unix(now, 0)
	return nil
}

// Lessons is the lessons, the one changed last first.
func (s *Store) Lessons() ([]store.LessonEntry, error) {
	return reading(s, func(tx *transaction) ([]store.LessonEntry, error) {
		return all(tx, scanLesson, `SELECT id, title, revision, changed FROM lessons WHERE teacher = $1 AND deleted IS NULL ORDER BY changed DESC, id DESC`)
	})
}

func scanLesson(from row) (e store.LessonEntry, err error) {
	var changed int64
	err = from.Scan(&e.ID, &e.Title, &e.Revision, &changed)
	e.Changed = time.Unix(changed, 0)
	return e, err
}

// Lesson reads a lesson by its number and checks it.
func (s *Store) Lesson(id int64) (*store.SavedLesson, error) {
	return reading(s, func(tx *transaction) (*store.SavedLesson, error) { return lessonOf(tx, id) })
}

func lessonOf(tx *transaction, id int64) (*store.SavedLesson, error) {
	var e store.LessonEntry
	var changed int64
	var document, kept string
	err := tx.QueryRow(`SELECT id, title, revision, changed, document, sum FROM lessons WHERE teacher = $1 AND id = $2 AND deleted IS NULL`, id).
		Scan(&e.ID, &e.Title, &e.Revision, &changed, &document, &kept)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, fmt.Errorf("%d: %w", id, store.ErrNoLesson)
	}
	if err != nil {
		return nil, err
	}
	e.Changed = time.Unix(changed, 0)
	if kept != sum(e.Title, document) {
		return nil, damaged(fmt.Sprintf("lesson %q", e.Title), errSum)
	}
	l, err := lesson.Read(strings.NewReader(document))
	if err != nil {
		return nil, damaged(fmt.Sprintf("lesson %q", e.Title), err)
	}
	return &store.SavedLesson{LessonEntry: e, Lesson: l}, nil
}

// FindLesson is the number of the lesson with a title.
func (s *Store) FindLesson(title string) (int64, error) {
	return reading(s, func(tx *transaction) (id int64, err error) {
		err = tx.QueryRow(`SELECT id FROM lessons WHERE teacher = $1 AND title = $2 AND deleted IS NULL`, title).Scan(&id)
		if errors.Is(err, sql.ErrNoRows) {
			err = fmt.Errorf("%q: %w", title, store.ErrNoLesson)
		}
		return id, err
	})
}

// DeleteLesson puts a lesson away; RestoreLesson brings it back.
func (s *Store) DeleteLesson(id int64) error {
	now := s.Now().Unix()
	return s.within(func(tx *transaction) error {
		_, err := tx.Exec(`UPDATE lessons SET deleted = $2 WHERE teacher = $1 AND id = $3`, now, id)
		return err
	})
}

// RestoreLesson brings back a deleted lesson; store.ErrNameTaken when another has got its title meanwhile.
func (s *Store) RestoreLesson(id int64) error {
	return s.within(func(tx *transaction) error {
		var title string
		err := tx.QueryRow(`SELECT title FROM lessons WHERE teacher = $1 AND id = $2 AND deleted IS NOT NULL`, id).Scan(&title)
		if errors.Is(err, sql.ErrNoRows) {
			return fmt.Errorf("%d: %w", id, store.ErrNoLesson)
		}
		if err == nil {
			err = titleFree(tx, title, id)
		}
		if err == nil {
			_, err = tx.Exec(`UPDATE lessons SET deleted = NULL WHERE teacher = $1 AND id = $2`, id)
		}
		return err
	})
}
