package sql

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"embed"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"

	"secondpass/store"
	"secondpass/store/files"
	"secondpass/teach/drill"
)

//go:embed migrations/*.sql
var migrations embed.FS

// migrate brings the tables to a version, 0 being that of today; keep, where it is given, is done before earlier ones are changed. Of a
// file it must be the only program that does so.
func migrate(db *sql.DB, dialect goose.Dialect, version int64, keep func() error) error {
	p, target, err := steps(db, dialect)
	if err != nil {
		return err
	}
	ctx := context.Background()
	is, err := p.GetDBVersion(ctx)
	switch {
	case err != nil:
		return err
	case is > target:
		return store.ErrLater
	case version > 0:
		_, err = p.UpTo(ctx, version)
	case is < target:
		if is > 0 && keep != nil {
			err = keep()
		}
		if err == nil {
			_, err = p.Up(ctx)
		}
	}
	return err
}

// steps are all migrations, and the version to which they lead. On a server one program at a time does them.
func steps(db *sql.DB, dialect goose.Dialect) (p *goose.Provider, target int64, err error) {
	texts, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return nil, 0, err
	}
	options := []goose.ProviderOption{goose.WithGoMigrations(
		goose.NewGoMigration(45, &goose.GoFunc{RunTx: fillColumns}, nil),
		goose.NewGoMigration(65, &goose.GoFunc{RunTx: fillSums}, nil),
		goose.NewGoMigration(75, &goose.GoFunc{RunTx: fillClassSums}, nil),
		goose.NewGoMigration(77, &goose.GoFunc{RunTx: letterRoutes}, nil),
		goose.NewGoMigration(105, onServers(dialect, noTeachers), nil),
		goose.NewGoMigration(110, onServers(dialect, filesTable), nil),
		goose.NewGoMigration(215, &goose.GoFunc{RunTx: fillSearched}, nil))}
	if dialect == goose.DialectPostgres {
		one, err := lock.NewPostgresSessionLocker(lock.WithLockTimeout(1, 300)) // seconds, tries
		if err != nil {
			return nil, 0, err
		}
		options = append(options, goose.WithSessionLocker(one))
	}
	if p, err = goose.NewProvider(dialect, db, texts, options...); err != nil {
		return nil, 0, err
	}
	all := p.ListSources()
	return p, all[len(all)-1].Version, nil
}

// A server begins with no teacher: there was none before there were teachers.
const noTeachers = `DELETE FROM teachers`

// What of a single teacher stands in files of her data folder: see package files.
const filesTable = `CREATE TABLE files (
	teacher BIGINT NOT NULL REFERENCES teachers (id),
	folder  TEXT   NOT NULL, -- with slashes, from the top
	name    TEXT   NOT NULL,
	data    BYTEA  NOT NULL,
	sum     TEXT   NOT NULL, -- SHA-256 of the data
	changed BIGINT NOT NULL, -- microseconds since 1970, UTC
	PRIMARY KEY (teacher, folder, name)
)`

// onServers is a migration of what only a server has.
func onServers(dialect goose.Dialect, statement string) *goose.GoFunc {
	return &goose.GoFunc{RunTx: func(ctx context.Context, tx *sql.Tx) error {
		if dialect != goose.DialectPostgres {
			return nil
		}
		_, err := tx.ExecContext(ctx, statement)
		return err
	}}
}

// keepEarlier copies the database of an earlier version into a folder of its own beside it: the version that wrote it reads no other.
// Nothing has the name of the copy before it is whole.
func (d *Database) keepEarlier() error {
	dir := filepath.Dir(d.path)
	half, err := os.MkdirTemp(dir, files.Saving+"*")
	if err != nil {
		return store.OfDisk(err)
	}
	defer os.RemoveAll(half)
	if err := d.CopyTo(filepath.Join(half, FileName)); err != nil {
		return err
	}
	return store.OfDisk(os.Rename(half, filepath.Join(dir, "before-update-"+d.Now().Format("2006-01-02-150405"))))
}

// fillColumns puts what earlier stood in documents alone into columns, where statements find it. What cannot be read is
// left as it is: it is told of where somebody asks for it.
func fillColumns(ctx context.Context, tx *sql.Tx) error {
	drills, err := documents(ctx, tx, `SELECT id, document FROM drills`)
	if err != nil {
		return err
	}
	for id, document := range drills {
		d := &drill.Drill{}
		if json.Unmarshal([]byte(document), d) != nil {
			continue
		}
		position, err := digest(&d.Position)
		if err == nil {
			_, err = tx.ExecContext(ctx, `UPDATE drills SET position = $1 WHERE id = $2`, position, id)
		}
		if err != nil {
			return err
		}
	}
	tries, err := documents(ctx, tx, `SELECT id, document FROM tries`)
	if err != nil {
		return err
	}
	for id, document := range tries {
		var t drill.Try
		if json.Unmarshal([]byte(document), &t) != nil {
			continue
		}
		if _, err := tx.ExecContext(ctx, `UPDATE tries SET kind = $1, about = $2 WHERE id = $3`, t.Kind, t.About, id); err != nil {
			return err
		}
	}
	return nil
}

// fillSums gives sums to what was kept without.
func fillSums(ctx context.Context, tx *sql.Tx) error {
	for table, name := range map[string]string{"exercises": "name", "lessons": "title", "drills": "''", "tries": "''"} {
		all, err := documents(ctx, tx, `SELECT id, `+name+` || document FROM `+table)
		if err != nil {
			return err
		}
		for id, text := range all {
			if _, err := tx.ExecContext(ctx, `UPDATE `+table+` SET sum = $1 WHERE id = $2`, sum("", text), id); err != nil {
				return err
			}
		}
	}
	return nil
}

// fillClassSums does so for classes.
func fillClassSums(ctx context.Context, tx *sql.Tx) error {
	for _, c := range []struct{ table, column, text string }{
		{"classes", "sum", "routes"}, {"class_students", "sum", "name || token"}, {"class_votes", "sum", "choice"},
		{"class_rounds", "question_sum", "question"}, {"class_rounds", "follows_sum", "follows"}, {"class_rounds", "judgement_sum", "judgement"},
	} {
		texts, err := distinct(ctx, tx, `SELECT DISTINCT `+c.text+` FROM `+c.table)
		if err != nil {
			return err
		}
		for _, text := range texts {
			if _, err := tx.ExecContext(ctx, `UPDATE `+c.table+` SET `+c.column+` = $1 WHERE `+c.text+` = $2`, sum("", text), text); err != nil {
				return err
			}
		}
	}
	return nil
}

// distinct reads texts.
func distinct(ctx context.Context, tx *sql.Tx, query string, args ...any) (all []string, err error) {
	rows, err := tx.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var text string
		if err := rows.Scan(&text); err != nil {
			return nil, err
		}
		all = append(all, text)
	}
	return all, rows.Err()
}

// sum is what a row with a name, or "", and a document carries, so that a change that the disk has made is noticed.
func sum(name, document string) string {
	s := sha256.Sum256([]byte(name + document))
	return hex.EncodeToString(s[:])
}

// errSum: a row does not carry the sum of what stands in it.
var errSum = errors.New("it is not what was kept")

// documents reads numbers with their documents.
func documents(ctx context.Context, tx *sql.Tx, query string) (map[int64]string, error) {
	rows, err := tx.QueryContext(ctx, query)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	all := map[int64]string{}
	for rows.Next() {
		var id int64
		var document string
		if err := rows.Scan(&id, &document); err != nil {
			return nil, err
		}
		all[id] = document
	}
	return all, rows.Err()
}

// digest is what the position of a drill is found by.
func digest(asked any) (string, error) {
	text, err := json.Marshal(asked)
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:]), err
}
