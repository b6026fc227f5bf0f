package web_test

import (
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"testing"

	"secondpass/face/web"
	"secondpass/store/files"
	"secondpass/store/sql"
)

// What a request of the page with two routes side by side costs.
func BenchmarkSheet(b *testing.B) {
	dir := b.TempDir()
	s, err := sql.Open(dir)
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	w, err := web.New(s, files.In(dir, nil), dir, slog.New(slog.NewTextHandler(io.Discard, nil)))
	if err == nil {
		err = w.FirstStart()
	}
	if err != nil {
		b.Fatal(err)
	}
	handler := w.Handler()
	for b.Loop() {
		r := httptest.NewRequest(http.MethodGet, "http://127.0.0.1/exercises/1", nil)
		answer := httptest.NewRecorder()
		if handler.ServeHTTP(answer, r); answer.Code != http.StatusOK {
			b.Fatal(answer.Code, answer.Body)
		}
	}
}
