package workers

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver/riverpgxv5"
	"github.com/riverqueue/river/rivermigrate"
)

// schema is where the tables are, those of the queue among them.
const schema = "secondpass_work"

// tables are those beside the queue's: runs that are under way, the results of their parts, and who is there.
const tables = `
CREATE TABLE IF NOT EXISTS secondpass_work.run (
	id text PRIMARY KEY, kind text NOT NULL, job bytea NOT NULL, touched timestamptz NOT NULL DEFAULT now());
CREATE TABLE IF NOT EXISTS secondpass_work.part (
	run text NOT NULL REFERENCES secondpass_work.run ON DELETE CASCADE, first integer NOT NULL, beyond integer NOT NULL,
	result bytea, failure text, worker text NOT NULL, took interval NOT NULL, PRIMARY KEY (run, first, beyond));
CREATE TABLE IF NOT EXISTS secondpass_work.member (
	id text PRIMARY KEY, works boolean NOT NULL, host text NOT NULL, program text NOT NULL, build text NOT NULL, proof text NOT NULL,
	slots integer NOT NULL, parts bigint NOT NULL, seen timestamptz NOT NULL);
ALTER TABLE secondpass_work.run ADD COLUMN IF NOT EXISTS begun timestamptz NOT NULL DEFAULT now(), ADD COLUMN IF NOT EXISTS first integer NOT NULL DEFAULT 0,
	ADD COLUMN IF NOT EXISTS beyond integer NOT NULL DEFAULT 0;
ALTER TABLE secondpass_work.part ADD COLUMN IF NOT EXISTS came timestamptz NOT NULL DEFAULT now();`

const (
	// seenEvery is how often one says that it is there, gone when it was not seen.
	seenEvery = 2 * time.Second
	gone      = "15 seconds"
	// keptFor is how long results stay whose coordinator does not come back.
	keptFor = "7 days"
	// answers is how long a database may take to answer at all.
	answers = 10 * time.Second
)

// silent is the logger of the queue, which would tell on standard output of every try while the database is away.
var silent = slog.New(slog.NewTextHandler(io.Discard, nil))

// Address is that the address of a database cannot be one.
type Address struct{ why error }

func (a *Address) Error() string {
	return fmt.Sprintf("the address of the workers' database cannot be read (%v); right would be one like postgres://name@host/database", a.why)
}

// Silent is that a database does not answer when one comes to it; once it has answered, one waits for it.
type Silent struct {
	at  string
	why error
}

func (s *Silent) Error() string {
	return fmt.Sprintf("the workers' database at %s does not answer: %v", s.at, inOneLine(s.why))
}

// inOneLine is why a connection failed, as the system says it: the driver tells of each try in a line of its own.
func inOneLine(err error) error {
	var tried *net.OpError
	if errors.As(err, &tried) {
		return tried.Err
	}
	return err
}

// open connects to a database. The error says what is wrong with the address.
func open(ctx context.Context, url string) (*pgxpool.Pool, error) {
	config, err := pgxpool.ParseConfig(url)
	if err != nil {
		return nil, &Address{withoutPassword(err)}
	}
	config.ConnConfig.ConnectTimeout = answers
	pool, err := pgxpool.NewWithConfig(ctx, config)
	if err != nil {
		return nil, err
	}
	ctx, cancel := context.WithTimeout(ctx, answers)
	defer cancel()
	if err := pool.Ping(ctx); err != nil {
		pool.Close()
		return nil, &Silent{at(config), err}
	}
	return pool, nil
}

// at is a database in words, without the password.
func at(c *pgxpool.Config) string {
	return fmt.Sprintf("%s, port %d, database %s", c.ConnConfig.Host, c.ConnConfig.Port, c.ConnConfig.Database)
}

// withoutPassword is the error of an address, which names the address, without it.
func withoutPassword(err error) error {
	if parse := (*pgconn.ParseConfigError)(nil); errors.As(err, &parse) {
		return errors.New("it is no such address")
	}
	return err
}

// Prepare makes the tables in a database, where they are not there yet, and lets a role, "" for none, use them and nothing else. It
// needs a role that may create a schema.
func Prepare(ctx context.Context, url, role string) error {
	pool, err := open(ctx, url)
	if err != nil {
		return err
	}
	defer pool.Close()
	if err := prepare(ctx, pool); err != nil {
		return err
	}
	if role == "" {
		return nil
	}
	to := pgx.Identifier{role}.Sanitize()
	for _, right := range []string{"USAGE ON SCHEMA %s", "SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA %s", "USAGE ON ALL SEQUENCES IN SCHEMA %s"} {
		if _, err := pool.Exec(ctx, "GRANT "+fmt.Sprintf(right, schema)+" TO "+to); err != nil {
			return fmt.Errorf("role %s: %w", role, err)
		}
	}
	return nil
}

// prepare makes the tables; one process at a time, since several may begin at once.
func prepare(ctx context.Context, pool *pgxpool.Pool) error {
	conn, err := pool.Acquire(ctx)
	if err != nil {
		return err
	}
	defer conn.Release()
	const lock = 0x5ec09d
	if _, err := conn.Exec(ctx, "SELECT pg_advisory_lock($1)", lock); err != nil {
		return err
	}
	defer func() { _, _ = conn.Exec(context.WithoutCancel(ctx), "SELECT pg_advisory_unlock($1)", lock) }() // it ends with the connection anyway
	if _, err := conn.Exec(ctx, "CREATE SCHEMA IF NOT EXISTS "+schema); err != nil {
		return fmt.Errorf("the tables for work cannot be made: %w", err)
	}
	migrator, err := rivermigrate.New(riverpgxv5.New(pool), &rivermigrate.Config{Schema: schema, Logger: silent})
	if err != nil {
		return err
	}
	if _, err := migrator.Migrate(ctx, rivermigrate.DirectionUp, nil); err != nil {
		return err
	}
	_, err = conn.Exec(ctx, tables)
	return err
}

// errNoTables is that there is nothing to work with.
var errNoTables = errors.New("the database has no tables for work that this role may use; secondpass work --prepare URL --role NAME makes them")

// ready says why a database cannot be used, or nil.
func ready(ctx context.Context, pool *pgxpool.Pool) error {
	var there bool
	// The newest column stands for all: a database that an earlier program prepared is prepared once more.
	err := pool.QueryRow(ctx, "SELECT EXISTS (SELECT 1 FROM pg_attribute WHERE attrelid = to_regclass($1) AND attname = 'came')", schema+".part").Scan(&there)
	if pg := (*pgconn.PgError)(nil); err == nil && !there || errors.As(err, &pg) && pg.Code == "42501" {
		return errNoTables
	}
	return err
}

// passing says whether an error of the database may be none when it is tried again: its connection broke, or it starts.
func passing(err error) bool {
	if refused := (*Refused)(nil); errors.As(err, &refused) || errors.Is(err, errNoTables) {
		return false
	}
	pg := (*pgconn.PgError)(nil)
	if !errors.As(err, &pg) {
		return true
	}
	switch pg.Code[:2] {
	case "08", "40", "53", "57": // connection, transaction rolled back, resources, operator intervention; PostgreSQL, appendix A
		return true
	}
	return false
}

// again tries until it goes well, the error is one that stays, or ctx ends.
func again(ctx context.Context, do func() error) error {
	for wait := 50 * time.Millisecond; ; wait = min(2*wait, time.Second) {
		err := do()
		if err == nil || !passing(err) || ctx.Err() != nil {
			return err
		}
		select {
		case <-time.After(wait):
		case <-ctx.Done():
			return err
		}
	}
}

// newClient is the queue for one that works when queues are given, and sends else.
func newClient(pool *pgxpool.Pool, id string, queues map[string]river.QueueConfig, todo *river.Workers) (*river.Client[pgx.Tx], error) {
	return river.NewClient(riverpgxv5.New(pool), &river.Config{
		ID: id, Schema: schema, Logger: silent, Queues: queues, Workers: todo,
		JobTimeout: -1, CompletedJobRetentionPeriod: time.Hour, FetchCooldown: 50 * time.Millisecond, FetchPollInterval: 500 * time.Millisecond,
	})
}
