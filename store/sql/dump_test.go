//go:build unix

package sql

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// A whole database comes back in an empty one as it was, and its walls stand there; over another, and from what is no backup or a torn one,
// nothing is restored.
func TestDumpAndRestore(t *testing.T) {
	owner, serve := newDatabase(t, true)
	d := connected(t, serve, "")
	stores := []*Store{aTeacher(t, d, "CDFGH"), aTeacher(t, d, "GHJKL")}
	file := filepath.Join(t.TempDir(), "club.backup")
	if err := Dump(owner, file); err != nil {
		t.Fatal(err)
	}
	if left, _ := os.ReadDir(filepath.Dir(file)); len(left) != 1 {
		t.Errorf("left behind: %v", left)
	}
	if info, err := os.Stat(file); err != nil || info.Mode().Perm()&0o077 != 0 {
		t.Errorf("others may read it: %v, %v", info, err)
	}
	if err := Restore(file, serve, owner); err == nil || !strings.Contains(err.Error(), "has tables already") {
		t.Errorf("restored over another: %v", err)
	}
	newOwner, newServe := newDatabase(t, false)
	whole, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string][]byte{"text": []byte("no backup"), "torn": whole[:len(whole)*3/4]} {
		bad := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(bad, data, 0o600); err != nil {
			t.Fatal(err)
		}
		if err := Restore(bad, newServe, newOwner); err == nil || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if err := Restore(filepath.Join(t.TempDir(), "none"), newServe, newOwner); err == nil {
		t.Error("a backup that is not there")
	}
	if err := Restore(file, newServe, newOwner); err != nil {
		t.Fatal(err)
	}
	back := connected(t, newServe, "")
	for _, s := range stores {
		if was, is := kept(t, owner, s.teacher), kept(t, newOwner, s.teacher); !slices.Equal(was, is) || len(was) < len(tables) {
			t.Errorf("restored are %d rows of %d", len(is), len(was))
		}
		if got := hers(t, back.For(s.teacher)); got != [7]int{1, 1, 1, 1, 1, 2, 1} {
			t.Errorf("she sees %v", got)
		}
	}
	if n := count(t, back.For(stores[0].teacher), `SELECT COUNT(*) FROM exercises`); n != 1 {
		t.Errorf("without the wall she sees %d exercises", n)
	}
	if teacher, err := back.TeacherOf("GHJKL"); err != nil || teacher != stores[1].teacher {
		t.Errorf("a code leads to %d, %v", teacher, err)
	}
}
