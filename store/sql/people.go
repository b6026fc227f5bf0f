package sql

import (
	"database/sql"
	"encoding/base64"
	"errors"
	"time"

	"secondpass/club"
)

// People keeps the people of a club, and how they sign in.
type People struct{ *Database }

var _ club.Storage = People{}

// deedsKept is how long the list of what was done tells of it, and at least how many lines of it there are room for.
const deedsKept = 2 * 365 * 24 * time.Hour

const personColumns = `id, role, name, workbook, joined`

func scanPerson(row row) (p club.Person, err error) {
	var joined int64
	err = row.Scan(&p.ID, &p.Role, &p.Name, &p.Workbook, &joined)
	if errors.Is(err, sql.ErrNoRows) {
		err = club.ErrNobody
	}
	p.Joined = moment(joined)
	return p, err
}

// Person is somebody by number.
func (d People) Person(id int64) (p club.Person, err error) {
	err = d.Reading(func(tx *sql.Tx) (err error) {
		p, err = scanPerson(tx.QueryRow(`SELECT `+personColumns+` FROM people WHERE id = $1`, id))
		return err
	})
	return p, err
}

// People are all by name.
func (d People) People() (all []club.Person, err error) {
	err = d.Reading(func(tx *sql.Tx) (err error) {
		all, err = listed(tx, scanPerson, `SELECT `+personColumns+` FROM people ORDER BY lower(name), id`)
		return err
	})
	return all, err
}

// listed reads rows.
func listed[T any](tx *sql.Tx, scan func(row) (T, error), query string, args ...any) (all []T, err error) {
	rows, err := tx.Query(query, args...)
	return scanned(rows, err, scan)
}

// noting does work and keeps an entry about it, or neither.
func (d People) noting(e club.Entry, work func(tx *sql.Tx) error) error {
	return d.Within(func(tx *sql.Tx) error {
		if err := work(tx); err != nil {
			return err
		}
		return note(tx, e)
	})
}

func note(tx *sql.Tx, e club.Entry) error {
	if _, err := tx.Exec(`DELETE FROM deeds WHERE at < $1`, micro(e.At.Add(-deedsKept))); err != nil {
		return err
	}
	_, err := tx.Exec(`INSERT INTO deeds (id, at, who, deed, about) VALUES ($1, $2, $3, $4, $5)`, newID(), micro(e.At), e.By, e.Deed, e.About)
	return err
}

// Note keeps an entry alone.
func (d People) Note(e club.Entry) error {
	return d.noting(e, func(*sql.Tx) error { return nil })
}

// Entries are the newest.
func (d People) Entries(most int) (all []club.Entry, err error) {
	scan := func(row row) (e club.Entry, err error) {
		var at int64
		err = row.Scan(&at, &e.By, &e.Deed, &e.About)
		e.At = moment(at)
		return e, err
	}
	err = d.Reading(func(tx *sql.Tx) (err error) {
		all, err = listed(tx, scan, `SELECT at, who, deed, about FROM deeds ORDER BY id DESC LIMIT $1`, most)
		return err
	})
	return all, err
}

// EndPerson takes somebody out, and the assistants of one who has a workbook of their own.
func (d People) EndPerson(id int64, e club.Entry) error {
	return d.noting(e, func(tx *sql.Tx) error {
		p, err := scanPerson(tx.QueryRow(`SELECT `+personColumns+` FROM people WHERE id = $1`, id))
		if err != nil {
			return err
		}
		gone := []int64{id}
		if p.Role != club.Assistant {
			helpers, err := listed(tx, scanPerson, `SELECT `+personColumns+` FROM people WHERE workbook = $1 AND role = $2`, p.Workbook, string(club.Assistant))
			if err != nil {
				return err
			}
			for _, h := range helpers {
				gone = append(gone, h.ID)
			}
			for _, query := range []string{`DELETE FROM invitations WHERE workbook = $1`, `DELETE FROM shelf WHERE for_workbook = $1`} {
				if _, err := tx.Exec(query, p.Workbook); err != nil {
					return err
				}
			}
		}
		for _, id := range gone {
			if _, err := tx.Exec(`DELETE FROM invitations WHERE person = $1`, id); err != nil {
				return err
			}
			if _, err := tx.Exec(`DELETE FROM people WHERE id = $1`, id); err != nil {
				return err
			}
		}
		return nil
	})
}

const passkeyColumns = `id, person, name, credential, made, used`

func scanPasskey(row row) (k club.Passkey, err error) {
	var credential string
	var made, used int64
	err = row.Scan(&k.ID, &k.Person, &k.Name, &credential, &made, &used)
	if errors.Is(err, sql.ErrNoRows) {
		err = club.ErrNoPasskey
	}
	k.Credential, k.Made, k.Used = []byte(credential), moment(made), moment(used)
	return k, err
}

// Passkey is one by what the browser calls it.
func (d People) Passkey(id string) (k club.Passkey, err error) {
	err = d.Reading(func(tx *sql.Tx) (err error) {
		k, err = scanPasskey(tx.QueryRow(`SELECT `+passkeyColumns+` FROM passkeys WHERE id = $1`, id))
		return err
	})
	return k, err
}

// Passkeys are those of a person.
func (d People) Passkeys(person int64) (all []club.Passkey, err error) {
	err = d.Reading(func(tx *sql.Tx) (err error) {
		all, err = listed(tx, scanPasskey, `SELECT `+passkeyColumns+` FROM passkeys WHERE person = $1 ORDER BY made, id`, person)
		return err
	})
	return all, err
}

func insertPasskey(tx *sql.Tx, k *club.Passkey) error {
	_, err := tx.Exec(`INSERT INTO passkeys (`+passkeyColumns+`) VALUES ($1, $2, $3, $4, $5, $6)`, k.ID, k.Person, k.Name, string(k.Credential), micro(k.Made), micro(k.Used))
	return err
}

// AddPasskey keeps one more.
func (d People) AddPasskey(k club.Passkey, e club.Entry) error {
	return d.noting(e, func(tx *sql.Tx) error { return insertPasskey(tx, &k) })
}

// UsedPasskey keeps what changed of one.
func (d People) UsedPasskey(k club.Passkey, e club.Entry) error {
	return d.noting(e, func(tx *sql.Tx) error {
		res, err := tx.Exec(`UPDATE passkeys SET credential = $1, used = $2 WHERE id = $3`, string(k.Credential), micro(k.Used), k.ID)
		return oneRow(res, err, club.ErrNoPasskey)
	})
}

// RemovePasskey removes one that is not the last.
func (d People) RemovePasskey(person int64, id string, e club.Entry) error {
	return d.noting(e, func(tx *sql.Tx) error {
		// Two who remove at once wait for each other here.
		res, err := tx.Exec(`UPDATE people SET workbook = workbook WHERE id = $1`, person)
		if err := oneRow(res, err, club.ErrNobody); err != nil {
			return err
		}
		res, err = tx.Exec(`DELETE FROM passkeys WHERE id = $1 AND person = $2`, id, person)
		if err := oneRow(res, err, club.ErrNoPasskey); err != nil {
			return err
		}
		var left int
		if err := tx.QueryRow(`SELECT COUNT(*) FROM passkeys WHERE person = $1`, person).Scan(&left); err != nil {
			return err
		}
		if left == 0 {
			return club.ErrLastPasskey
		}
		return nil
	})
}

// setCodes replaces recovery codes.
func setCodes(tx *sql.Tx, person int64, hashes []string) error {
	if _, err := tx.Exec(`DELETE FROM recovery_codes WHERE person = $1`, person); err != nil {
		return err
	}
	for _, h := range hashes {
		if _, err := tx.Exec(`INSERT INTO recovery_codes (hash, person, used) VALUES ($1, $2, 0)`, h, person); err != nil {
			return err
		}
	}
	return nil
}

// SetCodes replaces the recovery codes of a person.
func (d People) SetCodes(person int64, hashes []string, e club.Entry) error {
	return d.noting(e, func(tx *sql.Tx) error { return setCodes(tx, person, hashes) })
}

// CodesLeft counts those that were not used.
func (d People) CodesLeft(person int64) (n int, err error) {
	err = d.Reading(func(tx *sql.Tx) error {
		return tx.QueryRow(`SELECT COUNT(*) FROM recovery_codes WHERE person = $1 AND used = 0`, person).Scan(&n)
	})
	return n, err
}

// UseCode uses one up.
func (d People) UseCode(hash string, at time.Time) (p club.Person, err error) {
	err = d.Within(func(tx *sql.Tx) error {
		res, err := tx.Exec(`UPDATE recovery_codes SET used = $1 WHERE hash = $2 AND used = 0`, micro(at), hash)
		if err := oneRow(res, err, club.ErrCode); err != nil {
			return err
		}
		p, err = scanPerson(tx.QueryRow(`SELECT p.id, p.role, p.name, p.workbook, p.joined FROM people p JOIN recovery_codes c ON c.person = p.id WHERE c.hash = $1`, hash))
		return err
	})
	return p, err
}

// KeepCeremony keeps what a browser was asked, and forgets what was asked too long ago.
func (d People) KeepCeremony(hash string, data []byte, expires time.Time) error {
	return d.Within(func(tx *sql.Tx) error {
		if _, err := tx.Exec(`DELETE FROM ceremonies WHERE expires < $1`, micro(d.Now())); err != nil {
			return err
		}
		_, err := tx.Exec(`INSERT INTO ceremonies (hash, data, expires) VALUES ($1, $2, $3)`, hash, base64.StdEncoding.EncodeToString(data), micro(expires))
		return err
	})
}

// TakeCeremony gives it back, once.
func (d People) TakeCeremony(hash string, now time.Time) (data []byte, err error) {
	err = d.Within(func(tx *sql.Tx) error {
		var text string
		err := tx.QueryRow(`DELETE FROM ceremonies WHERE hash = $1 AND expires >= $2 RETURNING data`, hash, micro(now)).Scan(&text)
		if errors.Is(err, sql.ErrNoRows) {
			return club.ErrGone
		}
		if err == nil {
			data, err = base64.StdEncoding.DecodeString(text)
		}
		return err
	})
	return data, err
}
