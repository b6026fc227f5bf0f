//go:build unix

package sql

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"secondpass/store"
	"secondpass/teach/class"
)

// What a teacher keeps is counted over all tables; what takes more is refused, what frees room, and what students do, is not. How long
// cores have worked is known by day, and is each teacher's.
func TestFairUse(t *testing.T) {
	owner, serve := newDatabase(t, true)
	d := connected(t, serve, "")
	one, two := aTeacher(t, d, "CDFGH"), aTeacher(t, d, "GHJKL")
	before, err := one.Held()
	if err != nil {
		t.Fatal(err)
	}
	text := 0 // the least that the rows take, as far as they cannot be packed
	for _, row := range kept(t, owner, one.teacher) {
		if !strings.HasPrefix(row, "files ") {
			text++
		}
	}
	if least := int64(text * rowBytes); before < least || before > 1<<20 {
		t.Errorf("%d bytes for %d rows", before, text)
	}
	room := one.Room()
	noise := make([]byte, 100_000) // that cannot be packed
	for i := range noise {
		noise[i] = byte(uint64(i*i) * 2654435761 >> 13)
	}
	if err := room.Write("cards/big.txt", noise); err != nil {
		t.Fatal(err)
	}
	with, err := one.Held()
	if err != nil || with < before+50_000 || with > before+110_000 {
		t.Errorf("with 100,000 bytes more: %d after %d, %v", with, before, err)
	}
	if other, err := two.Held(); err != nil || other > before+1000 {
		t.Errorf("the other keeps %d, %v", other, err)
	}
	d.Most = with + 2000
	if err := room.Write("cards/small.txt", []byte("small")); err != nil {
		t.Errorf("while there is room: %v", err)
	}
	if err := room.Write("cards/more.txt", noise); !errors.Is(err, store.ErrNoRoom) {
		t.Errorf("too much: %v", err)
	}
	if _, err := room.Read("cards/more.txt"); err == nil {
		t.Error("it is kept all the same")
	}
	d.Most = 1
	if _, err := one.AddStudent("Bo"); !errors.Is(err, store.ErrNoRoom) {
		t.Errorf("a student: %v", err)
	}
	if err := one.AddClassStudent(1, class.Student{ID: 7, Name: "Cy"}, "token of Cy", "phone of Cy"); err != nil {
		t.Errorf("a phone that comes into a class: %v", err)
	}
	if err := room.Remove("cards/big.txt"); err != nil {
		t.Errorf("what frees room: %v", err)
	}
	day := time.Date(2026, 3, 1, 23, 59, 0, 0, time.UTC)
	for range 2 {
		if _, err := one.AddWork(day, 90*time.Second); err != nil {
			t.Fatal(err)
		}
	}
	all, err := one.AddWork(day.Add(2*time.Minute), time.Second) // the day after
	if err != nil {
		t.Fatal(err)
	}
	first, err := one.Worked(day)
	if err != nil {
		t.Fatal(err)
	}
	others, err := two.Worked(day)
	if got, want := fmt.Sprint(first, all, others, err), "3m0s 1s 0s <nil>"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if _, err := one.AddWork(day.Add((workKept+2)*24*time.Hour), 0); err != nil {
		t.Fatal(err)
	}
	if first, err = one.Worked(day); err != nil || first != 0 {
		t.Errorf("long afterwards: %v, %v", first, err)
	}
}
