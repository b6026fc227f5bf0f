//go:build unix

package sql

import (
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"secondpass/club"
	"secondpass/store"
)

// everyRow is all rows of all tables of a database in which a text stands, by table.
func everyRow(t *testing.T, owner, text string) (found []string) {
	t.Helper()
	db, err := sql.Open("pgx", owner)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	rows, err := db.Query(`SELECT quote_ident(table_schema) || '.' || quote_ident(table_name) FROM information_schema.tables
		WHERE table_type = 'BASE TABLE' AND table_schema NOT IN ('pg_catalog', 'information_schema') ORDER BY 1`)
	names, err := scanned(rows, err, func(r row) (name string, err error) { return name, r.Scan(&name) })
	if err != nil || len(names) < 20 {
		t.Fatal(names, err)
	}
	for _, name := range names {
		var n int
		if err := db.QueryRow(`SELECT COUNT(*) FROM `+name+` r WHERE strpos(r::text, $1) > 0`, text).Scan(&n); err != nil {
			t.Fatal(name, err)
		}
		if n > 0 {
			found = append(found, fmt.Sprint(strings.TrimPrefix(name, "public."), " ", n))
		}
	}
	return found
}

// A teacher's account and workbook go for good: her numbers stand in no row of any table, whichever there are; those of others stay as they are.
func TestEraseWorkbook(t *testing.T) {
	owner, serve := newDatabase(t, true)
	now := time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)
	c, d, olga := startClub(t, &place{open: func(t *testing.T) *Store { return connected(t, serve, "").For(0) }}, &now)
	one, two := aTeacher(t, d, "CDFGH"), aTeacher(t, d, "GHJKL")
	ana, _ := join(t, c, &olga, club.Teacher, "Ana")
	bea, _ := join(t, c, &olga, club.Teacher, "Bea")
	hal, _ := join(t, c, &ana, club.Assistant, "Hal")
	for p, s := range map[*club.Person]*Store{&ana: one, &bea: two, &hal: one} { // they work in these
		execute(t, owner, fmt.Sprintf(`UPDATE people SET workbook = %d WHERE id = %d`, s.teacher, p.ID))
		p.Workbook = s.teacher
	}
	if _, err := c.Invite(&ana, club.Assistant, "Ida"); err != nil {
		t.Fatal(err)
	}
	for from, whom := range map[*club.Person]int64{&ana: 0, &bea: ana.Workbook, &olga: bea.Workbook} {
		if err := c.Share(from, club.Shared{Sort: "exercise", Name: "Odds", For: whom, File: []byte("file")}); err != nil {
			t.Fatal(err)
		}
	}
	if err := c.KeepSession(club.Session{Hash: "session of Hal", Person: hal.ID, Expires: now.Add(time.Hour)}); err != nil {
		t.Fatal(err)
	}
	for _, id := range []int64{ana.Workbook, ana.ID, hal.ID} {
		if len(everyRow(t, owner, fmt.Sprint(id))) == 0 {
			t.Fatalf("%d stands nowhere beforehand", id)
		}
	}
	beas := kept(t, owner, bea.Workbook)
	for by, workbook := range map[*club.Person]int64{&bea: ana.Workbook, &hal: ana.Workbook} {
		if err := c.Erase(by, workbook); !errors.Is(err, club.ErrMayNot) {
			t.Errorf("%s deletes that of Ana: %v", by.Name, err)
		}
	}
	if err := c.Erase(&olga, olga.Workbook); !errors.Is(err, club.ErrLastOwner) {
		t.Errorf("the only owner deletes herself: %v", err)
	}
	if err := c.Erase(&ana, ana.Workbook); err != nil {
		t.Fatal(err)
	}
	for _, what := range []string{fmt.Sprint(ana.Workbook), fmt.Sprint(ana.ID), fmt.Sprint(hal.ID), "CDFGH", "Ida"} {
		if what == "Ida" { // the list of what was done alone tells that she was invited
			if got := everyRow(t, owner, what); !slices.Equal(got, []string{"deeds 1"}) {
				t.Errorf("Ida stands in %v", got)
			}
			continue
		}
		if got := everyRow(t, owner, what); got != nil {
			t.Errorf("%s stands in %v afterwards", what, got)
		}
	}
	if got := kept(t, owner, bea.Workbook); !slices.Equal(got, beas) {
		t.Errorf("of another's rows %d are left of %d, or changed", len(got), len(beas))
	}
	if all, err := c.Shelf(&bea); err != nil || len(all) != 1 || all[0].From != olga.Workbook {
		t.Errorf("on the shelf: %+v, %v", all, err)
	}
	if list, err := c.Entries(1); err != nil || list[0].By != "Ana" || list[0].Deed != "deleted for good the workbook of" || list[0].About != "Ana" {
		t.Errorf("%+v, %v", list, err)
	}
	if err := c.Erase(&olga, ana.Workbook); !errors.Is(err, store.ErrNoTeacher) {
		t.Errorf("once more: %v", err)
	}
	if _, err := c.End(&olga, bea.ID); err != nil {
		t.Fatal(err)
	}
	orphans, err := c.Orphans()
	if err != nil || !slices.Contains(orphans, bea.Workbook) {
		t.Fatal(orphans, err)
	}
	if err := c.Erase(&olga, bea.Workbook); err != nil {
		t.Fatal(err)
	}
	if got := everyRow(t, owner, fmt.Sprint(bea.Workbook)); got != nil {
		t.Errorf("of who had left before: %v", got)
	}
}

// What was deleted is thrown away, but what something else tells of.
func TestPurge(t *testing.T) { everywhere(t, testPurge) }

func testPurge(t *testing.T, at *place) {
	s := at.open(t)
	c := s.Files(nil)
	x, err := s.Add(newExercise(t, "Tuesday"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Add(newExercise(t, "Wednesday")); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"Mine", "Hers"} {
		if _, err := c.Cards.Keep(name, "", []byte("card "+name+"\n"), nil); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.Delete(x.Entry.Name); err != nil {
		t.Fatal(err)
	}
	if err := c.Cards.Delete("Mine"); err != nil {
		t.Fatal(err)
	}
	if err := s.Purge(); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Restore("Tuesday"); !errors.Is(err, store.ErrNotFound) {
		t.Errorf("an exercise thrown away: %v", err)
	}
	if err := c.Cards.Restore("Mine"); err == nil {
		t.Error("a card thrown away comes back")
	}
	if _, err := c.Cards.Text("Hers"); err != nil {
		t.Errorf("another card: %v", err)
	}
	if n := count(t, s, `SELECT COUNT(*) FROM exercises`); n != 1 {
		t.Errorf("%d exercises are left", n)
	}
}
