package sql

import (
	"database/sql"
	"fmt"
	"maps"
	"slices"

	"secondpass/club"
	"secondpass/store"
	"secondpass/store/files"
)

// EraseWorkbook deletes a teacher and everything in every table that is hers, for good: the people who work in her workbook, what they
// have given to others and were given, invitations into it. What others have made of copies stays theirs.
func (d People) EraseWorkbook(teacher int64, e club.Entry) error {
	return d.noting(e, func(raw *sql.Tx) error {
		tx, err := d.For(teacher).of(raw, d.patience)
		if err != nil {
			return err
		}
		res, err := tx.Exec(`UPDATE teachers SET changes = changes + 1 WHERE id = $1`)
		if err := oneRow(res, err, store.ErrNoTeacher); err != nil {
			return err
		}
		order, err := tx.eraseOrder()
		if err != nil {
			return err
		}
		statements := []string{`DELETE FROM invitations WHERE workbook = $1 OR person IN (SELECT id FROM people WHERE workbook = $1) OR by_whom IN (SELECT id FROM people WHERE workbook = $1)
				OR used <> 0 AND name IN (SELECT name FROM people WHERE workbook = $1)`,
			`DELETE FROM people WHERE workbook = $1`, `DELETE FROM shelf WHERE from_workbook = $1 OR for_workbook = $1`}
		for _, table := range order {
			statements = append(statements, `DELETE FROM `+table+` WHERE teacher = $1`)
		}
		for _, statement := range append(statements, `DELETE FROM teachers WHERE id = $1`) {
			if _, err := tx.Exec(statement); err != nil {
				return fmt.Errorf("%s: %w", statement, err)
			}
		}
		return nil
	})
}

// eraseOrder are all tables with a column for the teacher, each before those that it refers to.
func (tx *transaction) eraseOrder() ([]string, error) {
	columns, err := teachersColumns(tx.Tx)
	if err != nil {
		return nil, err
	}
	known := slices.Clone(tables)
	slices.Reverse(known)
	var order []string
	for _, table := range slices.Sorted(maps.Keys(columns)) {
		if !slices.Contains(known, table) { // it refers to the teacher alone
			order = append(order, table)
		}
	}
	return append(order, known...), nil
}

// Purge throws away for good what the teacher has deleted, and which nothing else tells of: exercises of classes and drills that
// students have answered stay.
func (s *Store) Purge() error {
	return s.within(func(tx *transaction) error {
		for _, statement := range []string{
			`DELETE FROM exercises WHERE teacher = $1 AND deleted IS NOT NULL AND NOT EXISTS (SELECT 1 FROM classes c WHERE c.teacher = $1 AND c.exercise = exercises.id)`,
			`DELETE FROM lessons WHERE teacher = $1 AND deleted IS NOT NULL`,
			`DELETE FROM drills WHERE teacher = $1 AND deleted IS NOT NULL AND NOT EXISTS (SELECT 1 FROM tries t WHERE t.teacher = $1 AND t.drill = drills.id)
				AND NOT EXISTS (SELECT 1 FROM memories m WHERE m.teacher = $1 AND m.drill = drills.id)`,
		} {
			if _, err := tx.Exec(statement); err != nil {
				return err
			}
		}
		return files.Purge(s.roomOf(tx))
	})
}

// Orphans are the numbers of workbooks in which nobody works, since the account of their teacher was ended.
func (d People) Orphans() (all []int64, err error) {
	err = d.Reading(func(tx *sql.Tx) (err error) {
		all, err = numbers(tx.Query(`SELECT id FROM teachers WHERE id NOT IN (SELECT workbook FROM people) AND id NOT IN (SELECT workbook FROM invitations) ORDER BY id`))
		return err
	})
	return all, err
}
