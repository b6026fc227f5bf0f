package sql

import (
	"database/sql"
	"encoding/base64"
	"errors"
	"time"

	"secondpass/club"
)

const invitationColumns = `id, role, name, workbook, person, by_whom, made, expires`

func scanInvitation(row row) (i club.Invitation, err error) {
	var made, expires int64
	err = row.Scan(&i.ID, &i.Role, &i.Name, &i.Workbook, &i.Person, &i.By, &made, &expires)
	i.Made, i.Expires = moment(made), moment(expires)
	return i, err
}

// AddInvitation keeps an invitation in place of those before that are for the same.
func (d People) AddInvitation(hash string, i *club.Invitation, e club.Entry) error {
	id := newID()
	err := d.noting(e, func(tx *sql.Tx) error {
		// One that was used stays for as long as it would have let in, so that a second use is told what it is.
		for _, old := range []struct {
			query string
			args  []any
		}{
			{`DELETE FROM invitations WHERE expires < $1`, []any{micro(i.Made.Add(-club.InvitationLasts))}},
			{`DELETE FROM invitations WHERE used = 0 AND person <> 0 AND person = $1`, []any{i.Person}},
			{`DELETE FROM invitations WHERE used = 0 AND by_whom = 0 AND by_whom = $1`, []any{i.By}},
		} {
			if _, err := tx.Exec(old.query, old.args...); err != nil {
				return err
			}
		}
		_, err := tx.Exec(`INSERT INTO invitations (hash, `+invitationColumns+`, used) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, 0)`,
			hash, id, string(i.Role), i.Name, i.Workbook, i.Person, i.By, micro(i.Made), micro(i.Expires))
		return err
	})
	if err == nil {
		i.ID = id
	}
	return err
}

// Invitation is one that lets in still.
func (d People) Invitation(hash string, now time.Time) (i club.Invitation, err error) {
	err = d.Reading(func(tx *sql.Tx) (err error) {
		i, err = invitation(tx, hash, now)
		return err
	})
	return i, err
}

func invitation(tx *sql.Tx, hash string, now time.Time) (i club.Invitation, err error) {
	var used int64
	switch err := tx.QueryRow(`SELECT used FROM invitations WHERE hash = $1`, hash).Scan(&used); {
	case errors.Is(err, sql.ErrNoRows):
		return i, club.ErrNoInvitation
	case err != nil:
		return i, err
	case used != 0:
		return i, club.ErrUsed
	}
	i, err = scanInvitation(tx.QueryRow(`SELECT `+invitationColumns+` FROM invitations WHERE hash = $1`, hash))
	if err == nil && now.After(i.Expires) {
		err = club.ErrExpired
	}
	return i, err
}

// Invitations are all that let in.
func (d People) Invitations(now time.Time) (all []club.Invitation, err error) {
	err = d.Reading(func(tx *sql.Tx) (err error) {
		all, err = listed(tx, scanInvitation, `SELECT `+invitationColumns+` FROM invitations WHERE used = 0 AND expires >= $1 ORDER BY id DESC`, micro(now))
		return err
	})
	return all, err
}

// Withdraw takes one back.
func (d People) Withdraw(id int64, e club.Entry) error {
	return d.noting(e, func(tx *sql.Tx) error {
		res, err := tx.Exec(`DELETE FROM invitations WHERE id = $1 AND used = 0`, id)
		return oneRow(res, err, club.ErrNoInvitation)
	})
}

// Accept lets somebody in.
func (d People) Accept(hash string, p club.Person, k club.Passkey, codes []string, e club.Entry) (club.Person, error) {
	in := p
	err := d.noting(e, func(tx *sql.Tx) error {
		in = p
		// Two who use it at once wait for each other here, and the second finds it used.
		if _, err := tx.Exec(`UPDATE invitations SET used = used WHERE hash = $1`, hash); err != nil {
			return err
		}
		i, err := invitation(tx, hash, p.Joined)
		if err != nil {
			return err
		}
		if _, err := tx.Exec(`UPDATE invitations SET used = $1 WHERE hash = $2`, micro(p.Joined), hash); err != nil {
			return err
		}
		in.Role, in.Workbook = i.Role, i.Workbook
		if err := d.enter(tx, &in, i.Person); err != nil {
			return err
		}
		key := k
		key.Person = in.ID
		if err := insertPasskey(tx, &key); err != nil {
			return err
		}
		return setCodes(tx, in.ID, codes)
	})
	return in, err
}

// enter makes a person, or lets one in again: without the passkeys and sessions of before.
func (d People) enter(tx *sql.Tx, p *club.Person, again int64) (err error) {
	if again != 0 {
		if *p, err = scanPerson(tx.QueryRow(`SELECT `+personColumns+` FROM people WHERE id = $1`, again)); err != nil {
			return err
		}
		for _, table := range []string{"passkeys", "sessions"} {
			if _, err := tx.Exec(`DELETE FROM `+table+` WHERE person = $1`, again); err != nil {
				return err
			}
		}
		return nil
	}
	p.ID = newID()
	if p.Role != club.Assistant {
		if p.Workbook, err = d.addTeacher(tx); err != nil {
			return err
		}
	}
	_, err = tx.Exec(`INSERT INTO people (`+personColumns+`) VALUES ($1, $2, $3, $4, $5)`, p.ID, string(p.Role), p.Name, p.Workbook, micro(p.Joined))
	return err
}

func scanSession(row row) (s club.Session, err error) {
	var data string
	var began, expires int64
	if err = row.Scan(&s.Hash, &s.Person, &data, &began, &expires); err == nil {
		s.Data, err = base64.StdEncoding.DecodeString(data)
	}
	s.Began, s.Expires = moment(began), moment(expires)
	return s, err
}

// KeepSession keeps one as it is now, and forgets those that have expired.
func (d People) KeepSession(s club.Session) error {
	return d.Within(func(tx *sql.Tx) error {
		if _, err := tx.Exec(`DELETE FROM sessions WHERE expires < $1`, micro(d.Now())); err != nil {
			return err
		}
		_, err := tx.Exec(`INSERT INTO sessions (hash, person, data, began, expires) VALUES ($1, $2, $3, $4, $5)
			ON CONFLICT (hash) DO UPDATE SET data = excluded.data, expires = excluded.expires`, s.Hash, s.Person, base64.StdEncoding.EncodeToString(s.Data), micro(s.Began), micro(s.Expires))
		return err
	})
}

// Session is the one of a hash.
func (d People) Session(hash string, now time.Time) (s club.Session, ok bool, err error) {
	err = d.Reading(func(tx *sql.Tx) (err error) {
		s, err = scanSession(tx.QueryRow(`SELECT hash, person, data, began, expires FROM sessions WHERE hash = $1 AND expires >= $2`, hash, micro(now)))
		ok = err == nil
		if errors.Is(err, sql.ErrNoRows) {
			err = nil
		}
		return err
	})
	return s, ok, err
}

// Sessions are those of a person.
func (d People) Sessions(person int64, now time.Time) (all []club.Session, err error) {
	err = d.Reading(func(tx *sql.Tx) (err error) {
		all, err = listed(tx, scanSession, `SELECT hash, person, data, began, expires FROM sessions WHERE person = $1 AND expires >= $2 ORDER BY began DESC`, person, micro(now))
		return err
	})
	return all, err
}

// EndSession ends one.
func (d People) EndSession(hash string) error {
	return d.Within(func(tx *sql.Tx) error {
		_, err := tx.Exec(`DELETE FROM sessions WHERE hash = $1`, hash)
		return err
	})
}

// EndSessions ends those of a person but one.
func (d People) EndSessions(person int64, but string) error {
	return d.Within(func(tx *sql.Tx) error {
		_, err := tx.Exec(`DELETE FROM sessions WHERE person = $1 AND hash <> $2`, person, but)
		return err
	})
}
