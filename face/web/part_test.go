package web

import (
	"fmt"
	"log/slog"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"
	"time"

	"secondpass/store"
	"secondpass/store/files"
	"secondpass/store/sql"
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

// A list of 20,000 exercises comes in pages of a bounded size, which show each of them once.
func TestALongList(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	s, err := sql.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	const n = 20_000
	w, err := New(crowded{s, n}, files.In(dir, nil), dir, slog.New(slog.DiscardHandler))
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
	entry := regexp.MustCompile(`<a href="/exercises/(\d+)">Exercise`)
	after := regexp.MustCompile(`href="([^"]*)">Changed earlier`)
	path, pages, seen := "/exercises?q=99", 0, map[string]bool{}
	for ; path != "" && pages < 50; pages++ {
		body := get(path)
		for _, m := range entry.FindAllStringSubmatch(body, -1) {
			if seen[m[1]] || !strings.Contains(m[1], "99") {
				t.Errorf("exercise %s is shown again, or was not asked for", m[1])
			}
			seen[m[1]] = true
		}
		path = ""
		if m := after.FindStringSubmatch(body); m != nil {
			path = strings.ReplaceAll(m[1], "&amp;", "&")
		}
	}
	want := 0
	for i := range n {
		if strings.Contains(fmt.Sprint(i+1), "99") {
			want++
		}
	}
	if len(seen) != want || pages != (want+99)/100 {
		t.Errorf("%d exercises on %d pages, wanted %d", len(seen), pages, want)
	}
	for _, odd := range []string{"/exercises?part=201", "/exercises?part=-3", "/exercises?part=x"} {
		if body := get(odd); !strings.Contains(body, "of 20000") {
			t.Errorf("%s shows no part", odd)
		}
	}
}
