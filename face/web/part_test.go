package web

import (
	"fmt"
	"html"
	"log/slog"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"secondpass/engine/player"
	"secondpass/rules/card"
	"secondpass/store"
	"secondpass/store/files"
	"secondpass/store/sql"
	"secondpass/teach/drill"
)

// crowded is a store with many exercises in its list.
type crowded struct {
	store.Store
	n int
}

func (c crowded) List(deleted bool) ([]store.Entry, error) {
	var list []store.Entry
	for i := range c.n {
		list = append(list, store.Entry{ID: int64(i + 1), Name: fmt.Sprintf("Exercise %d", i+1), Changed: time.Unix(1, 0)})
	}
	return list, nil
}

func (c crowded) Search(w store.Wish) ([]store.Entry, error) {
	list, err := c.List(false)
	return slices.DeleteFunc(list, func(e store.Entry) bool { return !strings.Contains(e.Name, w.Name) }), err
}

func (c crowded) Lessons() (list []store.LessonEntry, err error) {
	for i := range c.n {
		list = append(list, store.LessonEntry{ID: int64(i + 1), Title: fmt.Sprintf("Lesson %d", i+1)})
	}
	return list, nil
}

func (c crowded) Students() (list []drill.Student, err error) {
	for i := range c.n {
		list = append(list, drill.Student{ID: int64(i + 1), Name: fmt.Sprintf("s%d", i+1), Rating: drill.NewRating})
	}
	return list, nil
}

func (c crowded) Classes() (list []store.ClassEntry, err error) {
	for i := range c.n {
		list = append(list, store.ClassEntry{ID: int64(i + 1), About: "Monday"})
	}
	return list, nil
}

func (c crowded) Drills(store.DrillFilter) (list []*drill.Drill, err error) {
	of := player.Fingerprint(card.Practice())
	for i := range c.n {
		list = append(list, &drill.Drill{ID: int64(i + 1), Kind: drill.Kinds[i%len(drill.Kinds)], Key: drill.Key{Fingerprint: of, Answers: []drill.Answer{{Right: true}, {}}}, Choices: make([]drill.Choice, 2)})
	}
	return list, nil
}

// manyCards and manyResults are the lists of what stands in files.
type manyCards struct {
	store.Cards
	n int
}

func (c manyCards) List() (names []string, err error) {
	for i := range c.n {
		names = append(names, fmt.Sprintf("c%d", i+1))
	}
	return names, nil
}

type manyResults struct {
	store.Results
	n int
}

func (c manyResults) List() (list []store.ResultEntry, err error) {
	for i := range c.n {
		list = append(list, store.ResultEntry{Name: fmt.Sprintf("r%d", i+1)})
	}
	return list, nil
}

// Lists come in pages of a bounded size, which show each entry once; what was asked for goes along from page to page.
func TestLongLists(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	s, err := sql.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	const n = 450
	kept := files.In(dir, nil)
	kept.Cards, kept.Results = manyCards{kept.Cards, n}, manyResults{kept.Results, n}
	w, err := New(crowded{s, n}, kept, dir, slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	handler := w.Handler()
	get := func(path string) string {
		r := httptest.NewRequest("GET", path, nil)
		r.Host = "127.0.0.1:7520"
		out := httptest.NewRecorder()
		handler.ServeHTTP(out, r)
		if out.Code != 200 || out.Body.Len() > 300_000 {
			t.Fatalf("%s: status %d, %d bytes", path, out.Code, out.Body.Len())
		}
		return out.Body.String()
	}
	all := func(int) bool { return true }
	of := player.Fingerprint(card.Practice())
	for _, c := range []struct {
		path, entry, after string
		wanted             func(n int) bool
	}{
		{"/exercises?q=99", `<a href="/exercises/(\d+)">Exercise`, "Changed earlier", func(n int) bool { return strings.Contains(fmt.Sprint(n), "99") }},
		{"/exercises", `<a href="/exercises/(\d+)">Exercise`, "Changed earlier", all},
		{"/lessons", `<a href="/lessons/(\d+)">`, "Changed earlier", all},
		{"/students", `<a href="/students/s(\d+)">`, "On in the list", all},
		{"/classes", `<a href="/classes/(\d+)">`, "On in the list", all},
		{"/cards", `<a href="/cards/c(\d+)">`, "On in the list", all},
		{"/experiments", `<a href="/experiments/r(\d+)">`, "Changed earlier", all},
		{"/drills?card=" + of, `<a href="/drills/(\d+)">`, "On in the list", all},
		{"/drills?sort=rating&kind=" + string(drill.Kinds[1]) + "&card=" + of, `<a href="/drills/(\d+)">`, "On in the list", func(n int) bool { return n%len(drill.Kinds) == 2 }},
	} {
		entry, after := regexp.MustCompile(c.entry), regexp.MustCompile(`href="([^"]*)">`+c.after)
		path, pages, seen := c.path, 0, map[string]int{}
		for ; path != "" && pages < 50; pages++ {
			body := get(path)
			for _, m := range entry.FindAllStringSubmatch(body, -1) {
				seen[m[1]]++
			}
			path = ""
			if m := after.FindStringSubmatch(body); m != nil {
				path = html.UnescapeString(m[1])
			}
		}
		want := 0
		for i := range n {
			times := 0
			if c.wanted(i + 1) {
				times, want = 1, want+1
			}
			if seen[fmt.Sprint(i+1)] != times {
				t.Errorf("%s: entry %d is shown %d times", c.path, i+1, seen[fmt.Sprint(i+1)])
				break
			}
		}
		if pages != (want+99)/100 {
			t.Errorf("%s: %d entries on %d pages", c.path, want, pages)
		}
	}
	for _, odd := range []string{"/exercises?part=201", "/exercises?part=-3", "/exercises?part=x", "/cards?part=99999999999999999999"} {
		if body := get(odd); !strings.Contains(body, "of 450") {
			t.Errorf("%s shows no part", odd)
		}
	}
}
