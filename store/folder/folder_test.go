package folder_test

import (
	"archive/zip"
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
	"secondpass/store/files"
	"secondpass/store/folder"
	"secondpass/store/sql"
)

func open(t *testing.T, dir string) *sql.Store {
	t.Helper()
	s, err := sql.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func newExercise(t *testing.T, name string, seed uint64) *exercise.Exercise {
	t.Helper()
	e, err := exercise.New(name, card.Practice(), house.Usual, charleston.South, tile.MustParse("123b 456c 789d NEWS"), exercise.MockPasses, seed)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// full makes a data folder with n exercises, a student and a card, and returns the exercises' documents by name.
func full(t *testing.T, n int) (dir string, documents map[string]string) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "data")
	s := open(t, dir)
	defer s.Close()
	documents = map[string]string{}
	for i := range n {
		e := newExercise(t, fmt.Sprintf("Exercise no. %d", i+1), uint64(i))
		if _, err := s.Add(e); err != nil {
			t.Fatal(err)
		}
		documents[e.Name] = document(t, e)
	}
	if _, err := s.AddStudent("Ana"); err != nil {
		t.Fatal(err)
	}
	if _, err := files.In(dir, nil).Cards.Keep("Mine", "", []byte("card Mine\n"), nil); err != nil {
		t.Fatal(err)
	}
	return dir, documents
}

func document(t *testing.T, e *exercise.Exercise) string {
	t.Helper()
	var b bytes.Buffer
	if err := e.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// A folder has one server; the second is told where the first answers, and may serve when that has ended.
func TestOneServer(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new")
	first, err := folder.Serve(dir)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := folder.Serve(dir); !errors.As(err, new(*folder.Served)) || strings.Contains(err.Error(), "http") {
		t.Errorf("while the first is starting: %v", err)
	}
	for opens, want := range map[string]string{"http://127.0.0.1:7520/?key=K": "http://127.0.0.1:7520/?key=K", "": "http://127.0.0.1:7520"} {
		if err := first.At("http://127.0.0.1:7520", opens); err != nil {
			t.Fatal(err)
		}
		var served *folder.Served
		if _, err := folder.Serve(dir); !errors.As(err, &served) || served.Opens != want || !strings.Contains(err.Error(), "at http://127.0.0.1:7520:") || strings.Contains(err.Error(), "key") {
			t.Errorf("%+v, %v", served, err)
		}
	}
	open(t, dir).Close() // commands go on beside it
	if err := first.Release(); err != nil {
		t.Fatal(err)
	}
	second, err := folder.Serve(dir)
	if err != nil {
		t.Fatal(err)
	}
	second.Release()
}

// What killed programs left half written is swept away when a server starts, and nothing else.
func TestSweep(t *testing.T) {
	dir, _ := full(t, 1)
	old, young := filepath.Join(dir, "cards", files.Saving+"1"), filepath.Join(dir, "cards", files.Saving+"2")
	for _, path := range []string{old, young} {
		if err := os.WriteFile(path, nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	before := time.Now().Add(-2 * time.Hour)
	for _, path := range []string{old, filepath.Join(dir, "cards", "Mine.card")} {
		if err := os.Chtimes(path, before, before); err != nil {
			t.Fatal(err)
		}
	}
	s, err := folder.Serve(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Release()
	left, err := os.ReadDir(filepath.Join(dir, "cards"))
	if err != nil || len(left) != 3 || left[0].Name() != "Mine.card" || left[1].Name() != "history" || left[2].Name() != files.Saving+"2" {
		t.Errorf("left: %v, %v", left, err)
	}
}

// A backup made while exercises are saved holds everything that was kept before it; restored, it is what there was, and
// what was there meanwhile is put aside.
func TestBackupAndRestore(t *testing.T) {
	dir, documents := full(t, 5)
	s := open(t, dir)
	stop, done := make(chan bool), make(chan error)
	go func() {
		for i := uint64(0); ; i++ {
			select {
			case <-stop:
				done <- nil
				return
			default:
			}
			if _, err := s.AddFree(newExercise(t, "Meanwhile", i)); err != nil {
				done <- err
				return
			}
		}
	}()
	backup := filepath.Join(t.TempDir(), "a", "backup.zip")
	if err := folder.Backup(dir, backup); err != nil {
		t.Fatal(err)
	}
	close(stop)
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	if _, err := folder.Restore(dir, backup, time.Now()); !errors.Is(err, store.ErrBusy) {
		t.Errorf("restored under an open store: %v", err)
	}
	if _, err := s.Delete("Exercise no. 1"); err != nil {
		t.Fatal(err)
	}
	s.Close()
	cards := files.In(dir, nil).Cards
	if _, err := cards.Keep("Mine", cards.Revision("Mine"), []byte("card Other\n"), nil); err != nil {
		t.Fatal(err)
	}

	aside, err := folder.Restore(dir, backup, time.Now())
	if err != nil || aside == "" {
		t.Fatal(aside, err)
	}
	if text, err := cards.Text("Mine"); err != nil || string(text) != "card Mine\n" {
		t.Errorf("%q, %v", text, err)
	}
	if text, err := files.In(aside, nil).Cards.Text("Mine"); err != nil || string(text) != "card Other\n" {
		t.Errorf("put aside is %q, %v", text, err)
	}
	back := open(t, dir)
	defer back.Close()
	for name, want := range documents {
		if x, err := back.Load(name); err != nil || document(t, x.Exercise) != want {
			t.Errorf("%s: %v", name, err)
		}
	}
	if left, _ := filepath.Glob(filepath.Join(dir, files.Saving+"*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

// What is no backup, or a damaged one, changes nothing.
func TestRestoreOfRubbish(t *testing.T) {
	dir, documents := full(t, 3)
	good := filepath.Join(t.TempDir(), "good.zip")
	if err := folder.Backup(dir, good); err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(good)
	if err != nil {
		t.Fatal(err)
	}
	var outside, empty bytes.Buffer
	z := zip.NewWriter(&outside)
	for _, name := range []string{sql.FileName, "../escaped"} {
		if _, err := z.Create(name); err != nil {
			t.Fatal(err)
		}
	}
	z.Close()
	zip.NewWriter(&empty).Close()
	flipped := bytes.Clone(whole)
	flipped[len(flipped)/3] ^= 0x10
	for name, data := range map[string][]byte{"text": []byte("no backup"), "cut": whole[:len(whole)/2], "flipped": flipped, "outside": outside.Bytes(), "empty": empty.Bytes()} {
		path := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := folder.Restore(dir, path, time.Now()); err == nil || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v", name, err)
		}
	}
	s := open(t, dir)
	defer s.Close()
	for name, want := range documents {
		if x, err := s.Load(name); err != nil || document(t, x.Exercise) != want {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// One snapshot a day, so many and so old at most, and the newest stays whatever its age.
func TestSnapshots(t *testing.T) {
	dir, _ := full(t, 1)
	at := time.Date(2026, 3, 1, 12, 0, 0, 0, time.Local)
	take := func(p folder.Snapshots, days int, wantMade bool, want ...string) {
		t.Helper()
		made, err := p.Take(dir, at.AddDate(0, 0, days))
		list, bad := folder.ListSnapshots(dir)
		var names []string
		for _, s := range list {
			names = append(names, s.Name)
		}
		if err != nil || bad != nil || made != wantMade || fmt.Sprint(names) != fmt.Sprint(want) {
			t.Errorf("%v, %v, %v, %v", made, names, err, bad)
		}
	}
	three := folder.Snapshots{Number: 3, Days: 10}
	take(three, 0, true, "2026-03-01.zip")
	take(three, 0, false, "2026-03-01.zip")
	take(three, 1, true, "2026-03-02.zip", "2026-03-01.zip")
	take(three, 2, true, "2026-03-03.zip", "2026-03-02.zip", "2026-03-01.zip")
	take(three, 3, true, "2026-03-04.zip", "2026-03-03.zip", "2026-03-02.zip")
	for range 2 { // the second takes the place of the first
		if err := folder.TakeByHand(dir, at.AddDate(0, 0, 3)); err != nil {
			t.Fatal(err)
		}
	}
	take(three, 3, false, "2026-03-04 by hand.zip", "2026-03-04.zip", "2026-03-03.zip", "2026-03-02.zip")
	take(three, 13, true, "2026-03-14.zip", "2026-03-04 by hand.zip", "2026-03-04.zip")
	take(folder.Snapshots{}, 90, false, "2026-03-14.zip", "2026-03-04 by hand.zip", "2026-03-04.zip")
	aside, err := folder.Restore(dir, filepath.Join(dir, folder.SnapshotFolder, "2026-03-14.zip"), at)
	if err != nil || aside == "" {
		t.Error(aside, err)
	}
}
