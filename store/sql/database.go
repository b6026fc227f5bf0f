// Package sql keeps exercises, drills, students, lessons and classes in a database: SQLite, in one file in the user's data
// folder, for a program of one teacher; PostgreSQL for a club of many. Both take the same statements.
//
// Each change is one transaction that is on the disk when its method returns, so that a program killed at any moment
// loses nothing. What is kept of an exercise is its file; it is checked whenever it is read.
package sql

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math/rand/v2"
	"time"

	"github.com/gofrs/flock"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"secondpass/store"
)

// Database is an open database with what all teachers keep in it. It may be used by several goroutines, and the same data by
// several programs at once.
type Database struct {
	// Of a file, writer has one connection, since SQLite takes one writer at a time: changes of one program wait for each
	// other here in turn, and only those of different programs for the lock of the file. db is for reading, beside them. On a
	// server they are the same.
	writer, db *sql.DB
	snapshot   sql.TxOptions // of reading
	// config is how a server is reached; nil for a file.
	config *pgx.ConnConfig
	// path and using are of a file; "" and nil on a server.
	path                string
	using               *flock.Flock
	patience, foldAfter time.Duration
	fold                folding
	// Most is how many bytes a teacher may keep on a server, 0 for as many as there is room; see Held. Classes and what students do are not
	// refused for it.
	Most int64
	// Clock tells the time of a change; tests may set it.
	Clock func() time.Time
}

// Store is what one teacher keeps in a database. It reaches nothing of others.
type Store struct {
	*Database
	teacher int64
	whole   bool // closing it closes the database
	// lease is the number by which a process has the teacher's workbook, 0 where nothing asks for one; taken is told where another has it.
	lease int64
	taken func()
}

var _ store.Store = (*Store)(nil)

// OnlyTeacher is the teacher of a data folder, which has one.
const OnlyTeacher int64 = 1

// For is the store of a teacher. Nothing can be kept in that of a teacher who is not there: store.ErrNoTeacher.
func (d *Database) For(teacher int64) *Store { return &Store{Database: d, teacher: teacher} }

// Close ends a store that [Open] has opened; another is ended with its database.
func (s *Store) Close() error {
	if !s.whole {
		return nil
	}
	return s.Database.Close()
}

// Close closes the database; the log of a file is folded into it.
func (d *Database) Close() error {
	if d.path == "" {
		return d.db.Close()
	}
	return d.closeFile()
}

// Now is the time of a change.
func (d *Database) Now() time.Time { return d.Clock() }

// AddTeacher makes room for another teacher, and returns her number.
func (d *Database) AddTeacher() (teacher int64, err error) {
	err = d.Within(func(tx *sql.Tx) (err error) {
		teacher, err = d.addTeacher(tx)
		return err
	})
	return teacher, err
}

func (d *Database) addTeacher(tx *sql.Tx) (teacher int64, err error) {
	teacher = newID()
	_, err = tx.Exec(`INSERT INTO teachers (id, created) VALUES ($1, $2)`, teacher, d.Now().Unix())
	return teacher, err
}

// Teachers are the numbers of all teachers, the one added first first.
func (d *Database) Teachers() (all []int64, err error) {
	err = d.Reading(func(tx *sql.Tx) (err error) {
		all, err = numbers(tx.Query(`SELECT id FROM teachers ORDER BY id`))
		return err
	})
	return all, err
}

// numbers reads as many as can be read.
func numbers(rows *sql.Rows, err error) (all []int64, _ error) {
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var n int64
		if err := rows.Scan(&n); err != nil {
			return all, err
		}
		all = append(all, n)
	}
	return all, rows.Err()
}

// Within does work in one transaction that is on the disk when it returns; after an error nothing of it is kept. Where
// the database asks for it, or is away for a moment, the same is tried again, so that work must leave what it was given as it
// was until it is sure: what it changes in memory is changed afterwards. Of what belongs to teachers it reaches nothing on a server.
//
// Work that reads and then writes by what it has read begins by an UPDATE of the row that guards it, by which it waits for others who
// do the same.
func (d *Database) Within(work func(tx *sql.Tx) error) error {
	wait := waitFor(d.path, d.patience)
	for pause := time.Millisecond; ; pause = min(2*pause, 50*time.Millisecond) {
		again, err := d.try(wait, work)
		if err == nil {
			if d.path != "" {
				d.fold.soon(d.foldAfter, d.foldIn)
			}
			return nil
		}
		if again && !wait.over() {
			time.Sleep(rand.N(pause)) // two that fell over each other should not do so again
			continue
		}
		if said := told(err); said != err {
			return fmt.Errorf("not saved: %w", said)
		}
		return err
	}
}

// try is one try of Within; again says that another may go better, and cannot keep the same twice.
func (d *Database) try(wait *waiting, work func(tx *sql.Tx) error) (again bool, err error) {
	conn, err := d.turn(wait)
	if err != nil {
		return away(err), err
	}
	defer conn.Close()
	tx, err := conn.BeginTx(context.Background(), nil)
	if err != nil {
		return repeatable(err) || away(err), err
	}
	defer tx.Rollback() // does nothing after Commit
	if err := work(tx); err != nil {
		return repeatable(err) || away(err), err
	}
	err = tx.Commit()
	if away(err) && !pgconn.SafeToRetry(err) { // its answer is lost, and it may have been kept
		return false, &store.Trouble{What: store.ErrUnsure, Cause: err}
	}
	return repeatable(err) || away(err), err
}

// turn waits for a connection that writes. That wait ends, a transaction once begun does not.
func (d *Database) turn(wait *waiting) (*sql.Conn, error) {
	for {
		ctx, cancel := context.WithTimeout(context.Background(), d.patience/4)
		conn, err := d.writer.Conn(ctx)
		late := ctx.Err() != nil
		cancel()
		switch {
		case err == nil || !late:
			return conn, err
		case wait.over():
			return nil, &store.Trouble{What: store.ErrBusy, Cause: err}
		}
	}
}

// Reading does work that changes nothing, all of it with what was there at one moment. Of what belongs to teachers it reaches nothing
// on a server.
func (d *Database) Reading(work func(tx *sql.Tx) error) error {
	wait := waitFor(d.path, d.patience)
	for {
		err := d.read(work)
		if err == nil || !away(err) || wait.over() {
			return err
		}
		time.Sleep(50 * time.Millisecond)
	}
}

func (d *Database) read(work func(tx *sql.Tx) error) error {
	tx, err := d.db.BeginTx(context.Background(), &d.snapshot)
	if err != nil {
		return err
	}
	defer tx.Rollback() // nothing is left of reading
	return work(tx)
}

// transaction is one of a teacher: in each of its statements $1 is that teacher.
type transaction struct {
	*sql.Tx
	teacher int64
	// grows says that more is kept than before.
	grows bool
}

func (tx *transaction) Exec(query string, args ...any) (sql.Result, error) {
	return tx.Tx.Exec(query, tx.with(args)...)
}

func (tx *transaction) Query(query string, args ...any) (*sql.Rows, error) {
	return tx.Tx.Query(query, tx.with(args)...)
}

func (tx *transaction) QueryRow(query string, args ...any) *sql.Row {
	return tx.Tx.QueryRow(query, tx.with(args)...)
}

func (tx *transaction) with(args []any) []any { return append([]any{tx.teacher}, args...) }

// of makes a transaction that of the store's teacher; a server shows and takes nothing of others until it ends, and ends it itself where
// it stands still for so long.
func (s *Store) of(tx *sql.Tx, still time.Duration) (*transaction, error) {
	if s.path == "" {
		if err := s.wall(tx, still); err != nil {
			return nil, err
		}
	}
	return &transaction{Tx: tx, teacher: s.teacher}, nil
}

// within is Within for the store's teacher. Her changes wait for each other at her own row, so that what work reads stays as it is
// until it has written.
func (s *Store) within(work func(tx *transaction) error) error {
	return s.Within(func(raw *sql.Tx) error {
		tx, err := s.of(raw, s.patience)
		if err != nil {
			return err
		}
		if err := s.guarded(tx); err != nil {
			return err
		}
		if err := work(tx); err != nil || !tx.grows {
			return err
		}
		return s.fits(tx)
	})
}

// guarded waits for the teacher's other changes, and refuses those of a process that has lost her workbook to another.
func (s *Store) guarded(tx *transaction) error {
	if s.lease == 0 {
		res, err := tx.Exec(`UPDATE teachers SET changes = changes + 1 WHERE id = $1`)
		return oneRow(res, err, store.ErrNoTeacher)
	}
	res, err := tx.Exec(`UPDATE teachers SET changes = changes + 1 WHERE id = $1 AND lease = $2`, s.lease)
	if err = oneRow(res, err, store.ErrElsewhere); errors.Is(err, store.ErrElsewhere) {
		s.taken()
	}
	return err
}

// reading is Reading for the store's teacher.
func (s *Store) reading(work func(tx *transaction) error) error {
	err := s.Reading(func(raw *sql.Tx) error {
		tx, err := s.of(raw, 0)
		if err != nil {
			return err
		}
		return work(tx)
	})
	if said := asMade(err); said != err {
		return fmt.Errorf("not read: %w", said)
	}
	return err
}

// reading is Reading for the store's teacher, of something that is asked for.
func reading[T any](s *Store, work func(tx *transaction) (T, error)) (found T, err error) {
	err = s.reading(func(tx *transaction) (err error) {
		found, err = work(tx)
		return err
	})
	return found, err
}

// oneRow is the error of a statement, or missing where it met nothing.
func oneRow(res sql.Result, err, missing error) error {
	if err != nil {
		return err
	}
	n, err := res.RowsAffected()
	if err == nil && n == 0 {
		return missing
	}
	return err
}

// next is a number for something new of a teacher's, as people type it. No number is given twice, also when what had it is deleted.
func next(tx *transaction, table string) (id int64, err error) {
	err = tx.QueryRow(`INSERT INTO counters (teacher, name, last) VALUES ($1, $2, 1)
		ON CONFLICT (teacher, name) DO UPDATE SET last = counters.last + 1 RETURNING last`, table).Scan(&id)
	return id, err
}

// row is one of a query.
type row interface{ Scan(into ...any) error }

// all scans the rows of a query.
func all[T any](tx *transaction, scan func(row) (T, error), query string, args ...any) (list []T, err error) {
	rows, err := tx.Query(query, args...)
	return scanned(rows, err, scan)
}

// scanned reads and closes the rows of a query that may have failed.
func scanned[T any](rows *sql.Rows, err error, scan func(row) (T, error)) (list []T, _ error) {
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		one, err := scan(rows)
		if err != nil {
			return nil, err
		}
		list = append(list, one)
	}
	return list, rows.Err()
}
