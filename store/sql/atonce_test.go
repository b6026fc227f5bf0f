package sql

import (
	"cmp"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/pressly/goose/v3"

	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/store/files"
	"secondpass/teach/class"
	"secondpass/teach/drill"
)

const (
	programs  = 8
	triesEach = 10
)

// Eight programs start at once, on a folder that is not there yet, and each keeps what it is given.
func TestProgramsAtOnce(t *testing.T) { everywhere(t, testProgramsAtOnce) }

func testProgramsAtOnce(t *testing.T, at *place) {
	var all sync.WaitGroup
	for range programs {
		cmd := program("add exercises", at.at)
		all.Go(func() {
			if out, err := cmd.CombinedOutput(); err != nil {
				t.Errorf("%v\n%s", err, out)
			}
		})
	}
	all.Wait()
	list, err := at.open(t).List(false)
	if err != nil || len(list) != programs*triesEach {
		t.Errorf("%d exercises, wanted %d; %v", len(list), programs*triesEach, err)
	}
}

// program is another program that does something at a place.
func program(what, at string) *exec.Cmd {
	cmd := exec.Command(os.Args[0], "-test.run", "^TestAsAnotherProgram$")
	cmd.Env = append(os.Environ(), "STORE_TEST_DO="+what, "STORE_TEST_AT="+at)
	return cmd
}

// TestAsAnotherProgram is what programs that other tests start do.
func TestAsAnotherProgram(t *testing.T) {
	switch at := os.Getenv("STORE_TEST_AT"); os.Getenv("STORE_TEST_DO") {
	case "add exercises":
		s := openAt(t, at)
		for range triesEach {
			if _, err := s.AddFree(newExercise(t, "Monday")); err != nil {
				t.Fatal(err)
			}
		}
	case "save and wait":
		saveAndWait(t, openAt(t, at))
	case "open a new database":
		openNew(t, at)
	}
}

var adds = flag.Int("adds", 160, "exercises added, and as many tries, by sixteen at once")

// Exercises and tries of one student that sixteen add at once, through four open stores, are all kept: none fails, numbers have no gaps,
// and each try moves its student's memory.
func TestAddsAtOnce(t *testing.T) { everywhere(t, testAddsAtOnce) }

func testAddsAtOnce(t *testing.T, at *place) {
	s := at.open(t)
	d := newDrill()
	if err := s.AddDrill(d, card.Practice()); err != nil {
		t.Fatal(err)
	}
	st, err := s.AddStudent("Ana")
	if err != nil {
		t.Fatal(err)
	}
	stores := []*Store{s, at.open(t), at.open(t), at.open(t)}
	begun := time.Now()
	var all sync.WaitGroup
	for who := range 16 {
		one := stores[who%len(stores)]
		all.Go(func() {
			for i := who; i < *adds; i += 16 {
				_, err := one.Add(newExercise(t, fmt.Sprintf("Exercise %d", i)))
				if err != nil {
					t.Error(err)
				}
				try, err := d.Answered(i%2, time.Unix(2_000_000, 0), time.Second, 0)
				if err == nil {
					_, err = one.AddTry("Ana", try)
				}
				if err != nil {
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	t.Logf("%d exercises and %d tries in %v", *adds, *adds, time.Since(begun))
	list, err := s.List(false)
	if err != nil || len(list) != *adds {
		t.Errorf("%d exercises, wanted %d; %v", len(list), *adds, err)
	}
	slices.SortFunc(list, func(a, b store.Entry) int { return cmp.Compare(a.ID, b.ID) })
	for i, e := range list {
		if e.ID != int64(i+1) {
			t.Fatalf("exercise %d of %d has the number %d", i+1, len(list), e.ID)
		}
	}
	tries, err := s.Tries(st.ID)
	memories, bad := s.Memories(st.ID)
	if err != nil || bad != nil || len(tries) != *adds || memories[d.ID].Tries != *adds {
		t.Errorf("%d tries and a memory of %d, wanted %d; %v, %v", len(tries), memories[d.ID].Tries, *adds, err, bad)
	}
}

// Whoever waits for others waits as long as they get on, however long all of them take together; where nothing moves, that is said
// after the time for it.
func TestPatienceWithOthers(t *testing.T) {
	t.Parallel()
	const patience = time.Second
	dir := t.TempDir()
	s := open(t, dir)
	s.patience = patience
	for name, wait := range map[string]struct{ forConnection, forLock bool }{"the connection": {forConnection: true}, "the lock": {forLock: true}} {
		for _, moves := range []bool{true, false} {
			other := s
			if wait.forLock {
				other = open(t, dir)
			}
			conn, err := other.writer.Conn(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			var tx *sql.Tx
			begin := func() {
				if tx, err = conn.BeginTx(context.Background(), nil); err == nil {
					_, err = next(&transaction{Tx: tx, teacher: OnlyTeacher}, "others")
				}
				if err != nil {
					t.Fatal(err)
				}
			}
			begin()
			kept := make(chan error, 1)
			go func() { _, err := s.AddFree(newExercise(t, "Odds")); kept <- err }()
			for range 10 { // twice the patience
				time.Sleep(patience / 5)
				if moves {
					if err := tx.Commit(); err != nil {
						t.Fatal(err)
					}
					begin()
				}
			}
			if moves {
				tx.Rollback()
				conn.Close()
			}
			err = <-kept
			if !moves {
				tx.Rollback()
				conn.Close()
			}
			if errors.Is(err, store.ErrBusy) == moves {
				t.Errorf("waiting for %s while others get on (%v): %v", name, moves, err)
			}
		}
	}
}

// A program that opens a folder waits for another that makes the tables, as long as that one gets on.
func TestPatienceWithOpening(t *testing.T) {
	t.Parallel()
	const patience = time.Second
	dir := t.TempDir()
	for _, moves := range []bool{true, false} {
		first, err := lockOpening(dir, patience)
		if err != nil {
			t.Fatal(err)
		}
		had := make(chan error, 1)
		go func() {
			second, err := lockOpening(dir, patience)
			if err == nil {
				second.Unlock()
			}
			had <- err
		}()
		for i := range 10 {
			time.Sleep(patience / 5)
			if moves {
				if err := os.WriteFile(filepath.Join(dir, FileName), make([]byte, i), 0o600); err != nil {
					t.Fatal(err)
				}
			}
		}
		first.Unlock()
		if err := <-had; errors.Is(err, store.ErrBusy) == moves {
			t.Errorf("while the first gets on (%v): %v", moves, err)
		}
	}
}

// A walk that fails in the middle of its transaction says so, and holds up nobody.
func TestFollowUnderATakenName(t *testing.T) { everywhere(t, testFollowUnderATakenName) }

func testFollowUnderATakenName(t *testing.T, at *place) {
	s := at.open(t)
	x, c, r := openClass(t, s)
	if _, err := s.Add(newExercise(t, "Odds")); err != nil {
		t.Fatal(err)
	}
	x.Exercise.Name = "Odds"
	done := make(chan error, 1)
	go func() { done <- s.SaveFollow(x, c, r) }()
	select {
	case err := <-done:
		if !errors.Is(err, store.ErrNameTaken) || x.Revision != 1 {
			t.Errorf("%v, revision %d", err, x.Revision)
		}
	case <-time.After(5 * time.Minute): // only bounds a test that hangs
		t.Fatal("it waits for itself")
	}
	x.Exercise.Name = "Evens"
	if err := s.SaveFollow(x, c, r); err != nil || x.Revision != 2 {
		t.Errorf("%v, revision %d", err, x.Revision)
	}
}

// A number is given once: judgements and links that name what was deleted never meet something else.
func TestNumbersAreNotUsedAgain(t *testing.T) { everywhere(t, testNumbersAreNotUsedAgain) }

func testNumbersAreNotUsedAgain(t *testing.T, at *place) {
	s := at.open(t)
	x, c, _ := openClass(t, s)
	if err := s.DeleteClass(c.ID); err != nil {
		t.Fatal(err)
	}
	another, err := class.New(class.Together, 30, "A", time.Unix(5, 0))
	if err != nil {
		t.Fatal(err)
	}
	next := &store.SavedClass{Code: "GHJKL", Key: "other", Exercise: x.ID, Class: another}
	if err := s.AddClass(next, nil); err != nil || next.ID != 2 {
		t.Errorf("the class after class 1 has the number %d, %v", next.ID, err)
	}
	for want := int64(1); want <= 3; want++ {
		st, err := s.AddStudent("Ana")
		if err != nil || st.ID != want {
			t.Errorf("student %d has the number %d, %v", want, st.ID, err)
		}
		if err := s.DeleteStudent("Ana"); err != nil {
			t.Fatal(err)
		}
		s.Close()
		s = at.open(t)
	}
}

// Data that an earlier program kept has numbers, positions and tries as if they had been kept today, and is kept as it was too.
func TestEarlierData(t *testing.T) {
	dir := t.TempDir()
	db, err := connect(filepath.Join(dir, FileName), 1, "")
	if err == nil {
		err = migrate(db, goose.DialectSQLite3, 30, nil)
	}
	if err != nil {
		t.Fatal(err)
	}
	_, _, r := openClass(t, open(t, t.TempDir()))
	walked := newExercise(t, "Odds")
	route, err := walked.Fork("A", 0, "Class")
	if err != nil {
		t.Fatal(err)
	}
	d := newDrill()
	text, err := d.MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	for _, statement := range []string{
		`INSERT INTO drill_cards VALUES (` + quoted(d.Key.Fingerprint) + `, 'Lantern', ` + quoted(card.Practice().Source) + `, 8, 8)`,
		`INSERT INTO drills VALUES (4, ` + quoted(d.Key.Fingerprint) + `, ` + quoted(string(d.Kind)) + `, ` + quoted(string(text)) + `, 1500, 300, 0.06, 1, NULL)`,
		`INSERT INTO drills VALUES (5, ` + quoted(d.Key.Fingerprint) + `, ` + quoted(string(d.Kind)) + `, 'torn', 1500, 300, 0.06, 1, NULL)`,
		`INSERT INTO students VALUES (7, 'Ana', 1, 1500, 300, 0.06)`,
		`INSERT INTO tries VALUES (9, 7, NULL, 1, '{"kind":"exercise","step":"courtesy","about":"Monday, route A","answer":"","right":true}')`,
		`INSERT INTO tries VALUES (10, 7, NULL, 1, '{"kind":"reading","step":"play","about":"Monday, route A","answer":"","right":true}')`,
		`INSERT INTO exercises VALUES (3, 'Odds', ` + quoted(document(t, walked)) + `, 1, 1, 1, NULL)`,
		`INSERT INTO classes VALUES (2, 'CDFGH', 'key', 3, 'vote', 30, '["Class","Gone"]', 0, 1, 0)`,
		`INSERT INTO class_students VALUES (2, 1, 'Plum', 'token', 1)`,
		`INSERT INTO class_rounds VALUES (2, 1, 'Class', 0, ` + quoted(asJSON(t, r.Question)) + `, 1, 2, 2, 2, 1, ` +
			quoted(asJSON(t, []class.Follow{{Choice: threeOf(t, "1b 4c 7d"), Route: "Class"}})) + `, '')`,
		`INSERT INTO class_votes VALUES (2, 1, 1, 1, ` + quoted(asJSON(t, threeOf(t, "1b 4c 7d"))) + `, 1, 1)`,
	} {
		if _, err := db.Exec(statement); err != nil {
			t.Fatal(statement, err)
		}
	}
	db.Close()
	now := open(t, dir)
	if c, err := now.LoadClass(2); err != nil || len(c.Unread) > 0 || len(c.Rounds) != 1 || c.Rounds[0].Votes[1].Choice != threeOf(t, "1b 4c 7d") {
		t.Errorf("the class: %+v, %v", c, err)
	} else if c.Routes[0] != route.ID || c.Routes[1] != "Gone" || c.Rounds[0].Route != route.ID || c.Rounds[0].Follows[0].Route != route.ID || route.ID == "Class" {
		t.Errorf("its routes, by letter: %v, %s, %v; that of the class is %s", c.Routes, c.Rounds[0].Route, c.Rounds[0].Follows, route.ID)
	}
	if list, err := now.Search(store.Wish{Card: "lantern", Has: tile.MustParse("NEWS")}); err != nil || len(list) != 1 || list[0].ID != 3 {
		t.Errorf("looked for by its card and tiles: %v, %v", list, err)
	}
	same := newDrill()
	if err := now.AddDrill(same, card.Practice()); err != nil || same.ID != 4 {
		t.Errorf("the drill that was there got the number %d, %v", same.ID, err)
	}
	again := []drill.Try{{Kind: drill.OfExercise, About: "Monday, route A", Step: "play", At: time.Unix(2, 0)}}
	if err := now.AddExercise("Ana", again, nil); err != nil {
		t.Fatal(err)
	}
	if tries, err := now.Tries(7); err != nil || len(tries) != 2 || tries[0].ID != 10 || tries[1].ID <= 10 {
		t.Errorf("%+v, %v", tries, err)
	}
	if st, err := now.AddStudent("Ben"); err != nil || st.ID != 8 {
		t.Errorf("the next student has the number %d, %v", st.ID, err)
	}
	now.Close()
	open(t, dir).Close()
	copies, err := filepath.Glob(filepath.Join(dir, "before-update-*"))
	if err != nil || len(copies) != 1 {
		t.Fatalf("copies of the earlier data: %q, %v", copies, err)
	}
	earlier, err := connect(filepath.Join(copies[0], FileName), 1, "")
	if err != nil {
		t.Fatal(err)
	}
	defer earlier.Close()
	var drills, students int
	if err := earlier.QueryRow(`SELECT (SELECT COUNT(*) FROM drills), (SELECT COUNT(*) FROM students)`).Scan(&drills, &students); err != nil || versionOf(earlier) != 30 || drills != 2 || students != 1 {
		t.Errorf("the copy is of version %d with %d drills and %d students, %v", versionOf(earlier), drills, students, err)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, files.Saving+"*")); len(left) > 0 {
		t.Errorf("left behind: %q", left)
	}
}

// Without a copy nothing of earlier data is changed.
func TestEarlierDataWithoutACopy(t *testing.T) {
	db, err := connect(filepath.Join(t.TempDir(), FileName), 1, "")
	if err == nil {
		err = migrate(db, goose.DialectSQLite3, 30, nil)
	}
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if err := migrate(db, goose.DialectSQLite3, 0, func() error { return store.ErrFull }); !errors.Is(err, store.ErrFull) || versionOf(db) != 30 {
		t.Errorf("version %d, %v", versionOf(db), err)
	}
}

func asJSON(t *testing.T, v any) string {
	t.Helper()
	text, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func quoted(text string) string { return "'" + strings.ReplaceAll(text, "'", "''") + "'" }

// A file of a later version is left as it is: this program does not know what stands in it.
func TestLaterData(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	if _, err := s.writer.Exec(`INSERT INTO goose_db_version (version_id, is_applied) VALUES (99999, 1)`); err != nil {
		t.Fatal(err)
	}
	s.Close()
	if _, err := Open(dir); !errors.Is(err, store.ErrLater) {
		t.Error(err)
	}
}
