package sql

import (
	"errors"
	"fmt"

	"modernc.org/sqlite"
	code "modernc.org/sqlite/lib"

	"secondpass/store"
)

// primary is the code of what SQLite said, without the details in its upper bytes; 0 where it said nothing.
func primary(err error) int {
	var said *sqlite.Error
	if errors.As(err, &said) {
		return said.Code() & 0xff
	}
	return 0
}

// repeatable says whether the database asks to try the same again.
func repeatable(err error) bool {
	c := primary(err)
	return c == code.SQLITE_BUSY || c == code.SQLITE_LOCKED
}

// told makes a store.Trouble of what SQLite said about the disk; other errors stay as they are.
func told(err error) error {
	var already *store.Trouble
	if errors.As(err, &already) {
		return err
	}
	what := map[int]error{
		code.SQLITE_FULL: store.ErrFull,
		code.SQLITE_BUSY: store.ErrBusy, code.SQLITE_LOCKED: store.ErrBusy,
		code.SQLITE_READONLY: store.ErrReadOnly, code.SQLITE_PERM: store.ErrReadOnly,
		code.SQLITE_CORRUPT: store.ErrDamaged, code.SQLITE_NOTADB: store.ErrDamaged,
		code.SQLITE_IOERR: store.ErrDisk, code.SQLITE_CANTOPEN: store.ErrDisk,
	}[primary(err)]
	if what == nil {
		return err
	}
	return &store.Trouble{What: what, Cause: err}
}

// unread words why something could not be read; to be deferred.
func unread(err *error) {
	if said := asMade(*err); said != *err {
		*err = fmt.Errorf("not read: %w", said)
	}
}

// asMade makes a store.Trouble of an error in reading what this program has made: what is neither missing nor a failure of
// the disk is not as it was made.
func asMade(err error) error {
	if err == nil || err.Error() == "sql: database is closed" { // database/sql has no value for it
		return err
	}
	for _, other := range []error{store.ErrNotFound, store.ErrNoDrill, store.ErrNoStudent, store.ErrNoLesson, store.ErrNoClass, store.ErrLater} {
		if errors.Is(err, other) {
			return err
		}
	}
	said := told(err)
	var trouble *store.Trouble
	if !errors.As(said, &trouble) {
		return &store.Trouble{What: store.ErrDamaged, Cause: err}
	}
	return said
}

// damaged is a Trouble with one thing that is kept.
func damaged(what string, err error) error {
	return fmt.Errorf("%s cannot be read: %w", what, &store.Trouble{What: store.ErrDamaged, Cause: err})
}
