package sql

import (
	"database/sql"
	"errors"

	"secondpass/club"
)

const sharedColumns = `id, sort, name, remark, from_workbook, for_workbook, by_whom, at`

func scanShared(row row) (s club.Shared, err error) {
	var at int64
	err = row.Scan(&s.ID, &s.Sort, &s.Name, &s.Remark, &s.From, &s.For, &s.By, &at)
	if errors.Is(err, sql.ErrNoRows) {
		err = club.ErrNotShared
	}
	s.At = moment(at)
	return s, err
}

// AddShared puts a copy on the shelf.
func (d People) AddShared(s *club.Shared, most int, e club.Entry) error {
	id := newID()
	err := d.noting(e, func(tx *sql.Tx) error {
		// Two of one workbook wait for each other here.
		if _, err := tx.Exec(`UPDATE teachers SET changes = changes WHERE id = $1`, s.From); err != nil {
			return err
		}
		var n int
		if err := tx.QueryRow(`SELECT COUNT(*) FROM shelf WHERE from_workbook = $1`, s.From).Scan(&n); err != nil {
			return err
		}
		if n >= most {
			return club.ErrShelfFull
		}
		_, err := tx.Exec(`INSERT INTO shelf (`+sharedColumns+`, file) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
			id, s.Sort, s.Name, s.Remark, s.From, s.For, s.By, micro(s.At), string(s.File))
		return err
	})
	if err == nil {
		s.ID = id
	}
	return err
}

// AllShared are all copies, without their files.
func (d People) AllShared() (all []club.Shared, err error) {
	err = d.Reading(func(tx *sql.Tx) (err error) {
		all, err = listed(tx, scanShared, `SELECT `+sharedColumns+` FROM shelf ORDER BY id DESC`)
		return err
	})
	return all, err
}

// Shared is one copy.
func (d People) Shared(id int64) (s club.Shared, err error) {
	err = d.Reading(func(tx *sql.Tx) (err error) {
		if s, err = scanShared(tx.QueryRow(`SELECT `+sharedColumns+` FROM shelf WHERE id = $1`, id)); err != nil {
			return err
		}
		var file string
		err = tx.QueryRow(`SELECT file FROM shelf WHERE id = $1`, id).Scan(&file)
		s.File = []byte(file)
		return err
	})
	return s, err
}

// RemoveShared takes one from the shelf.
func (d People) RemoveShared(id int64, e club.Entry) error {
	return d.noting(e, func(tx *sql.Tx) error {
		res, err := tx.Exec(`DELETE FROM shelf WHERE id = $1`, id)
		return oneRow(res, err, club.ErrNotShared)
	})
}
