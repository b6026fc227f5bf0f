package sql

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"secondpass/store"
)

// Check reads everything in the database of a folder: counts says how much of each sort is sound, problems what is not.
// A folder without a database has no problems.
func Check(dir string) (counts, problems []string) {
	if _, err := os.Stat(filepath.Join(dir, FileName)); os.IsNotExist(err) {
		return nil, nil
	}
	s, err := Open(dir)
	if err != nil {
		return nil, []string{err.Error()}
	}
	defer s.Close()
	counts, problems = s.Check()
	return counts, append(s.integrity(), problems...)
}

// Check reads everything that the teacher keeps, as Check of a folder does.
func (s *Store) Check() (counts, problems []string) {
	for _, sort := range []struct {
		word, query string
		read        func(id int64) error
	}{
		{"exercise", `SELECT id FROM exercises WHERE teacher = $1`, s.readsExercise},
		{"drill", `SELECT id FROM drills WHERE teacher = $1 AND deleted IS NULL`, func(id int64) error { _, err := s.Drill(id); return err }},
		{"student", `SELECT id FROM students WHERE teacher = $1`, s.readsStudent},
		{"lesson", `SELECT id FROM lessons WHERE teacher = $1 AND deleted IS NULL`, func(id int64) error { _, err := s.Lesson(id); return err }},
		{"class", `SELECT id FROM classes WHERE teacher = $1`, s.readsClass},
	} {
		ids, err := s.ids(sort.query)
		if err != nil {
			problems = append(problems, fmt.Sprintf("not every %s can be found: %v", sort.word, told(err)))
		}
		sound := 0
		for _, id := range ids {
			if err := sort.read(id); err != nil {
				problems = append(problems, fmt.Sprintf("%s %d: %v", sort.word, id, told(err)))
				continue
			}
			sound++
		}
		counts = append(counts, fmt.Sprintf("%s: %d", sort.word, sound))
	}
	return counts, problems
}

// Sound is a quick look at the whole file; the error wraps store.ErrDamaged where it is not as SQLite left it.
func (d *Database) Sound() error {
	if found := d.integrity(); len(found) > 0 {
		return fmt.Errorf("the data file %s cannot be used: %w", d.path, &store.Trouble{What: store.ErrDamaged, Cause: fmt.Errorf("%s", found[0])})
	}
	return nil
}

// integrity is what SQLite finds wrong with its file.
func (d *Database) integrity() (found []string) {
	rows, err := d.db.Query(`PRAGMA integrity_check(20)`)
	if err == nil {
		defer rows.Close()
		for rows.Next() {
			var text string
			if err = rows.Scan(&text); err == nil && text != "ok" {
				found = append(found, "the data file is damaged: "+text)
			}
		}
		if err == nil {
			err = rows.Err()
		}
	}
	if err != nil {
		found = append(found, told(err).Error())
	}
	return found
}

// ids reads as many numbers as can be read.
func (s *Store) ids(query string) (ids []int64, err error) {
	err = s.reading(func(tx *transaction) (err error) {
		ids, err = numbers(tx.Query(query))
		return err
	})
	return ids, err
}

// readsExercise reads an exercise, deleted or not.
func (s *Store) readsExercise(id int64) error {
	var name, document, kept string
	return s.reading(func(tx *transaction) error {
		err := tx.QueryRow(`SELECT name, document, sum FROM exercises WHERE teacher = $1 AND id = $2`, id).Scan(&name, &document, &kept)
		if err == nil {
			_, err = read(name, document, kept)
		}
		return err
	})
}

func (s *Store) readsClass(id int64) error {
	c, err := s.LoadClass(id)
	if err == nil && len(c.Unread) > 0 {
		err = errors.New(strings.Join(c.Unread, "; "))
	}
	return err
}

func (s *Store) readsStudent(id int64) error {
	return s.reading(func(tx *transaction) error {
		st, err := scanStudent(tx.QueryRow(`SELECT `+studentColumns+` FROM students WHERE teacher = $1 AND id = $2`, id))
		if err == nil {
			_, err = studentData(tx, st)
		}
		return err
	})
}
