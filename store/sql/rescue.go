package sql

import (
	"bytes"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/pressly/goose/v3"
	code "modernc.org/sqlite/lib"

	"secondpass/store"
)

// tables are all that is kept, each after those that it refers to.
var tables = []string{"exercises", "lessons", "drill_cards", "drills", "students", "tries", "memories", "charlestons",
	"classes", "class_students", "class_rounds", "class_votes"}

// Rescue puts what can still be read of the database of a folder into the new one of another, which must have none, and
// says how many rows of each table that is. It does not touch the damaged file: it works on a copy.
func Rescue(dir, to string) (counts []string, err error) {
	if _, err := os.Stat(filepath.Join(to, FileName)); err == nil {
		return nil, fmt.Errorf("%s has a data file already; give a new folder", to)
	}
	if err := os.MkdirAll(to, 0o700); err != nil {
		return nil, store.OfDisk(err)
	}
	work, err := os.MkdirTemp(to, "saving-*")
	if err != nil {
		return nil, store.OfDisk(err)
	}
	defer os.RemoveAll(work)
	fresh, err := connect(filepath.Join(to, FileName), 1, "")
	if err != nil {
		return nil, err
	}
	defer fresh.Close()
	if err := copyDamaged(dir, work); err != nil {
		return nil, store.OfDisk(err)
	}
	damaged, err := connect(filepath.Join(work, FileName), 1, "")
	if err != nil {
		return nil, err
	}
	defer damaged.Close()
	if err := migrate(fresh, goose.DialectSQLite3, versionOf(damaged), nil); err != nil {
		return nil, told(err)
	}
	for _, table := range tables {
		n, err := rescueTable(damaged, fresh, table)
		if err != nil {
			return nil, told(err)
		}
		counts = append(counts, fmt.Sprintf("%s: %d", table, n))
	}
	if err := migrate(fresh, goose.DialectSQLite3, 0, nil); err != nil {
		return nil, told(err)
	}
	for _, table := range []string{"exercises", "drills", "students", "lessons", "classes"} {
		if _, err := fresh.Exec(`INSERT INTO counters (teacher, name, last) SELECT teacher, '` + table + `', MAX(id) FROM ` + table +
			` WHERE true GROUP BY teacher ON CONFLICT (teacher, name) DO UPDATE SET last = excluded.last`); err != nil {
			return nil, told(err)
		}
	}
	return counts, os.Chmod(filepath.Join(to, FileName), 0o600)
}

// constrained says whether a statement would have broken a constraint of its table.
func constrained(err error) bool {
	return primary(err) == code.SQLITE_CONSTRAINT || strings.HasPrefix(state(err), "23")
}

// copyDamaged copies the file and its log, and mends the beginning by which SQLite knows its files where that alone is
// spoilt: it is the same in all of ours.
func copyDamaged(dir, work string) error {
	beginning := append([]byte("SQLite format 3\x00"), 0x10, 0, 2, 2, 0, 0x40, 0x20, 0x20) // pages of 4096 bytes, with a log
	for _, name := range []string{FileName, FileName + "-wal"} {
		data, err := os.ReadFile(filepath.Join(dir, name))
		if os.IsNotExist(err) {
			continue
		}
		if err != nil {
			return err
		}
		if name == FileName && len(data) > len(beginning) && !bytes.HasPrefix(data, beginning) {
			copy(data, beginning)
		}
		if err := os.WriteFile(filepath.Join(work, name), data, 0o600); err != nil {
			return err
		}
	}
	return nil
}

// versionOf is the version of the tables, or 0 where that cannot be read.
func versionOf(db *sql.DB) (version int64) {
	if db.QueryRow(`SELECT MAX(version_id) FROM goose_db_version`).Scan(&version) != nil {
		return 0
	}
	return version
}

// rescueTable copies the rows of a table that can be read: from the first on until a page cannot be read, and from the
// last back to it.
func rescueTable(damaged, fresh *sql.DB, table string) (copied int, err error) {
	columns, err := columnsOf(fresh, table)
	if err != nil {
		return 0, err
	}
	names := strings.Join(columns, ", ")
	marks := strings.TrimSuffix(strings.Repeat("?, ", len(columns)), ", ")
	for _, order := range []string{"ASC", "DESC"} {
		rows, err := damaged.Query(`SELECT ` + names + ` FROM ` + table + ` NOT INDEXED ORDER BY rowid ` + order)
		if err != nil {
			continue
		}
		n, whole, err := copyRows(rows, fresh, `INSERT INTO `+table+` (`+names+`) VALUES (`+marks+`)`, len(columns))
		copied += n
		if err != nil || whole {
			return copied, err
		}
	}
	return copied, nil
}

// copyRows copies rows until one cannot be read, or one is there already; whole says that none was left.
func copyRows(rows *sql.Rows, fresh *sql.DB, insert string, width int) (copied int, whole bool, err error) {
	defer rows.Close()
	values, into := make([]any, width), make([]any, width)
	for i := range values {
		into[i] = &values[i]
	}
	for rows.Next() {
		if rows.Scan(into...) != nil {
			return copied, false, nil
		}
		for i, v := range values {
			if b, ok := v.([]byte); ok {
				values[i] = string(b)
			}
		}
		_, err := fresh.Exec(insert, values...)
		switch {
		case err == nil:
			copied++
		case !constrained(err): // otherwise it belongs to something lost, or came from the other end
			return copied, false, err
		}
	}
	return copied, rows.Err() == nil, nil
}

func columnsOf(db *sql.DB, table string) (names []string, err error) {
	rows, err := db.Query(`SELECT name FROM pragma_table_info('` + table + `')`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			return nil, err
		}
		names = append(names, name)
	}
	return names, rows.Err()
}
