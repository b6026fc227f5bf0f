package sql

import (
	"crypto/rand"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"secondpass/exercise"
	"secondpass/store"
	"secondpass/teach/drill"
)

// AddStudent keeps a new student. It returns store.ErrNameTaken when another has the name, in capitals or not.
func (s *Store) AddStudent(name string) (drill.Student, error) {
	st := drill.Student{Name: name, Created: time.Unix(s.Now().Unix(), 0), Rating: drill.NewRating}
	if err := exercise.CheckName(name); err != nil {
		return st, err
	}
	err := s.within(func(tx *transaction) error {
		var err error
		st.ID, err = insertStudent(tx, &st)
		return err
	})
	return st, err
}

// insertStudent keeps a student under a name that nobody has.
func insertStudent(tx *transaction, st *drill.Student) (id int64, err error) {
	_, err = findStudent(tx, st.Name)
	if err == nil {
		return 0, fmt.Errorf("%q: %w", st.Name, store.ErrNameTaken)
	}
	if !errors.Is(err, store.ErrNoStudent) {
		return 0, err
	}
	if id, err = next(tx, "students"); err != nil {
		return 0, err
	}
	tx.grows = true
	_, err = tx.Exec(`INSERT INTO students (teacher, id, name, created, rating, deviation, volatility, token) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
		id, st.Name, st.Created.Unix(), st.Rating.Value, st.Rating.Deviation, st.Rating.Volatility, rand.Text())
	return id, err
}

const studentColumns = `id, name, created, rating, deviation, volatility`

func scanStudent(from row) (st drill.Student, err error) {
	var created int64
	err = from.Scan(&st.ID, &st.Name, &created, &st.Rating.Value, &st.Rating.Deviation, &st.Rating.Volatility)
	st.Created = time.Unix(created, 0)
	return st, err
}

// Students lists all students by name.
func (s *Store) Students() ([]drill.Student, error) {
	return reading(s, func(tx *transaction) ([]drill.Student, error) {
		return all(tx, scanStudent, `SELECT `+studentColumns+` FROM students WHERE teacher = $1 ORDER BY lower(name)`)
	})
}

// Student finds a student by name, in capitals or not.
func (s *Store) Student(name string) (drill.Student, error) {
	return reading(s, func(tx *transaction) (drill.Student, error) { return findStudent(tx, name) })
}

func findStudent(tx *transaction, name string) (drill.Student, error) {
	st, err := scanStudent(tx.QueryRow(`SELECT `+studentColumns+` FROM students WHERE teacher = $1 AND lower(name) = lower($2)`, name))
	if errors.Is(err, sql.ErrNoRows) {
		err = fmt.Errorf("%q: %w", name, store.ErrNoStudent)
	}
	return st, err
}

// StudentToken is what a browser of a student is known by: 128 random bits, made with the student, or now for those whom an earlier
// program kept.
func (s *Store) StudentToken(name string) (token string, err error) {
	token, err = reading(s, func(tx *transaction) (token string, err error) {
		err = tx.QueryRow(`SELECT token FROM students WHERE teacher = $1 AND lower(name) = lower($2)`, name).Scan(&token)
		return token, err
	})
	if err == nil && token != "" {
		return token, nil
	}
	err = s.within(func(tx *transaction) error {
		st, err := findStudent(tx, name)
		if err != nil {
			return err
		}
		if _, err := tx.Exec(`UPDATE students SET token = $2 WHERE teacher = $1 AND id = $3 AND token = ''`, rand.Text(), st.ID); err != nil {
			return err
		}
		return tx.QueryRow(`SELECT token FROM students WHERE teacher = $1 AND id = $2`, st.ID).Scan(&token)
	})
	return token, err
}

// StudentByToken finds a student by what a browser is known by; store.ErrNoStudent where nobody has it.
func (s *Store) StudentByToken(token string) (drill.Student, error) {
	return reading(s, func(tx *transaction) (drill.Student, error) {
		st, err := scanStudent(tx.QueryRow(`SELECT `+studentColumns+` FROM students WHERE teacher = $1 AND token = $2 AND token <> ''`, token))
		if errors.Is(err, sql.ErrNoRows) {
			err = store.ErrNoStudent
		}
		return st, err
	})
}

// DeleteStudent deletes a student and everything that is kept of one, for good.
func (s *Store) DeleteStudent(name string) error {
	return s.within(func(tx *transaction) error {
		st, err := findStudent(tx, name)
		if err == nil {
			_, err = tx.Exec(`DELETE FROM students WHERE teacher = $1 AND id = $2`, st.ID)
		}
		return err
	})
}

// AddTry keeps a try of a student. That of a drill moves the ratings of both, and the drill's place in the queue.
// It returns the student as rated now.
func (s *Store) AddTry(student string, t drill.Try) (drill.Student, error) {
	var st drill.Student
	err := s.within(func(tx *transaction) (err error) {
		if st, err = findStudent(tx, student); err != nil {
			return err
		}
		if t.Drill != 0 {
			if st.Rating, err = saveRating(tx, st, &t); err != nil {
				return err
			}
		}
		return insertTry(tx, st.ID, &t)
	})
	return st, err
}

func insertTry(tx *transaction, student int64, t *drill.Try) error {
	document, err := json.Marshal(t)
	if err != nil {
		return err
	}
	var number any // NULL for none
	if t.Drill != 0 {
		number = t.Drill
	}
	errTaken := errors.New("another has the number")
	for {
		res, err := tx.Exec(`INSERT INTO tries (teacher, id, student, drill, at, kind, about, document, sum)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9) ON CONFLICT (teacher, id) DO NOTHING`,
			newID(), student, number, t.At.Unix(), t.Kind, t.About, string(document), sum("", string(document)))
		if err = oneRow(res, err, errTaken); err != errTaken {
			return err
		}
	}
}

// saveRating keeps what a try moves, as drill.Try.Rate has it: the ratings of student and drill, and the student's memory.
func saveRating(tx *transaction, st drill.Student, t *drill.Try) (drill.Rating, error) {
	var d drill.Rating
	err := tx.QueryRow(`SELECT rating, deviation, volatility FROM drills WHERE teacher = $1 AND id = $2 AND deleted IS NULL`, t.Drill).Scan(&d.Value, &d.Deviation, &d.Volatility)
	if errors.Is(err, sql.ErrNoRows) {
		return st.Rating, fmt.Errorf("%d: %w", t.Drill, store.ErrNoDrill)
	}
	if err != nil {
		return st.Rating, err
	}
	memory, err := scanMemory(tx.QueryRow(`SELECT `+memoryColumns+` FROM memories WHERE teacher = $1 AND student = $2 AND drill = $3`, st.ID, t.Drill), nil)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return st.Rating, err
	}
	own, d, m := t.Rate(st.Rating, d, memory)
	if _, err := tx.Exec(`UPDATE drills SET rating = $2, deviation = $3, volatility = $4 WHERE teacher = $1 AND id = $5`, d.Value, d.Deviation, d.Volatility, t.Drill); err != nil {
		return st.Rating, err
	}
	if _, err := tx.Exec(`UPDATE students SET rating = $2, deviation = $3, volatility = $4 WHERE teacher = $1 AND id = $5`, own.Value, own.Deviation, own.Volatility, st.ID); err != nil {
		return st.Rating, err
	}
	return own, insertMemory(tx, st.ID, t.Drill, m)
}

// insertMemory keeps what the scheduler knows of a student and a drill, in place of what it knew.
func insertMemory(tx *transaction, student, number int64, m drill.Memory) error {
	_, err := tx.Exec(`INSERT INTO memories (teacher, student, drill, stability, difficulty, seen, due, tries, lapses) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)
		ON CONFLICT (teacher, student, drill) DO UPDATE SET stability = excluded.stability, difficulty = excluded.difficulty, seen = excluded.seen,
			due = excluded.due, tries = excluded.tries, lapses = excluded.lapses`,
		student, number, m.Stability, m.Difficulty, m.Seen.Unix(), m.Due.Unix(), m.Tries, m.Lapses)
	return err
}

const memoryColumns = `stability, difficulty, seen, due, tries, lapses`

// scanMemory reads a row of memoryColumns, after them the number of the drill where that is asked for.
func scanMemory(from row, number *int64) (m drill.Memory, err error) {
	var seen, due int64
	into := []any{&m.Stability, &m.Difficulty, &seen, &due, &m.Tries, &m.Lapses}
	if number != nil {
		into = append(into, number)
	}
	if err = from.Scan(into...); err != nil {
		return drill.Memory{}, err
	}
	m.Seen, m.Due = time.Unix(seen, 0), time.Unix(due, 0)
	return m, nil
}

// Memories is what the scheduler knows of a student, by the drills' numbers.
func (s *Store) Memories(student int64) (map[int64]drill.Memory, error) {
	return reading(s, func(tx *transaction) (map[int64]drill.Memory, error) { return memories(tx, student) })
}

func memories(tx *transaction, student int64) (map[int64]drill.Memory, error) {
	rows, err := tx.Query(`SELECT `+memoryColumns+`, drill FROM memories WHERE teacher = $1 AND student = $2`, student)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	all := map[int64]drill.Memory{}
	for rows.Next() {
		var number int64
		m, err := scanMemory(rows, &number)
		if err != nil {
			return nil, err
		}
		all[number] = m
	}
	return all, rows.Err()
}

// Tries lists a student's tries in the order of time.
func (s *Store) Tries(student int64) ([]drill.Try, error) {
	return reading(s, func(tx *transaction) ([]drill.Try, error) { return tries(tx, student) })
}

func tries(tx *transaction, student int64) ([]drill.Try, error) {
	list, err := all(tx, scanTry, `SELECT id, document, sum FROM tries WHERE teacher = $1 AND student = $2 ORDER BY at, id`, student)
	return append([]drill.Try{}, list...), err
}

func scanTry(from row) (t drill.Try, err error) {
	var id int64
	var document, kept string
	if err := from.Scan(&id, &document, &kept); err != nil {
		return t, err
	}
	if kept != sum("", document) {
		return t, damaged("a try of the student", errSum)
	}
	if err := json.Unmarshal([]byte(document), &t); err != nil {
		return t, damaged("a try of the student", err)
	}
	t.ID = id
	return t, nil
}

// AddExercise keeps the tries of a reviewed route, a class or a file of drills, all about the same, and how a route's passing ended; ended
// may be nil. What was kept before about that is replaced, so that reviewing it twice counts once.
func (s *Store) AddExercise(student string, tries []drill.Try, ended *drill.Charleston) error {
	if len(tries) == 0 {
		return nil
	}
	return s.within(func(tx *transaction) error {
		st, err := findStudent(tx, student)
		if err != nil {
			return err
		}
		if _, err := tx.Exec(`DELETE FROM tries WHERE teacher = $1 AND student = $2 AND drill IS NULL AND kind <> $3 AND about = $4`, st.ID, drill.OfReading, tries[0].About); err != nil {
			return err
		}
		for i := range tries {
			if err := insertTry(tx, st.ID, &tries[i]); err != nil {
				return err
			}
		}
		if ended != nil {
			return insertCharleston(tx, st.ID, ended)
		}
		return nil
	})
}

// insertCharleston keeps how the passing of a route ended, in place of how it had ended before.
func insertCharleston(tx *transaction, student int64, c *drill.Charleston) error {
	_, err := tx.Exec(`INSERT INTO charlestons (teacher, student, exercise, route, spare_best, spare_plan, at) VALUES ($1, $2, $3, $4, $5, $6, $7)
		ON CONFLICT (teacher, student, exercise, route) DO UPDATE SET spare_best = excluded.spare_best, spare_plan = excluded.spare_plan, at = excluded.at`,
		student, c.Exercise, c.Route, c.SpareBest, c.SparePlan, c.At.Unix())
	return err
}

// Charlestons lists how a student's exercises ended, in the order of time.
func (s *Store) Charlestons(student int64) ([]drill.Charleston, error) {
	return reading(s, func(tx *transaction) ([]drill.Charleston, error) { return charlestons(tx, student) })
}

func charlestons(tx *transaction, student int64) ([]drill.Charleston, error) {
	list, err := all(tx, scanCharleston, `SELECT exercise, route, spare_best, spare_plan, at FROM charlestons
		WHERE teacher = $1 AND student = $2 ORDER BY at, exercise, route`, student)
	return append([]drill.Charleston{}, list...), err
}

func scanCharleston(from row) (c drill.Charleston, err error) {
	var at int64
	err = from.Scan(&c.Exercise, &c.Route, &c.SpareBest, &c.SparePlan, &at)
	c.At = time.Unix(at, 0)
	return c, err
}

// StudentData collects everything that is kept of a student.
func (s *Store) StudentData(name string) (store.StudentData, error) {
	return reading(s, func(tx *transaction) (store.StudentData, error) {
		st, err := findStudent(tx, name)
		if err != nil {
			return store.NewStudentData(), err
		}
		return studentData(tx, st)
	})
}

func studentData(tx *transaction, st drill.Student) (d store.StudentData, err error) {
	d = store.NewStudentData()
	d.Student = st
	if d.Tries, err = tries(tx, st.ID); err != nil {
		return d, err
	}
	if d.Charlestons, err = charlestons(tx, st.ID); err != nil {
		return d, err
	}
	if d.Memories, err = memories(tx, st.ID); err != nil {
		return d, err
	}
	if d.Drills, err = marks(tx, &d); err == nil {
		d.Classes, err = classSeats(tx, st.Name)
	}
	return d, err
}

// marks are those of the drills that a student's data names and that are still here.
func marks(tx *transaction, d *store.StudentData) (map[int64]string, error) {
	marks := map[int64]string{}
	for i := range d.Tries {
		if n := d.Tries[i].Drill; n != 0 {
			marks[n] = ""
		}
	}
	for n := range d.Memories {
		marks[n] = ""
	}
	for n := range marks {
		of, err := drillOf(tx, n)
		switch {
		case errors.Is(err, store.ErrNoDrill):
			delete(marks, n)
		case err != nil:
			return nil, err
		default:
			marks[n] = of.Mark()
		}
	}
	return marks, nil
}

// AddStudentData keeps a student who was exported elsewhere, under a name that nobody has here. Ratings of drills are not moved.
func (s *Store) AddStudentData(d *store.StudentData) (drill.Student, error) {
	st := d.Student
	err := s.within(func(tx *transaction) error {
		here, err := drillsByMark(tx)
		if err != nil {
			return err
		}
		if st.ID, err = insertStudent(tx, &st); err != nil {
			return err
		}
		for _, t := range d.Tries {
			if t.Drill != 0 {
				t.Drill = here[d.Drills[t.Drill]] // 0 where it is not here
			}
			if err := insertTry(tx, st.ID, &t); err != nil {
				return err
			}
		}
		for i := range d.Charlestons {
			if err := insertCharleston(tx, st.ID, &d.Charlestons[i]); err != nil {
				return err
			}
		}
		for n, m := range d.Memories {
			if n = here[d.Drills[n]]; n != 0 {
				if err := insertMemory(tx, st.ID, n, m); err != nil {
					return err
				}
			}
		}
		return nil
	})
	return st, err
}

// drillsByMark are the numbers of all drills by their marks.
func drillsByMark(tx *transaction) (map[string]int64, error) {
	all, err := drills(tx, store.DrillFilter{})
	numbers := map[string]int64{}
	for _, d := range all {
		numbers[d.Mark()] = d.ID
	}
	return numbers, err
}
