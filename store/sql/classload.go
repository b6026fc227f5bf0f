package sql

import (
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"secondpass/store"
	"secondpass/teach/class"
	"secondpass/teach/lesson"
)

// LoadClass reads a class with everything in it. What of it cannot be read is named in Unread, and the rest is there.
func (s *Store) LoadClass(id int64) (*store.SavedClass, error) {
	return reading(s, func(tx *transaction) (*store.SavedClass, error) { return loadClass(tx, id) })
}

func loadClass(tx *transaction, id int64) (*store.SavedClass, error) {
	c := &store.SavedClass{ID: id, Tokens: map[string]int{}, Phones: map[string]int{}, Class: &class.Class{Walks: map[int][]class.Choice{}}}
	var routes, routesSum, document, documentSum string
	var exercise sql.NullInt64
	var opened, ended int64
	err := tx.QueryRow(`SELECT code, link, secret, exercise, mode, seconds, routes, sum, ranking, opened, ended, lesson, lesson_sum FROM classes WHERE teacher = $1 AND id = $2`, id).
		Scan(&c.Code, &c.Link, &c.Key, &exercise, &c.Mode, &c.Seconds, &routes, &routesSum, &c.Ranking, &opened, &ended, &document, &documentSum)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, fmt.Errorf("%d: %w", id, store.ErrNoClass)
	}
	c.Opened, c.Ended, c.Exercise = moment(opened), moment(ended), exercise.Int64
	for _, load := range []func(*transaction, *store.SavedClass) error{loadStudents, loadRounds, loadVotes} {
		if err == nil {
			err = load(tx, c)
		}
	}
	if err != nil {
		return nil, fmt.Errorf("class %d cannot be read: %w", id, asMade(err))
	}
	loadRoutes(c, routes, routesSum)
	loadLesson(c, document, documentSum)
	return c, nil
}

// loadLesson reads the lesson of a class that works on one.
func loadLesson(c *store.SavedClass, document, kept string) {
	if document == "" {
		return
	}
	var err error
	if kept != sum("", document) {
		err = errSum
	} else {
		c.Lesson, err = lesson.Read(strings.NewReader(document))
	}
	if err != nil {
		unreadable(c, "the lesson; votes that were held are here")
		c.Lesson = &lesson.Lesson{Title: "a lesson that cannot be read"}
	}
}

// unreadable names something that cannot be read.
func unreadable(c *store.SavedClass, format string, about ...any) {
	c.Unread = append(c.Unread, fmt.Sprintf(format, about...))
}

// unsummed reads a document that carries its sum.
func unsummed(document, kept string, into any) error {
	if kept != sum("", document) {
		return errSum
	}
	return json.Unmarshal([]byte(document), into)
}

// loadRoutes reads the routes, or takes them from the votes where they cannot be read.
func loadRoutes(c *store.SavedClass, text, kept string) {
	if unsummed(text, kept, &c.Routes) == nil {
		return
	}
	unreadable(c, "which routes the class walks; they are taken from its votes")
	c.Routes = nil
	add := func(route string) {
		if route != "" && !slices.Contains(c.Routes, route) {
			c.Routes = append(c.Routes, route)
		}
	}
	for _, r := range c.Rounds {
		add(r.Route)
		for _, f := range r.Follows {
			add(f.Route)
		}
	}
}

func loadStudents(tx *transaction, c *store.SavedClass) error {
	rows, err := tx.Query(`SELECT id, name, token, sum, phone, joined, removed FROM class_students WHERE teacher = $1 AND class = $2 ORDER BY id`, c.ID)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var st class.Student
		var token, kept, phone string
		var joined int64
		var removed bool
		err := rows.Scan(&st.ID, &st.Name, &token, &kept, &phone, &joined, &removed)
		c.Joined = max(c.Joined, st.ID) // what comes before the damage is filled in
		if err != nil || !removed && kept != sum(st.Name, token) {
			unreadable(c, "student %d", st.ID)
			continue
		}
		if phone != "" {
			c.Phones[phone]++
		}
		if removed {
			continue
		}
		st.Joined = moment(joined)
		c.Students = append(c.Students, st)
		c.Tokens[token] = st.ID
	}
	return rows.Err()
}

// loadRounds reads the rounds. One that cannot be read, or is missing, is Lost.
func loadRounds(tx *transaction, c *store.SavedClass) error {
	rows, err := tx.Query(`SELECT n, route, at, question, opened, deadline, closed, count_at, counted, follows, judgement,
		question_sum, follows_sum, judgement_sum FROM class_rounds WHERE teacher = $1 AND class = $2 ORDER BY n`, c.ID)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		r, err := scanRound(c, rows)
		if err != nil {
			continue // a gap among the others, or at the end
		}
		for len(c.Rounds)+1 < r.N {
			lose(c, &class.Round{N: len(c.Rounds) + 1})
		}
		if r.Lost {
			lose(c, r)
			continue
		}
		c.Rounds = append(c.Rounds, r)
	}
	return rows.Err()
}

// lose puts a round that cannot be read in its place.
func lose(c *store.SavedClass, r *class.Round) {
	unreadable(c, "vote %d: its question and answers are left out", r.N)
	c.Rounds = append(c.Rounds, &class.Round{N: r.N, Route: r.Route, Lost: true, Counted: true})
}

// scanRound reads a round; an error says that not even its number can be read.
func scanRound(c *store.SavedClass, rows *sql.Rows) (*class.Round, error) {
	r := &class.Round{Votes: map[int]class.Vote{}}
	var question, follows, judgement, questionSum, followsSum, judgementSum string
	var opened, deadline, closed, count int64
	err := rows.Scan(&r.N, &r.Route, &r.At, &question, &opened, &deadline, &closed, &count, &r.Counted, &follows, &judgement,
		&questionSum, &followsSum, &judgementSum)
	switch {
	case r.N == 0: // what comes before the damage is filled in
		return nil, err
	case err != nil:
		r.Lost = true
		return r, nil
	}
	r.Opened, r.Deadline, r.Closed, r.Count = moment(opened), moment(deadline), moment(closed), moment(count)
	if unsummed(question, questionSum, &r.Question) != nil {
		r.Lost = true
		return r, nil
	}
	if unsummed(follows, followsSum, &r.Follows) != nil {
		r.Follows = nil
		unreadable(c, "what the class followed in vote %d", r.N)
	}
	if (judgement != "" || judgementSum != sum("", "")) && unsummed(judgement, judgementSum, &r.Judgement) != nil {
		r.Judgement = nil
		unreadable(c, "what the answers cost in vote %d; open the advice again", r.N)
	}
	return r, nil
}

// loadVotes reads the votes in the order in which they replaced each other, and the decisions of a duplicate class as far
// as they are whole. Those of students who were taken out do not count.
func loadVotes(tx *transaction, c *store.SavedClass) error {
	rows, err := tx.Query(`SELECT round, student, seq, choice, sum, made, received FROM class_votes v WHERE v.teacher = $1 AND v.class = $2
		AND NOT EXISTS (SELECT 1 FROM class_students t WHERE t.teacher = $1 AND t.class = v.class AND t.id = v.student AND t.removed = 1)
		ORDER BY round, student, seq`, c.ID)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var v class.Vote
		var round, student int
		var choice, kept string
		var made, received int64
		damaged := rows.Scan(&round, &student, &v.Seq, &choice, &kept, &made, &received)
		if damaged == nil {
			damaged = unsummed(choice, kept, &v.Choice)
		}
		v.Made, v.Received = moment(made), moment(received)
		if c.Mode == class.Duplicate {
			loadDecision(c, student, round, v.Choice, damaged)
			continue
		}
		if round < 1 || round > len(c.Rounds) || c.Rounds[round-1].Lost {
			continue
		}
		r := c.Rounds[round-1]
		if damaged == nil {
			damaged = r.Question.Check(v.Choice)
		}
		if damaged != nil {
			unreadable(c, "the answer of %s in vote %d; it does not count", nameOf(c, student), round)
			delete(r.Votes, student) // one before it is not what was chosen
			continue
		}
		r.Votes[student] = v
	}
	return rows.Err()
}

// loadDecision takes the decision of a student who walks alone, or names the gap.
func loadDecision(c *store.SavedClass, student, round int, choice class.Choice, damaged error) {
	due := len(c.Walks[student]) + 1
	if c.Gaps[student] == 0 && round == due && damaged == nil {
		c.Walks[student] = append(c.Walks[student], choice)
		return
	}
	if c.Gaps == nil {
		c.Gaps = map[int]int{}
	}
	c.Gaps[student] = due
}

func nameOf(c *store.SavedClass, student int) string {
	if st, err := c.Student(student); err == nil {
		return st.Name
	}
	return "somebody"
}
