package web_test

import (
	"io"
	"log/slog"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"strings"
	"testing"

	"secondpass/face/web"
	"secondpass/store/files"
	"secondpass/store/sql"
)

// begun is a new workbook and its data folder, open to the network where there is a key for that, which nobody serves yet.
func begun(t *testing.T, key string) (w *web.Server, dir string) {
	t.Helper()
	dir = t.TempDir()
	s, err := sql.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	w, err = web.New(s, files.In(dir, nil), dir, slog.New(slog.DiscardHandler))
	if err == nil {
		err = w.FirstStart()
	}
	if err != nil {
		t.Fatal(err)
	}
	w.OpenToNetwork(key)
	return w, dir
}

// A workbook that is open to the network gives nothing without its key but the way into a class, and that to phones by whatever
// address of it they come.
func TestOpenToTheNetwork(t *testing.T) {
	t.Parallel()
	const key = "THEKEYOFTHISTEST"
	w, _ := begun(t, key)
	server := httptest.NewServer(w.Handler())
	defer server.Close()
	defer w.Classes.Close()
	ask := func(client *http.Client, method, path, host string) (int, string) {
		t.Helper()
		r, err := http.NewRequest(method, server.URL+path, strings.NewReader(""))
		if err != nil {
			t.Fatal(err)
		}
		if host != "" {
			r.Host = host
		}
		answer, err := client.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		defer answer.Body.Close()
		text, err := io.ReadAll(answer.Body)
		if err != nil {
			t.Fatal(err)
		}
		return answer.StatusCode, string(text)
	}
	stranger := &http.Client{}
	for _, c := range []struct {
		method, path, host string
		want               int
	}{
		{"GET", "/", "", 403}, {"GET", "/exercises", "", 403}, {"GET", "/exercises/1", "", 403}, {"GET", "/backups/now/file", "", 403}, {"GET", "/standing", "", 403},
		{"GET", "/classes", "", 403}, {"POST", "/exercises", "", 403}, {"POST", "/exercises/1/delete", "", 403}, {"POST", "/backups", "", 403},
		{"GET", "/exercises?key=" + key[1:], "", 403}, {"GET", "/exercises?key=", "", 403}, {"POST", "/exercises/1/delete?key=" + key, "", 403},
		{"GET", "/join", "", 200}, {"GET", "/join/ABCDE", "", 422}, {"GET", "/assets/tokens.css", "", 200}, {"GET", "/assets/room.js", "", 200},
		{"GET", "/join", "elsewhere.example", 403},
	} {
		if code, text := ask(stranger, c.method, c.path, c.host); code != c.want || strings.Contains(text, key) {
			t.Errorf("%s %s %s: %d, wanted %d: %.200s", c.method, c.path, c.host, code, c.want, text)
		}
	}
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	owner := &http.Client{Jar: jar}
	if code, text := ask(owner, "GET", "/?key="+key, ""); code != 200 || !strings.Contains(text, "Deal a rack") {
		t.Errorf("with the key: %d %.300s", code, text)
	}
	for path, want := range map[string]int{"/exercises/1": 200, "/backups": 200, "/join": 200, "/nowhere": 404, "/standing": 200} {
		if code, _ := ask(owner, "GET", path, ""); code != want {
			t.Errorf("%s, after the key: %d", path, code)
		}
	}
	if code, _ := ask(owner, "GET", "/exercises", "elsewhere.example"); code != 403 {
		t.Errorf("by a foreign name: %d", code)
	}
}
