package sql

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
	"secondpass/store"
)

func open(t *testing.T, dir string) *Store {
	t.Helper()
	s, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func newExercise(t *testing.T, name string) *exercise.Exercise {
	t.Helper()
	deal, err := tile.Parse("123b 456c 789d NEWS", tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	e, err := exercise.New(name, card.Practice(), house.Usual, charleston.South, deal, exercise.MockPasses, 5)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func document(t *testing.T, e *exercise.Exercise) string {
	t.Helper()
	var b bytes.Buffer
	if err := e.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func pass(t *testing.T, e *exercise.Exercise, own string) {
	t.Helper()
	p, err := exercise.ParseParcel(own, tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := e.Do("A", exercise.Decision{Own: p}); err != nil {
		t.Fatal(err)
	}
}

func TestSaveAndLoad(t *testing.T) { everywhere(t, testSaveAndLoad) }

func testSaveAndLoad(t *testing.T, at *place) {
	s := at.open(t)
	x, err := s.Add(newExercise(t, "Monday"))
	if err != nil {
		t.Fatal(err)
	}
	pass(t, x.Exercise, "N E W")
	if err := s.Save(x); err != nil {
		t.Fatal(err)
	}
	again := at.open(t)
	for _, ref := range []string{"Monday", "1"} {
		y, err := again.Load(ref)
		if err != nil || document(t, y.Exercise) != document(t, x.Exercise) || y.Revision != 2 {
			t.Fatalf("loaded by %q: %v", ref, err)
		}
	}
	if _, err := again.Load("Tuesday"); !errors.Is(err, store.ErrNotFound) {
		t.Error(err)
	}
}

func TestNamesStandOnce(t *testing.T) { everywhere(t, testNamesStandOnce) }

func testNamesStandOnce(t *testing.T, at *place) {
	s := at.open(t)
	for _, name := range []string{"Monday", "Tuesday"} {
		if _, err := s.Add(newExercise(t, name)); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.Add(newExercise(t, "Monday")); !errors.Is(err, store.ErrNameTaken) {
		t.Error(err)
	}
	if err := s.Rename("Tuesday", "Monday"); !errors.Is(err, store.ErrNameTaken) {
		t.Error(err)
	}
	if err := s.Rename("Tuesday", " "); err == nil {
		t.Error("an empty name")
	}
	if name, err := s.FreeName("Monday"); err != nil || name != "Monday 2" {
		t.Error(name, err)
	}
	if err := s.Rename("2", "Wednesday"); err != nil {
		t.Error(err)
	}
	if x, err := s.Load("Wednesday"); err != nil || x.Exercise.Name != "Wednesday" {
		t.Error(err)
	}
}

// A name is found in capitals or not, also beyond ASCII; as it is written it goes before others, and two others are refused.
func TestNamesInCapitals(t *testing.T) { everywhere(t, testNamesInCapitals) }

func testNamesInCapitals(t *testing.T, at *place) {
	s := at.open(t)
	for _, name := range []string{"Monday", "Übung", "12a"} {
		if _, err := s.Add(newExercise(t, name)); err != nil {
			t.Fatal(err)
		}
	}
	found := func(ref, name string) {
		t.Helper()
		if x, err := s.Load(ref); err != nil || x.Entry.Name != name {
			t.Errorf("%q: %v, wanted %q", ref, err, name)
		}
	}
	found("MONDAY", "Monday")
	found("übung", "Übung")
	found("12A", "12a")
	if _, err := s.Add(newExercise(t, "monday")); err != nil {
		t.Fatal(err)
	}
	found("monday", "monday")
	found("Monday", "Monday")
	if _, err := s.Load("MONDAY"); !errors.Is(err, store.ErrSeveral) {
		t.Error(err)
	}
	for _, name := range []string{"monday", "mOnDaY"} {
		if e, err := s.Delete(name); err != nil || !strings.EqualFold(e.Name, "monday") {
			t.Error(err)
		}
	}
	if e, err := s.Restore("Monday"); err != nil || e.Name != "Monday" {
		t.Error(e, err)
	}
}

func TestDeleteAndRestore(t *testing.T) { everywhere(t, testDeleteAndRestore) }

func testDeleteAndRestore(t *testing.T, at *place) {
	s := at.open(t)
	add := func() {
		if _, err := s.Add(newExercise(t, "Monday")); err != nil {
			t.Fatal(err)
		}
	}
	add()
	if _, err := s.Delete("Monday"); err != nil {
		t.Fatal(err)
	}
	if list, err := s.List(false); err != nil || len(list) != 0 {
		t.Error(list, err)
	}
	if list, err := s.List(true); err != nil || len(list) != 1 || !list[0].Deleted {
		t.Error(list, err)
	}
	add()
	if _, err := s.Restore("Monday"); !errors.Is(err, store.ErrNameTaken) {
		t.Error(err)
	}
	if err := s.Rename("Monday", "Other"); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Restore("Monday"); err != nil {
		t.Error(err)
	}
	if _, err := s.Load("Monday"); err != nil {
		t.Error(err)
	}
	if _, err := s.Delete("Friday"); !errors.Is(err, store.ErrNotFound) {
		t.Error(err)
	}
}

func TestListIsNewestFirst(t *testing.T) { everywhere(t, testListIsNewestFirst) }

func testListIsNewestFirst(t *testing.T, at *place) {
	s := at.open(t)
	now := time.Unix(1_000, 0)
	s.Clock = func() time.Time { return now }
	first, err := s.Add(newExercise(t, "first"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Add(newExercise(t, "second")); err != nil {
		t.Fatal(err)
	}
	now = now.Add(time.Minute)
	if err := s.Save(first); err != nil {
		t.Fatal(err)
	}
	list, err := s.List(false)
	if err != nil || len(list) != 2 || list[0].Name != "first" || !list[0].Changed.Equal(now) {
		t.Errorf("%+v, %v", list, err)
	}
}

func TestTwoWritersNoticeEachOther(t *testing.T) { everywhere(t, testTwoWritersNoticeEachOther) }

func testTwoWritersNoticeEachOther(t *testing.T, at *place) {
	one, two := at.open(t), at.open(t)
	x, err := one.Add(newExercise(t, "Monday"))
	if err != nil {
		t.Fatal(err)
	}
	y, err := two.Load("Monday")
	if err != nil {
		t.Fatal(err)
	}
	pass(t, x.Exercise, "N E W")
	if err := one.Save(x); err != nil {
		t.Fatal(err)
	}
	pass(t, y.Exercise, "1b 4c 7d")
	if err := two.Save(y); !errors.Is(err, store.ErrChanged) {
		t.Fatal(err)
	}
	if z, err := two.Load("Monday"); err != nil || document(t, z.Exercise) != document(t, x.Exercise) {
		t.Error("the second writer spoilt what the first saved", err)
	}
}

func TestDamagedFile(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, FileName), []byte(strings.Repeat("no database", 1000)), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(dir); err == nil || !strings.Contains(err.Error(), "cannot be used") {
		t.Error(err)
	}
}

// TestKilledProgramLosesNothing starts a program that saves and then waits, kills it without warning, and reads what it saved.
func TestKilledProgramLosesNothing(t *testing.T) { everywhere(t, testKilledProgramLosesNothing) }

func testKilledProgramLosesNothing(t *testing.T, at *place) {
	cmd := program("save and wait", at.at)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	if _, err := out.Read(make([]byte, 1)); err != nil { // it has saved
		t.Fatal(err)
	}
	if err := cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = cmd.Wait() // it was killed, which is what Wait reports
	x, err := at.open(t).Load("Monday")
	if err != nil || len(x.Routes[0].Decisions) != 1 {
		t.Fatalf("after the kill: %v", err)
	}
}

func saveAndWait(t *testing.T, s *Store) {
	x, err := s.Add(newExercise(t, "Monday"))
	if err != nil {
		t.Fatal(err)
	}
	pass(t, x.Exercise, "N E W")
	if err := s.Save(x); err != nil {
		t.Fatal(err)
	}
	os.Stdout.WriteString("saved")
	time.Sleep(time.Minute)
}

// Exercises of one wanted name that are made at once all find a place, each under a name of its own.
func TestAddFreeAtOnce(t *testing.T) { everywhere(t, testAddFreeAtOnce) }

func testAddFreeAtOnce(t *testing.T, at *place) {
	s := at.open(t)
	names := make(chan string, 12)
	for range cap(names) {
		go func() {
			x, err := s.AddFree(newExercise(t, "Monday"))
			if err != nil {
				names <- err.Error()
				return
			}
			names <- x.Entry.Name
		}()
	}
	seen := map[string]bool{}
	for range cap(names) {
		seen[<-names] = true
	}
	for i := range cap(names) {
		want := "Monday"
		if i > 0 {
			want = fmt.Sprintf("Monday %d", i+1)
		}
		if !seen[want] {
			t.Errorf("nobody has the name %s: %v", want, seen)
		}
	}
}
