package sql

import (
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
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

// AddClass keeps a new class and gives it its number. A code that another open class has is store.ErrNameTaken.
func (s *Store) AddClass(c *store.SavedClass) error {
	routes, err := json.Marshal(c.Routes)
	if err != nil {
		return err
	}
	var id int64
	err = s.within(func(tx *sql.Tx) error {
		var taken int
		if err := tx.QueryRow(`SELECT COUNT(*) FROM classes WHERE code = $1 AND code <> ''`, c.Code).Scan(&taken); err != nil {
			return err
		}
		if taken > 0 {
			return fmt.Errorf("the code %s: %w", c.Code, store.ErrNameTaken)
		}
		if id, err = next(tx, "classes"); err != nil {
			return err
		}
		_, err = tx.Exec(`INSERT INTO classes (id, code, secret, exercise, mode, seconds, routes, ranking, opened, ended)
			VALUES ($1, $2, $3, $4, $5, $6, $7, 0, $8, 0)`,
			id, c.Code, c.Key, c.Exercise, string(c.Mode), c.Seconds, string(routes), micro(c.Opened))
		return err
	})
	if err != nil {
		return err
	}
	c.ID = id
	if c.Tokens == nil {
		c.Tokens = map[string]int{}
	}
	return nil
}

// Classes lists all classes, the newest first.
func (s *Store) Classes() (list []store.ClassEntry, err error) {
	defer unread(&err)
	rows, err := s.db.Query(`SELECT c.id, e.name, c.mode, (SELECT COUNT(*) FROM class_students t WHERE t.class = c.id), c.opened, c.ended, c.secret
		FROM classes c JOIN exercises e ON e.id = c.exercise ORDER BY c.id DESC`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var c store.ClassEntry
		var opened, ended int64
		if err := rows.Scan(&c.ID, &c.Exercise, &c.Mode, &c.Students, &opened, &ended, &c.Key); err != nil {
			return nil, err
		}
		c.Opened, c.Ended = moment(opened), moment(ended)
		list = append(list, c)
	}
	return list, rows.Err()
}

// ClassOf is the number of the class in which a student is known by a token; store.ErrNoClass where none is.
func (s *Store) ClassOf(token string) (id int64, err error) {
	defer unread(&err)
	err = s.db.QueryRow(`SELECT class FROM class_students WHERE token = $1`, token).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		err = store.ErrNoClass
	}
	return id, err
}

// ClassByCode is the number of the class that a code lets into; store.ErrNoClass where it lets into none.
func (s *Store) ClassByCode(code string) (id int64, err error) {
	defer unread(&err)
	err = s.db.QueryRow(`SELECT id FROM classes WHERE code = $1 AND code <> ''`, code).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		err = store.ErrNoClass
	}
	return id, err
}

// LoadClass reads a class with everything in it.
func (s *Store) LoadClass(id int64) (*store.SavedClass, error) {
	c := &store.SavedClass{ID: id, Tokens: map[string]int{}, Class: &class.Class{Walks: map[int][]class.Choice{}}}
	var routes string
	var opened, ended int64
	err := s.db.QueryRow(`SELECT code, secret, exercise, mode, seconds, routes, ranking, opened, ended FROM classes WHERE id = $1`, id).
		Scan(&c.Code, &c.Key, &c.Exercise, &c.Mode, &c.Seconds, &routes, &c.Ranking, &opened, &ended)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, fmt.Errorf("%d: %w", id, store.ErrNoClass)
	}
	if err == nil {
		err = json.Unmarshal([]byte(routes), &c.Routes)
	}
	c.Opened, c.Ended = moment(opened), moment(ended)
	for _, load := range []func(*store.SavedClass) error{s.loadStudents, s.loadRounds, s.loadVotes} {
		if err == nil {
			err = load(c)
		}
	}
	if err != nil {
		return nil, fmt.Errorf("class %d cannot be read: %w", id, told(err))
	}
	return c, nil
}

func (s *Store) loadStudents(c *store.SavedClass) error {
	rows, err := s.db.Query(`SELECT id, name, token, joined FROM class_students WHERE class = $1 ORDER BY id`, c.ID)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var st class.Student
		var token string
		var joined int64
		if err := rows.Scan(&st.ID, &st.Name, &token, &joined); err != nil {
			return err
		}
		st.Joined = moment(joined)
		c.Students = append(c.Students, st)
		c.Tokens[token] = st.ID
	}
	return rows.Err()
}

func (s *Store) loadRounds(c *store.SavedClass) error {
	rows, err := s.db.Query(`SELECT n, route, at, question, opened, deadline, closed, count_at, counted, follows, judgement
		FROM class_rounds WHERE class = $1 ORDER BY n`, c.ID)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		r := &class.Round{Votes: map[int]class.Vote{}}
		var question, follows, judgement string
		var opened, deadline, closed, count int64
		err := rows.Scan(&r.N, &r.Route, &r.At, &question, &opened, &deadline, &closed, &count, &r.Counted, &follows, &judgement)
		if err == nil {
			err = json.Unmarshal([]byte(question), &r.Question)
		}
		if err == nil {
			err = json.Unmarshal([]byte(follows), &r.Follows)
		}
		if err == nil && judgement != "" {
			err = json.Unmarshal([]byte(judgement), &r.Judgement)
		}
		if err != nil {
			return err
		}
		r.Opened, r.Deadline, r.Closed, r.Count = moment(opened), moment(deadline), moment(closed), moment(count)
		c.Rounds = append(c.Rounds, r)
	}
	return rows.Err()
}

// loadVotes reads the votes in the order in which they replaced each other, and the decisions of a duplicate class as far
// as they are whole.
func (s *Store) loadVotes(c *store.SavedClass) error {
	rows, err := s.db.Query(`SELECT round, student, seq, choice, made, received FROM class_votes WHERE class = $1
		ORDER BY round, student, seq`, c.ID)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var v class.Vote
		var round, student int
		var choice string
		var made, received int64
		if err := rows.Scan(&round, &student, &v.Seq, &choice, &made, &received); err != nil {
			return err
		}
		damaged := json.Unmarshal([]byte(choice), &v.Choice)
		v.Made, v.Received = moment(made), moment(received)
		switch {
		case c.Mode == class.Duplicate:
			due := len(c.Walks[student]) + 1
			if c.Gaps[student] > 0 || round != due || damaged != nil {
				if c.Gaps == nil {
					c.Gaps = map[int]int{}
				}
				c.Gaps[student] = due
				continue
			}
			c.Walks[student] = append(c.Walks[student], v.Choice)
		case damaged != nil:
			return damaged
		case round >= 1 && round <= len(c.Rounds):
			c.Rounds[round-1].Votes[student] = v
		}
	}
	return rows.Err()
}

// SaveClass keeps what changes of a class as a whole: its code, routes, ranking and end.
func (s *Store) SaveClass(c *store.SavedClass) error {
	return s.within(func(tx *sql.Tx) error { return saveClass(tx, c) })
}

func saveClass(tx *sql.Tx, c *store.SavedClass) error {
	routes, err := json.Marshal(c.Routes)
	if err != nil {
		return err
	}
	_, err = tx.Exec(`UPDATE classes SET code = $1, routes = $2, ranking = $3, ended = $4 WHERE id = $5`,
		c.Code, string(routes), bit(c.Ranking), micro(c.Ended), c.ID)
	return err
}

// AddClassStudent keeps who joined, with what the phone is known by.
func (s *Store) AddClassStudent(id int64, st class.Student, token string) error {
	return s.within(func(tx *sql.Tx) error {
		_, err := tx.Exec(`INSERT INTO class_students (class, id, name, token, joined) VALUES ($1, $2, $3, $4, $5)`,
			id, st.ID, st.Name, token, micro(st.Joined))
		return err
	})
}

// SaveRound keeps a round of a class, new or changed, without its votes.
func (s *Store) SaveRound(id int64, r *class.Round) error {
	return s.within(func(tx *sql.Tx) error { return saveRound(tx, id, r) })
}

func saveRound(tx *sql.Tx, id int64, r *class.Round) error {
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
	_, err = tx.Exec(`INSERT INTO class_rounds (class, n, route, at, question, opened, deadline, closed, count_at, counted, follows, judgement)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)
		ON CONFLICT (class, n) DO UPDATE SET deadline = excluded.deadline, closed = excluded.closed, count_at = excluded.count_at,
			counted = excluded.counted, follows = excluded.follows, judgement = excluded.judgement`,
		id, r.N, r.Route, r.At, string(question), micro(r.Opened), micro(r.Deadline), micro(r.Closed), micro(r.Count), bit(r.Counted), string(follows), judgement)
	return err
}

// SaveFollow keeps an exercise that a class has walked on, the class and its round, all or nothing. It returns
// store.ErrChanged as Save does.
func (s *Store) SaveFollow(x *store.Saved, c *store.SavedClass, r *class.Round) error {
	return s.saveWith(x, func(tx *sql.Tx) error {
		if err := saveClass(tx, c); err != nil {
			return err
		}
		return saveRound(tx, c.ID, r)
	})
}

// DeleteClass deletes a class with the names and answers in it, for good.
func (s *Store) DeleteClass(id int64) error {
	return s.within(func(tx *sql.Tx) error {
		res, err := tx.Exec(`DELETE FROM classes WHERE id = $1`, id)
		return oneRow(res, err, fmt.Errorf("%d: %w", id, store.ErrNoClass))
	})
}
