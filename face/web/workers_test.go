package web_test

import (
	"context"
	"errors"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"secondpass/face/web"
	"secondpass/store/files"
	"secondpass/store/sql"
	"secondpass/work/workers"
)

// twoMachines is how it may stand at the database of the workers.
func twoMachines(context.Context) (*workers.Standing, error) {
	seen := time.Date(2026, 3, 4, 20, 15, 9, 0, time.Local)
	return &workers.Standing{
		Members: []workers.Member{
			{Host: "desk", Program: "secondpass v1.2.0", Build: "4f1c0d", Proof: "9dbc01", Seen: seen},
			{Host: "cellar", Works: true, Program: "secondpass v1.2.0", Build: "4f1c0d", Proof: "9dbc01", Slots: 4, Parts: 1, Seen: seen},
		},
		Runs: []workers.Run{
			{Kind: "experiment", Pieces: 1000, Done: 250, Rate: 2, Left: 375, Parts: 4, Asked: true, Begun: seen},
			{Kind: "match", Pieces: 10, Begun: seen},
		},
	}, nil
}

// The page of long work says who is there, with what and how far, and what this workbook plays, which can be stopped there.
func TestLongWork(t *testing.T) {
	t.Parallel()
	b := open(t)
	path := b.post("/experiments", quick("deals", "1000000"))
	_, page := b.get("/workers")
	for _, want := range []string{"cellar", "does 4 parts at once", "1 part done", "build 4f1c0d, proof 9dbc01", "20:15:09", "25.0 % done, 2.0 pieces a second, about 6 minutes left", "0.0 % done<", "whoever asks the same goes on with it", `action="` + path + `"`, "Stop Flowers passed"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page has no %q", want)
		}
	}
	b.post(path, url.Values{"act": {"stop"}})
	if _, part := b.get("/workers/now"); !strings.Contains(part, "Nothing is played") || strings.Contains(part, "<html") {
		t.Errorf("after the stop:\n%s", part)
	}
}

// Without a database the page says how machines come together; with one that fails, why.
func TestLongWorkAlone(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	s, err := sql.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	w, err := web.New(s, files.In(dir, nil), dir, slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	page := func() string {
		r := httptest.NewRequest(http.MethodGet, "/workers", nil)
		r.Host = "127.0.0.1"
		answer := httptest.NewRecorder()
		w.Handler().ServeHTTP(answer, r)
		if answer.Code != http.StatusOK {
			t.Errorf("status %d", answer.Code)
		}
		return answer.Body.String()
	}
	if text := page(); !strings.Contains(text, "secondpass work --join URL") {
		t.Errorf("without a database:\n%s", shorten(text))
	}
	w.SendsTo(func(context.Context) (*workers.Standing, error) {
		return nil, errors.New("the workers' database does not answer")
	})
	if text := page(); !strings.Contains(text, "The workers&#39; database does not answer.") {
		t.Errorf("with a database that fails:\n%s", shorten(text))
	}
}
