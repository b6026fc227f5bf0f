package sql

import (
	"database/sql"
	"encoding/json"

	"secondpass/store"
)

// classSeats are the places in classes that were taken under a student's name, in capitals or not, with what was answered there.
func classSeats(tx *transaction, name string) (seats []store.ClassSeat, err error) {
	rows, err := tx.Query(`SELECT t.class, t.id, t.name, t.joined, COALESCE(e.name, c.title), c.opened, v.round, r.question, v.choice, v.made
		FROM class_students t JOIN classes c ON c.teacher = $1 AND c.id = t.class
		LEFT JOIN exercises e ON e.teacher = $1 AND e.id = c.exercise
		LEFT JOIN class_votes v ON v.teacher = $1 AND v.class = t.class AND v.student = t.id
		LEFT JOIN class_rounds r ON r.teacher = $1 AND r.class = t.class AND r.n = v.round
		WHERE t.teacher = $1 AND t.removed = 0 AND lower(t.name) = lower($2) ORDER BY t.class, t.id, v.round, v.seq`, name)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var s store.ClassSeat
		var joined, opened int64
		var round, made sql.NullInt64
		var question, choice sql.NullString
		if err := rows.Scan(&s.Class, &s.Seat, &s.Name, &joined, &s.On, &opened, &round, &question, &choice, &made); err != nil {
			return nil, err
		}
		s.Joined, s.Opened = moment(joined), moment(opened)
		if n := len(seats); n == 0 || seats[n-1].Class != s.Class || seats[n-1].Seat != s.Seat {
			seats = append(seats, s)
		}
		if round.Valid {
			last := &seats[len(seats)-1]
			last.Answers = append(last.Answers, store.ClassAnswer{Round: round.Int64, Question: rawJSON(question.String), Choice: rawJSON(choice.String), Made: moment(made.Int64)})
		}
	}
	return seats, rows.Err()
}

// rawJSON is what is kept as JSON, or a text that a disk has spoilt; nil for nothing.
func rawJSON(text string) json.RawMessage {
	if text == "" || json.Valid([]byte(text)) {
		return json.RawMessage(text)
	}
	data, _ := json.Marshal(text) // a text always can
	return data
}
