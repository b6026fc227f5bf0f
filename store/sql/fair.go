package sql

import (
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"time"

	"secondpass/store"
)

// rowBytes is what a row of a server takes beside its columns. Source: PostgreSQL's documentation, Database Page Layout.
const rowBytes = 24

// Held is how many bytes of the server's database the rows of the store's teacher take, without indexes; texts count as they are packed
// there.
func (s *Store) Held() (bytes int64, err error) {
	return reading(s, s.held)
}

// held counts all tables with a column for the teacher, whichever there are.
func (s *Store) held(tx *transaction) (bytes int64, err error) {
	columns, err := teachersColumns(tx.Tx)
	if err != nil {
		return 0, err
	}
	var sums []string
	for table, names := range columns {
		var sizes []string
		for _, name := range names {
			sizes = append(sizes, "COALESCE(pg_column_size("+name+"), 0)")
		}
		sums = append(sums, fmt.Sprintf(`SELECT SUM(%d + %s) AS size FROM %s WHERE teacher = $1`, rowBytes, strings.Join(sizes, " + "), table))
	}
	err = tx.QueryRow(`SELECT COALESCE(SUM(size), 0)::bigint FROM (` + strings.Join(sums, " UNION ALL ") + `) AS sizes`).Scan(&bytes)
	return bytes, err
}

// teachersColumns are the columns of all tables of a server that have one for the teacher, written as statements have them.
func teachersColumns(tx *sql.Tx) (map[string][]string, error) {
	type column struct{ table, name string }
	rows, err := tx.Query(`SELECT quote_ident(c.table_name), quote_ident(c.column_name) FROM information_schema.columns c
		JOIN information_schema.columns t ON t.table_schema = c.table_schema AND t.table_name = c.table_name AND t.column_name = 'teacher'
		WHERE c.table_schema = current_schema()`)
	found, err := scanned(rows, err, func(r row) (c column, err error) { return c, r.Scan(&c.table, &c.name) })
	all := map[string][]string{}
	for _, c := range found {
		all[c.table] = append(all[c.table], c.name)
	}
	return all, err
}

// fits is store.ErrNoRoom where the teacher keeps more than the database's Most.
func (s *Store) fits(tx *transaction) error {
	if s.Most == 0 || s.path != "" {
		return nil
	}
	bytes, err := s.held(tx)
	if err == nil && bytes > s.Most {
		err = store.ErrNoRoom
	}
	return err
}

// workKept is for how many days it is known how long cores have worked.
const workKept = 31

// dayOf counts days since 1970, by the calendar of where the time is told.
func dayOf(t time.Time) int64 {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / (24 * 60 * 60)
}

// Worked is how long cores have worked for the teacher on the day of a time.
func (s *Store) Worked(on time.Time) (time.Duration, error) {
	return reading(s, func(tx *transaction) (time.Duration, error) {
		var micros int64
		err := tx.QueryRow(`SELECT micros FROM work_days WHERE teacher = $1 AND day = $2`, dayOf(on)).Scan(&micros)
		if errors.Is(err, sql.ErrNoRows) {
			err = nil
		}
		return time.Duration(micros) * time.Microsecond, err
	})
}

// AddWork adds to that, and returns what it has come to, by whichever program.
func (s *Store) AddWork(on time.Time, more time.Duration) (all time.Duration, err error) {
	err = s.within(func(tx *transaction) error {
		if _, err := tx.Exec(`DELETE FROM work_days WHERE teacher = $1 AND day < $2`, dayOf(on)-workKept); err != nil {
			return err
		}
		var micros int64
		err := tx.QueryRow(`INSERT INTO work_days (teacher, day, micros) VALUES ($1, $2, $3)
			ON CONFLICT (teacher, day) DO UPDATE SET micros = work_days.micros + excluded.micros RETURNING micros`, dayOf(on), more.Microseconds()).Scan(&micros)
		all = time.Duration(micros) * time.Microsecond
		return err
	})
	return all, err
}
