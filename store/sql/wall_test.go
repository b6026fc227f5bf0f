//go:build unix

package sql

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"

	"secondpass/internal/postgres"
	"secondpass/store"
)

// bare is a connection that takes the store's own condition out of every statement, so that only the server keeps teachers apart.
type bare struct{ *stdlib.Conn }

var ownCondition = regexp.MustCompile(`\bteacher = \$1`)

func (c bare) ExecContext(ctx context.Context, query string, args []driver.NamedValue) (driver.Result, error) {
	return c.Conn.ExecContext(ctx, ownCondition.ReplaceAllString(query, "teacher + $$1 IS NOT NULL"), args)
}

func (c bare) QueryContext(ctx context.Context, query string, args []driver.NamedValue) (driver.Rows, error) {
	return c.Conn.QueryContext(ctx, ownCondition.ReplaceAllString(query, "teacher + $$1 IS NOT NULL"), args)
}

type bareConnector struct{ driver.Connector }

func (c bareConnector) Connect(ctx context.Context) (driver.Conn, error) {
	conn, err := c.Connector.Connect(ctx)
	if err != nil {
		return nil, err
	}
	return bare{conn.(*stdlib.Conn)}, nil
}

// kept is all rows of a teacher, as their owner sees them.
func kept(t *testing.T, owner string, teacher int64) (rows []string) {
	t.Helper()
	db, err := sql.Open("pgx", owner)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, table := range walled(t, db) {
		found, err := db.Query(fmt.Sprintf(`SELECT '%s ' || r::text FROM %s r WHERE teacher = %d`, table, table, teacher))
		if err != nil {
			t.Fatal(err)
		}
		for found.Next() {
			var text string
			if err := found.Scan(&text); err != nil {
				t.Fatal(err)
			}
			rows = append(rows, text)
		}
		if err := found.Err(); err != nil {
			t.Fatal(err)
		}
	}
	slices.Sort(rows)
	return rows
}

// walled are the tables with a column for the teacher.
func walled(t *testing.T, db *sql.DB) (names []string) {
	t.Helper()
	rows, err := db.Query(`SELECT table_name FROM information_schema.columns WHERE table_schema = 'public' AND column_name = 'teacher' ORDER BY 1`)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			t.Fatal(err)
		}
		names = append(names, name)
	}
	for _, table := range append(slices.Clone(tables), "counters") {
		if !slices.Contains(names, table) {
			t.Fatalf("the table %s has no teacher", table)
		}
	}
	return names
}

// The server alone keeps teachers apart: with the store's own conditions taken out of its statements each still sees and changes her own
// rows only; without the wall she would not.
func TestWallWithoutConditions(t *testing.T) {
	owner, serve := newDatabase(t, true)
	d := connected(t, serve, "")
	one, two := aTeacher(t, d, "CDFGH"), aTeacher(t, d, "GHJKL")
	config, err := pgx.ParseConfig(serve)
	if err != nil {
		t.Fatal(err)
	}
	db := sql.OpenDB(bareConnector{stdlib.GetConnector(*config)})
	defer db.Close()
	open := &Database{writer: db, db: db, patience: patience, Clock: time.Now, snapshot: d.snapshot}
	bareOne := open.For(one.teacher)
	whole := [7]int{1, 1, 1, 1, 1, 2, 1}
	if got := hers(t, bareOne); got != whole {
		t.Errorf("she sees %v", got)
	}
	others := kept(t, owner, two.teacher)
	if len(others) < len(tables) {
		t.Fatalf("only %d rows are the other's", len(others))
	}
	for what, do := range map[string]func() error{
		"class":   func() error { return bareOne.DeleteClass(1) },
		"student": func() error { return bareOne.DeleteStudent("Ana") },
		"drill":   func() error { return bareOne.DeleteDrill(1) },
		"lesson":  func() error { return bareOne.DeleteLesson(1) },
		"rename":  func() error { return bareOne.Rename("Monday", "Tuesday") },
		"delete":  func() error { _, err := bareOne.Delete("Tuesday"); return err },
	} {
		if err := do(); err != nil && !errors.Is(err, store.ErrNotFound) && !errors.Is(err, store.ErrInClass) { // they come in any order
			t.Errorf("%s: %v", what, err)
		}
	}
	if now := kept(t, owner, two.teacher); !slices.Equal(now, others) {
		t.Errorf("of the other was changed:\n%s\n%s", strings.Join(others, "\n"), strings.Join(now, "\n"))
	}
	execute(t, owner, `ALTER TABLE students DISABLE ROW LEVEL SECURITY`)
	if got := hers(t, bareOne); got[3] != 1 { // her own is gone, the other's is seen
		t.Errorf("without the wall she sees %v: the test tests nothing", got)
	}
}

// To the role that serves every table of a teacher's shows and takes the rows alone of the one who is named, and none where nobody is.
func TestWall(t *testing.T) {
	owner, serve := newDatabase(t, true)
	d := connected(t, serve, "")
	one, two := aTeacher(t, d, "CDFGH"), aTeacher(t, d, "GHJKL")
	of := func(teacher int64, table string) (n, others int) {
		t.Helper()
		err := d.Reading(func(tx *sql.Tx) error {
			if teacher != 0 {
				if err := d.For(teacher).wall(tx, 0); err != nil {
					return err
				}
			}
			return tx.QueryRow(`SELECT COUNT(*), COUNT(*) FILTER (WHERE teacher <> `+fmt.Sprint(one.teacher)+`) FROM `+table).Scan(&n, &others)
		})
		if err != nil {
			t.Fatal(table, err)
		}
		return n, others
	}
	for _, table := range walled(t, d.db) {
		if n, others := of(one.teacher, table); n == 0 || others > 0 {
			t.Errorf("%s shows %d rows, %d of them of others", table, n, others)
		}
		if n, _ := of(0, table); n > 0 {
			t.Errorf("%s shows %d rows to nobody", table, n)
		}
		err := d.Within(func(tx *sql.Tx) error {
			if err := one.wall(tx, 0); err != nil {
				return err
			}
			_, err := tx.Exec(`UPDATE `+table+` SET teacher = $1`, two.teacher)
			return err
		})
		if state(err) != "42501" {
			t.Errorf("%s: a row is given to another: %v", table, err)
		}
	}
	for _, teacher := range []int64{0, one.teacher} {
		err := d.Within(func(tx *sql.Tx) error {
			if teacher != 0 {
				if err := one.wall(tx, 0); err != nil {
					return err
				}
			}
			_, err := tx.Exec(`INSERT INTO counters (teacher, name, last) VALUES ($1, 'foreign', 1)`, two.teacher)
			return err
		})
		if state(err) != "42501" || !errors.Is(err, store.ErrNotAllowed) {
			t.Errorf("%d keeps something for another: %v", teacher, err)
		}
	}
	execute(t, owner, `CREATE TABLE later (teacher BIGINT, x TEXT); INSERT INTO later VALUES (`+fmt.Sprint(two.teacher)+`, 'x')`)
	connected(t, serve, owner)
	if n, _ := of(one.teacher, "later"); n != 0 {
		t.Errorf("a table that came later shows %d rows of others", n)
	}
}

// A database is not served from by who would see everything, nor where its tables are not those of this program.
func TestConnectRefuses(t *testing.T) {
	owner, serve := newDatabase(t, true)
	newOwner, newServe := newDatabase(t, false)
	super := strings.Replace(serve, postgres.Serving+"@", "postgres@", 1)
	for name, c := range map[string]struct{ url, owner, says string }{
		"owner":       {owner, "", "the role owner owns its tables or may see all rows"},
		"superuser":   {super, "", "the role postgres owns its tables or may see all rows"},
		"one role":    {newOwner, newOwner, "the role owner would own them and serve too"},
		"no tables":   {newServe, "", "its tables are missing"},
		"no database": {strings.Replace(serve, "/test", "/none", 1), "", "cannot be used"},
		"nonsense":    {"postgres://%%", "", "the address of the database cannot be read"},
		"nonsense 2":  {serve, "postgres://%%", "the address of their owner cannot be read"},
	} {
		d, err := Connect(c.url, c.owner)
		if err == nil {
			d.Close()
		}
		if err == nil || !strings.Contains(err.Error(), c.says) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v", name, err)
		}
	}
	execute(t, owner, `INSERT INTO goose_db_version (version_id, is_applied) VALUES (99999, true)`)
	for _, owner := range []string{"", owner} {
		if _, err := Connect(serve, owner); !errors.Is(err, store.ErrLater) {
			t.Errorf("tables of a later program: %v", err)
		}
	}
}

// A program that stands still in the middle of a change holds up others no longer than they are patient.
func TestAStalledProgramLetsGo(t *testing.T) {
	at := onServer(t)
	s, stalled := at.open(t), at.open(t)
	stalled.patience = 200 * time.Millisecond
	tx, err := stalled.writer.Begin()
	if err == nil {
		err = stalled.wall(tx, stalled.patience)
	}
	if err == nil {
		_, err = tx.Exec(`UPDATE teachers SET changes = changes WHERE id = $1`, s.teacher)
	}
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Add(newExercise(t, "Monday")); err != nil {
		t.Error(err)
	}
	if tx.Commit() == nil {
		t.Error("it was not ended")
	}
	err = stalled.reading(func(tx *transaction) error { // who reads holds nobody up
		time.Sleep(2 * stalled.patience)
		_, err := load(tx, "Monday")
		return err
	})
	if err != nil {
		t.Error(err)
	}
}

// The server is killed, and comes back while sixteen add: what was acknowledged is there, and what was said not to be saved is what the
// server may have kept before it could say so.
func TestServerKilled(t *testing.T) {
	t.Parallel()
	pg := postgres.Start(t)
	owner, serve := pg.NewDatabase(t, "club", "")
	d := connected(t, serve, owner)
	d.patience = 5 * time.Minute // of a busy machine
	teacher, err := d.AddTeacher()
	if err != nil {
		t.Fatal(err)
	}
	s := d.For(teacher)
	var all sync.WaitGroup
	var acknowledged, refused atomic.Int64
	begun, over := make(chan bool), make(chan bool)
	for who := range 16 {
		all.Go(func() {
			for i := 0; ; i++ {
				_, err := s.Add(newExercise(t, fmt.Sprintf("Exercise %d, %d", who, i)))
				switch {
				case err == nil:
					acknowledged.Add(1)
				case errors.Is(err, store.ErrUnsure):
					refused.Add(1)
				default:
					t.Error(err)
				}
				select {
				case begun <- true:
				case <-over:
					return
				}
			}
		})
	}
	for range 40 {
		<-begun
	}
	pg.Kill()
	before := acknowledged.Load()
	pg.Restart()
	for range 40 {
		<-begun
	}
	close(over)
	all.Wait()
	list, err := s.List(false)
	if n := int64(len(list)); err != nil || n < acknowledged.Load() || n > acknowledged.Load()+refused.Load() || acknowledged.Load() <= before {
		t.Errorf("%d are there of %d that were acknowledged, %d before it was killed; %d were refused; %v", n, acknowledged.Load(), before, refused.Load(), err)
	}
}
