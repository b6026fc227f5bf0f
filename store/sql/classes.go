package sql

import (
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"secondpass/store"
	"secondpass/teach/class"
)

// micro and moment turn moments into numbers and back; the zero time is 0.
func micro(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixMicro()
}

func moment(n int64) time.Time {
	if n == 0 {
		return time.Time{}
	}
	return time.UnixMicro(n)
}

func bit(b bool) int {
	if b {
		return 1
	}
	return 0
}

// AddClass keeps a new class and gives it its number, with its exercise where it walks on that. A code that another open
// class has is store.ErrNameTaken.
func (s *Store) AddClass(c *store.SavedClass, walked *store.Saved) error {
	routes, err := json.Marshal(c.Routes)
	if err != nil {
		return err
	}
	var title, document, documentSum string
	var exercise sql.NullInt64
	if c.Lesson != nil {
		var b strings.Builder
		if err := c.Lesson.Write(&b); err != nil {
			return err
		}
		title, document, documentSum = c.Lesson.Title, b.String(), sum("", b.String())
	} else {
		exercise = sql.NullInt64{Int64: c.Exercise, Valid: true}
	}
	var id int64
	add := func(tx *transaction) error {
		if c.Lesson == nil {
			if _, err := find(tx, strconv.FormatInt(c.Exercise, 10), false); err != nil {
				return err
			}
		}
		if id, err = next(tx, "classes"); err != nil {
			return err
		}
		// A code leads to one class, whoever's it is, also where that cannot be seen from here.
		res, err := tx.Exec(`INSERT INTO classes (teacher, id, code, link, secret, exercise, mode, seconds, routes, sum, ranking, opened, ended, title, lesson, lesson_sum)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, 0, $11, 0, $12, $13, $14) ON CONFLICT (code) WHERE code <> '' DO NOTHING`,
			id, c.Code, c.Link, c.Key, exercise, string(c.Mode), c.Seconds, string(routes), sum("", string(routes)), micro(c.Opened), title, document, documentSum)
		return oneRow(res, err, fmt.Errorf("the code %s: %w", c.Code, store.ErrNameTaken))
	}
	if walked != nil {
		err = s.saveWith(walked, add)
	} else {
		err = s.within(add)
	}
	if err != nil {
		return err
	}
	c.ID = id
	if c.Tokens == nil {
		c.Tokens, c.Phones = map[string]int{}, map[string]int{}
	}
	return nil
}

// Classes lists all classes, the newest first.
func (s *Store) Classes() ([]store.ClassEntry, error) {
	return reading(s, func(tx *transaction) ([]store.ClassEntry, error) {
		return all(tx, scanClass, `SELECT c.id, COALESCE(e.name, c.title), c.mode, (SELECT COUNT(*) FROM class_students t
				WHERE t.teacher = $1 AND t.class = c.id AND t.removed = 0), c.opened, c.ended, c.secret
			FROM classes c LEFT JOIN exercises e ON e.teacher = c.teacher AND e.id = c.exercise WHERE c.teacher = $1 ORDER BY c.id DESC`)
	})
}

func scanClass(from row) (c store.ClassEntry, err error) {
	var opened, ended int64
	err = from.Scan(&c.ID, &c.About, &c.Mode, &c.Students, &opened, &ended, &c.Key)
	c.Opened, c.Ended = moment(opened), moment(ended)
	return c, err
}

// ClassOf is the number of the class in which a student is known by a token; store.ErrNoClass where none is.
func (s *Store) ClassOf(token string) (int64, error) {
	return s.classBy(`SELECT class FROM class_students WHERE teacher = $1 AND token = $2`, token)
}

// classBy is the number of the class that a query finds.
func (s *Store) classBy(query, key string) (int64, error) {
	return reading(s, func(tx *transaction) (id int64, err error) {
		err = tx.QueryRow(query, key).Scan(&id)
		if errors.Is(err, sql.ErrNoRows) {
			err = store.ErrNoClass
		}
		return id, err
	})
}

// ClassByCode is the number of the class that a code or link lets into; store.ErrNoClass where it lets into none.
func (s *Store) ClassByCode(code string) (int64, error) {
	return s.classBy(`SELECT id FROM classes WHERE teacher = $1 AND (code = $2 OR link = $2) AND code <> ''`, code)
}

// SaveClass keeps what changes of a class as a whole: its code, link, routes, ranking and end.
func (s *Store) SaveClass(c *store.SavedClass) error {
	return s.within(func(tx *transaction) error { return saveClass(tx, c) })
}

func saveClass(tx *transaction, c *store.SavedClass) error {
	routes, err := json.Marshal(c.Routes)
	if err != nil {
		return err
	}
	_, err = tx.Exec(`UPDATE classes SET code = $2, link = $3, routes = $4, sum = $5, ranking = $6, ended = $7 WHERE teacher = $1 AND id = $8`,
		c.Code, c.Link, string(routes), sum("", string(routes)), bit(c.Ranking), micro(c.Ended), c.ID)
	return err
}

// AddClassStudent keeps who joined: token is what the student is known by, phone the phone.
func (s *Store) AddClassStudent(id int64, st class.Student, token, phone string) error {
	return s.within(func(tx *transaction) error {
		_, err := tx.Exec(`INSERT INTO class_students (teacher, class, id, name, token, sum, phone, joined) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
			id, st.ID, st.Name, token, sum(st.Name, token), phone, micro(st.Joined))
		return err
	})
}

// RemoveClassStudent deletes the name and the answers of a student. The number stays taken, and the phone counted.
func (s *Store) RemoveClassStudent(id int64, student int) error {
	return s.within(func(tx *transaction) error {
		res, err := tx.Exec(`UPDATE class_students SET name = '', removed = 1 WHERE teacher = $1 AND class = $2 AND id = $3`, id, student)
		if err := oneRow(res, err, fmt.Errorf("student %d of class %d: %w", student, id, class.ErrStranger)); err != nil {
			return err
		}
		_, err = tx.Exec(`DELETE FROM class_votes WHERE teacher = $1 AND class = $2 AND student = $3`, id, student)
		return err
	})
}

// SaveRound keeps a round of a class, new or changed, without its votes.
func (s *Store) SaveRound(id int64, r *class.Round) error {
	return s.within(func(tx *transaction) error { return saveRound(tx, id, r) })
}

func saveRound(tx *transaction, id int64, r *class.Round) error {
	question, err := json.Marshal(r.Question)
	if err != nil {
		return err
	}
	follows, err := json.Marshal(r.Follows)
	if err != nil {
		return err
	}
	judgement := ""
	if r.Judgement != nil {
		b, err := json.Marshal(r.Judgement)
		if err != nil {
			return err
		}
		judgement = string(b)
	}
	_, err = tx.Exec(`INSERT INTO class_rounds (teacher, class, n, route, at, question, opened, deadline, closed, count_at, counted, follows, judgement, question_sum, follows_sum, judgement_sum)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16)
		ON CONFLICT (teacher, class, n) DO UPDATE SET deadline = excluded.deadline, closed = excluded.closed, count_at = excluded.count_at,
			counted = excluded.counted, follows = excluded.follows, judgement = excluded.judgement,
			follows_sum = excluded.follows_sum, judgement_sum = excluded.judgement_sum`,
		id, r.N, r.Route, r.At, string(question), micro(r.Opened), micro(r.Deadline), micro(r.Closed), micro(r.Count), bit(r.Counted), string(follows), judgement,
		sum("", string(question)), sum("", string(follows)), sum("", judgement))
	return err
}

// SaveFollow keeps an exercise that a class has walked on, the class and its round, all or nothing. It returns
// store.ErrChanged as Save does.
func (s *Store) SaveFollow(x *store.Saved, c *store.SavedClass, r *class.Round) error {
	return s.saveWith(x, func(tx *transaction) error {
		if err := saveClass(tx, c); err != nil {
			return err
		}
		return saveRound(tx, c.ID, r)
	})
}

// DeleteClass deletes a class with the names and answers in it, for good.
func (s *Store) DeleteClass(id int64) error {
	return s.within(func(tx *transaction) error {
		res, err := tx.Exec(`DELETE FROM classes WHERE teacher = $1 AND id = $2`, id)
		return oneRow(res, err, fmt.Errorf("%d: %w", id, store.ErrNoClass))
	})
}
