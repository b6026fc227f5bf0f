package sql

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strconv"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"

	"secondpass/store"
)

const (
	// connections is how many of one program are open at most; those that nobody uses are closed but for a few.
	connections, unused = 16, 4
	// wallLock is the advisory lock of whoever builds the walls between teachers.
	wallLock = 0x736563706173
)

// Connect opens a database on a PostgreSQL server. url names the role that serves: it must not own the tables, since a server does
// not keep an owner's own rows from anybody who asks in her name. owner names the role that owns them, which makes them where they are
// not there and brings them up to date; "" leaves them as they are, and then they must be those of this program. Several programs may
// do so at once.
func Connect(url, owner string) (*Database, error) {
	serving, err := pgx.ParseConfig(url)
	if err != nil {
		return nil, errors.New("the address of the database cannot be read; one such as postgres://role@host/name is right")
	}
	if owner != "" {
		if err := prepare(owner, serving.User); err != nil {
			return nil, fmt.Errorf("the tables of the database cannot be made: %w", told(err))
		}
	}
	db := stdlib.OpenDB(*serving)
	db.SetMaxOpenConns(connections)
	db.SetMaxIdleConns(unused)
	db.SetConnMaxIdleTime(time.Minute)
	d := &Database{writer: db, db: db, config: serving, patience: patience, Clock: time.Now,
		snapshot: sql.TxOptions{ReadOnly: true, Isolation: sql.LevelRepeatableRead}}
	if err := d.fit(); err != nil {
		db.Close()
		return nil, fmt.Errorf("the database cannot be used: %w", told(err))
	}
	return d, nil
}

// prepare makes the tables or brings them up to date, as their owner, and lets the role that serves use them.
func prepare(owner, serving string) error {
	config, err := pgx.ParseConfig(owner)
	if err != nil {
		return errors.New("the address of their owner cannot be read; one such as postgres://role@host/name is right")
	}
	if config.User == serving {
		return fmt.Errorf("the role %s would own them and serve too; give it another to serve by", serving)
	}
	db := stdlib.OpenDB(*config)
	defer db.Close()
	if err := migrate(db, goose.DialectPostgres, 0, nil); err != nil {
		return err
	}
	tx, err := db.Begin()
	if err != nil {
		return err
	}
	defer tx.Rollback() // does nothing after Commit
	var schema string
	if err := tx.QueryRow(`SELECT current_schema()`).Scan(&schema); err != nil {
		return err
	}
	for _, statement := range walls(pgx.Identifier{schema}.Sanitize(), pgx.Identifier{serving}.Sanitize()) {
		if _, err := tx.Exec(statement); err != nil {
			return err
		}
	}
	return tx.Commit()
}

// leads is whom a code, a link or a token leads to, of which nobody knows but who was given it.
const leads = `SELECT teacher FROM classes WHERE (code = $1 OR link = $1) AND code <> ''
	UNION ALL SELECT teacher FROM class_students WHERE token = $1 AND token <> ''
	UNION ALL SELECT teacher FROM students WHERE token = $1 AND token <> '' LIMIT 1`

// walls let a role use all tables of a schema, of those with a column for the teacher only the rows of the one whom the transaction
// names. They are built again at each start, so that no table can be forgotten.
func walls(schema, serving string) []string {
	return []string{
		fmt.Sprintf(`SELECT pg_advisory_xact_lock(%d)`, wallLock),
		`DO $do$ DECLARE t regclass; BEGIN
			FOR t IN SELECT c.oid FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid AND a.attname = 'teacher' AND NOT a.attisdropped
				WHERE c.relkind = 'r' AND c.relnamespace = current_schema()::regnamespace AND NOT c.relrowsecurity
			LOOP
				EXECUTE format('ALTER TABLE %s ENABLE ROW LEVEL SECURITY', t);
				EXECUTE format($own$CREATE POLICY own ON %s USING (teacher = NULLIF(current_setting('app.teacher', true), '')::bigint)$own$, t);
			END LOOP;
		END $do$`,
		`CREATE OR REPLACE FUNCTION teacher_of(text) RETURNS bigint LANGUAGE sql STABLE SECURITY DEFINER SET search_path = ` + schema + `, pg_temp
			AS $of$ ` + leads + ` $of$`,
		`REVOKE ALL ON FUNCTION teacher_of(text) FROM PUBLIC`,
		`GRANT EXECUTE ON FUNCTION teacher_of(text) TO ` + serving,
		`GRANT USAGE ON SCHEMA ` + schema + ` TO ` + serving,
		`GRANT SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA ` + schema + ` TO ` + serving,
		`REVOKE INSERT, UPDATE, DELETE ON goose_db_version FROM ` + serving,
	}
}

// fit says why a database cannot be served from: its tables are not those of this program, or nothing keeps teachers apart from the
// role that would serve.
func (d *Database) fit() error {
	_, target, err := steps(d.db, goose.DialectPostgres)
	if err != nil {
		return err
	}
	return d.Reading(func(tx *sql.Tx) error {
		var role string
		var above, there bool
		var owns int
		err := tx.QueryRow(`SELECT current_user, (SELECT rolsuper OR rolbypassrls FROM pg_roles WHERE rolname = current_user), COALESCE(has_table_privilege(to_regclass('goose_db_version'), 'SELECT'), false),
			(SELECT COUNT(*) FROM pg_class WHERE relkind = 'r' AND relnamespace = current_schema()::regnamespace AND pg_has_role(relowner, 'USAGE'))`).
			Scan(&role, &above, &there, &owns)
		var version int64
		if err == nil && there {
			err = tx.QueryRow(`SELECT COALESCE(MAX(version_id), 0) FROM goose_db_version WHERE is_applied`).Scan(&version)
		}
		switch {
		case err != nil:
			return err
		case above || owns > 0:
			return fmt.Errorf("the role %s owns its tables or may see all rows; serve by a role that does not", role)
		case version > target:
			return store.ErrLater
		case version < target:
			return errors.New("its tables are missing, of an earlier version, or not there for this role; give the address of their owner too, who makes them")
		}
		return nil
	})
}

// wall names the teacher whose rows a transaction sees and writes on a server, how long it waits for others who get on, and after what
// time of standing still the server ends it: 0 is never, for one that holds nobody up.
func (s *Store) wall(tx *sql.Tx, still time.Duration) error {
	_, err := tx.Exec(`SELECT set_config('app.teacher', $1, true), set_config('lock_timeout', $2, true), set_config('idle_in_transaction_session_timeout', $3, true)`,
		strconv.FormatInt(s.teacher, 10), milliseconds(longest*s.patience), milliseconds(still))
	return err
}

func milliseconds(d time.Duration) string { return strconv.FormatInt(d.Milliseconds(), 10) }

// answers says that the server does not.
func (d *Database) answers() error {
	ctx, cancel := context.WithTimeout(context.Background(), time.Second)
	defer cancel()
	if err := d.db.PingContext(ctx); err != nil {
		return &store.Trouble{What: store.ErrAway, Cause: err}
	}
	return nil
}

// TeacherOf is the teacher to whom the code or link of an open class leads, or the token of a student of hers or of a class;
// store.ErrNoTeacher where it leads nowhere.
func (d *Database) TeacherOf(key string) (teacher int64, err error) {
	query := leads
	if d.path == "" {
		query = `SELECT teacher_of($1)`
	}
	var found sql.NullInt64
	err = d.Reading(func(tx *sql.Tx) error { return tx.QueryRow(query, key).Scan(&found) })
	if errors.Is(err, sql.ErrNoRows) || err == nil && !found.Valid {
		return 0, store.ErrNoTeacher
	}
	return found.Int64, asMade(err)
}
