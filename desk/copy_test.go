package desk

import (
	"errors"
	"testing"

	"secondpass/rules/card"
	"secondpass/store"
	"secondpass/store/files"
	"secondpass/store/sql"
	"secondpass/teach/lesson"
)

// Drills go together, all of a card, and those that are there already stay; what is not there cannot be copied.
func TestCopyDrills(t *testing.T) {
	open := func() *Desk {
		dir := t.TempDir()
		s, err := sql.Open(dir)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { s.Close() })
		return &Desk{Store: s, Files: files.In(dir, nil)}
	}
	from, to := open(), open()
	n := 0
	for _, ready := range lesson.Ready() {
		l, err := lesson.ReadReady(ready.Name)
		if err != nil {
			t.Fatal(err)
		}
		for _, item := range l.Items {
			if item.Drill == nil {
				continue
			}
			if err := from.Store.AddDrill(item.Drill, card.Practice()); err != nil {
				t.Fatal(err)
			}
			n++
		}
	}
	all, err := from.Originals()
	if err != nil || len(all) != 1 || all[0].Sort != CopiedDrills || all[0].Name != card.Practice().Name {
		t.Fatal(all, err)
	}
	for range 2 {
		name, file, err := from.Copy(CopiedDrills, all[0].Ref)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := to.TakeCopy(CopiedDrills, name, file); err != nil {
			t.Fatal(err)
		}
		kept, err := to.Store.Drills(store.DrillFilter{Fingerprint: all[0].Ref})
		was, bad := from.Store.Drills(store.DrillFilter{})
		if err != nil || bad != nil || len(kept) != len(was) || n == 0 {
			t.Errorf("%d of %d drills came; %v %v", len(kept), len(was), err, bad)
		}
	}
	if _, _, err := from.Copy(CopiedDrills, "none"); !errors.Is(err, store.ErrNoDrill) {
		t.Error(err)
	}
	if _, _, err := from.Copy("student", "1"); err == nil {
		t.Error("a student is copied")
	}
	if _, err := to.TakeCopy(CopiedExercise, "x", []byte("no exercise")); err == nil {
		t.Error("what is no exercise is taken")
	}
}
