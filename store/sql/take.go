package sql

import (
	"cmp"
	"database/sql"
	"fmt"
	"slices"
	"strings"

	"secondpass/store"
	"secondpass/store/files"
)

// Take keeps everything that a teacher keeps elsewhere, in a folder or on another server, with its numbers and dates, all or nothing.
// Nothing may be kept here yet: store.ErrNotEmpty.
func (s *Store) Take(from *Store) error {
	return s.within(func(tx *transaction) error {
		if err := s.empty(tx); err != nil {
			return err
		}
		tx.grows = true
		err := from.read(func(raw *sql.Tx) error {
			source, err := from.of(raw, 0)
			if err != nil {
				return err
			}
			for _, table := range append(slices.Clone(tables), "counters") {
				if err := copyRowsOf(table, source, tx); err != nil {
					return err
				}
			}
			return nil
		})
		if constrained(err) {
			return &store.Trouble{What: store.ErrKeptByAnother, Cause: err}
		}
		if err != nil {
			return err
		}
		return files.Copy(from.Room(), s.roomOf(tx))
	})
}

// empty is store.ErrNotEmpty where something is kept; numbers that were given stay given.
func (s *Store) empty(tx *transaction) error {
	for _, table := range tables {
		var n int
		if err := tx.QueryRow(`SELECT COUNT(*) FROM ` + table + ` WHERE teacher = $1`).Scan(&n); err != nil {
			return err
		}
		if n > 0 {
			return store.ErrNotEmpty
		}
	}
	if all, err := s.roomOf(tx).All(); err != nil || len(all) > 0 {
		return cmp.Or(err, store.ErrNotEmpty)
	}
	return nil
}

// copyRowsOf copies a teacher's rows of a table to another's.
func copyRowsOf(table string, from, to *transaction) error {
	rows, err := from.Query(`SELECT * FROM ` + table + ` WHERE teacher = $1`)
	if err != nil {
		return err
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		return err
	}
	var marks []string
	values, into := make([]any, len(columns)), make([]any, len(columns))
	for i := range columns {
		marks, into[i] = append(marks, fmt.Sprintf("$%d", i+1)), &values[i]
	}
	insert := `INSERT INTO ` + table + ` (` + strings.Join(columns, ", ") + `) VALUES (` + strings.Join(marks, ", ") + `)`
	if table == "counters" { // of an account that had something the greater goes on
		insert += ` ON CONFLICT (teacher, name) DO UPDATE SET last = CASE WHEN excluded.last > counters.last THEN excluded.last ELSE counters.last END`
	}
	prepared, err := to.Tx.Prepare(insert)
	if err != nil {
		return err
	}
	defer prepared.Close()
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return err
		}
		for i, v := range values {
			switch b, text := v.([]byte); {
			case columns[i] == "teacher":
				values[i] = to.teacher
			case text:
				values[i] = string(b)
			}
		}
		if _, err := prepared.Exec(values...); err != nil {
			return fmt.Errorf("%s: %w", table, err)
		}
	}
	return rows.Err()
}
