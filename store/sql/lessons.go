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
	err := s.db.QueryRow(`INSERT INTO lessons (id, title, document, revision, changed)
		SELECT COALESCE(MAX(id), 0) + 1, $1, $2, 1, $3 FROM lessons RETURNING id`, l.Title, b.String(), now).Scan(&x.ID)
	if err != nil {
		return nil, s.titleError(err, l.Title)
	}
	return x, nil
}

// titleError makes store.ErrNameTaken of a failure that a taken title explains.
func (s *Store) titleError(err error, title string) error {
	var n int
	if s.db.QueryRow(`SELECT COUNT(*) FROM lessons WHERE title = $1 AND deleted IS NULL`, title).Scan(&n) == nil && n > 0 {
		return fmt.Errorf("%q: %w", title, store.ErrNameTaken)
	}
	return err
}

// SaveLesson keeps a lesson as it is now; store.ErrChanged when another program saved it since it was loaded.
func (s *Store) SaveLesson(x *store.SavedLesson) error {
	var b strings.Builder
	if err := x.Lesson.Write(&b); err != nil {
		return err
	}
	res, err := s.db.Exec(`UPDATE lessons SET title = $1, document = $2, revision = revision + 1, changed = $3
		WHERE id = $4 AND revision = $5 AND deleted IS NULL`, x.Lesson.Title, b.String(), s.Now().Unix(), x.ID, x.Revision)
	if err != nil {
		return s.titleError(err, x.Lesson.Title)
	}
	if n, err := res.RowsAffected(); err != nil || n == 0 {
		return errors.Join(err, store.ErrChanged)
	}
	x.Revision++
	x.LessonEntry.Title = x.Lesson.Title
	return nil
}

// Lessons is the lessons, the one changed last first.
func (s *Store) Lessons() ([]store.LessonEntry, error) {
	rows, err := s.db.Query(`SELECT id, title, revision, changed FROM lessons WHERE deleted IS NULL ORDER BY changed DESC, id DESC`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var entries []store.LessonEntry
	for rows.Next() {
		var e store.LessonEntry
		var changed int64
		if err := rows.Scan(&e.ID, &e.Title, &e.Revision, &changed); err != nil {
			return nil, err
		}
		e.Changed = time.Unix(changed, 0)
		entries = append(entries, e)
	}
	return entries, rows.Err()
}

// Lesson reads a lesson by its number and checks it.
func (s *Store) Lesson(id int64) (*store.SavedLesson, error) {
	var e store.LessonEntry
	var changed int64
	var document string
	err := s.db.QueryRow(`SELECT id, title, revision, changed, document FROM lessons WHERE id = $1 AND deleted IS NULL`, id).
		Scan(&e.ID, &e.Title, &e.Revision, &changed, &document)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, fmt.Errorf("%d: %w", id, store.ErrNoLesson)
	}
	if err != nil {
		return nil, err
	}
	e.Changed = time.Unix(changed, 0)
	l, err := lesson.Read(strings.NewReader(document))
	if err != nil {
		return nil, fmt.Errorf("lesson %q is damaged: %w", e.Title, err)
	}
	return &store.SavedLesson{LessonEntry: e, Lesson: l}, nil
}

// FindLesson is the number of the lesson with a title.
func (s *Store) FindLesson(title string) (int64, error) {
	var id int64
	err := s.db.QueryRow(`SELECT id FROM lessons WHERE title = $1 AND deleted IS NULL`, title).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, fmt.Errorf("%q: %w", title, store.ErrNoLesson)
	}
	return id, err
}

// DeleteLesson puts a lesson away; RestoreLesson brings it back.
func (s *Store) DeleteLesson(id int64) error {
	_, err := s.db.Exec(`UPDATE lessons SET deleted = $1 WHERE id = $2`, s.Now().Unix(), id)
	return err
}

// RestoreLesson brings back a deleted lesson; store.ErrNameTaken when another has got its title meanwhile.
func (s *Store) RestoreLesson(id int64) error {
	var title string
	if err := s.db.QueryRow(`SELECT title FROM lessons WHERE id = $1 AND deleted IS NOT NULL`, id).Scan(&title); err != nil {
		return fmt.Errorf("%d: %w", id, store.ErrNoLesson)
	}
	if _, err := s.db.Exec(`UPDATE lessons SET deleted = NULL WHERE id = $1`, id); err != nil {
		return s.titleError(err, title)
	}
	return nil
}
