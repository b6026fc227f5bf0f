package sql

import (
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"slices"
	"strings"
	"syscall"

	"github.com/jackc/pgx/v5/pgconn"
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
	return c == code.SQLITE_BUSY || c == code.SQLITE_LOCKED || slices.Contains([]string{"40001", "40P01", "25P03"}, state(err))
}

// state is the SQLSTATE of what PostgreSQL said; "" where it said nothing.
func state(err error) string {
	var said *pgconn.PgError
	if errors.As(err, &said) {
		return said.Code
	}
	return ""
}

// away says that a server cannot be reached, or is stopping or starting.
func away(err error) bool {
	if err == nil || primary(err) != 0 {
		return false
	}
	if c := state(err); c != "" {
		return strings.HasPrefix(c, "08") || slices.Contains([]string{"57P01", "57P02", "57P03", "53300"}, c)
	}
	var net net.Error
	return pgconn.SafeToRetry(err) || errors.Is(err, pgconn.ErrConnClosed) || errors.As(err, new(*pgconn.ConnectError)) || errors.As(err, &net) || errors.Is(err, driver.ErrBadConn) ||
		errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) || errors.Is(err, syscall.ECONNRESET) || errors.Is(err, syscall.EPIPE)
}

// told makes a store.Trouble of what the database said about its disk, or of its silence; other errors stay as they are.
func told(err error) error {
	var already *store.Trouble
	if errors.As(err, &already) {
		return err
	}
	what := map[string]error{
		"53100": store.ErrFull, "40001": store.ErrBusy, "40P01": store.ErrBusy, "55P03": store.ErrBusy, "25P03": store.ErrBusy,
		"25006": store.ErrNotAllowed, "42501": store.ErrNotAllowed, "XX001": store.ErrDamaged, "XX002": store.ErrDamaged, "58030": store.ErrDisk,
	}[state(err)]
	if what == nil && away(err) {
		what = store.ErrAway
	}
	if said := primary(err); said != 0 {
		what = map[int]error{
			code.SQLITE_FULL: store.ErrFull,
			code.SQLITE_BUSY: store.ErrBusy, code.SQLITE_LOCKED: store.ErrBusy,
			code.SQLITE_READONLY: store.ErrReadOnly, code.SQLITE_PERM: store.ErrReadOnly,
			code.SQLITE_CORRUPT: store.ErrDamaged, code.SQLITE_NOTADB: store.ErrDamaged,
			code.SQLITE_IOERR: store.ErrDisk, code.SQLITE_CANTOPEN: store.ErrDisk,
		}[said]
	}
	if what == nil {
		return err
	}
	return &store.Trouble{What: what, Cause: err}
}

// asMade makes a store.Trouble of an error in reading what this program has made: what is neither missing nor a failure of
// the disk is not as it was made.
func asMade(err error) error {
	if err == nil || err.Error() == "sql: database is closed" { // database/sql has no value for it
		return err
	}
	for _, other := range []error{fs.ErrNotExist, store.ErrNotFound, store.ErrSeveral, store.ErrNoDrill, store.ErrNoStudent, store.ErrNoLesson, store.ErrNoClass, store.ErrNoTeacher, store.ErrLater} {
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
