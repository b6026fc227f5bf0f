package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"secondpass/exercise"
	"secondpass/face/cli/command"
	"secondpass/face/web"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
	"secondpass/store/files"
	"secondpass/store/sql"
)

// commandLine runs a command line on a data folder and returns what it printed.
func commandLine(t *testing.T, dir string, args ...string) string {
	t.Helper()
	return typed(t, dir, "", args...)
}

// typed is that with something typed in.
func typed(t *testing.T, dir, input string, args ...string) string {
	t.Helper()
	var out, trouble bytes.Buffer
	if status := Main(append([]string{"--data", dir, "--quiet"}, args...), strings.NewReader(input), &out, &trouble); status != command.ExitDone {
		t.Fatalf("%q: status %d, %s", args, status, &trouble)
	}
	return out.String()
}

// A student's record is the same from both faces: by the exercise's own seed and the same number of games.
func TestBothFacesKeepTheSameRecord(t *testing.T) {
	dir := t.TempDir()
	commandLine(t, dir, "compare", "--seed", "11", "--aim", "Runs", "--no-second-charleston", "--no-courtesy", "--save", "Same")
	commandLine(t, dir, "student", "add", "Ann")
	commandLine(t, dir, "student", "add", "Bob")
	commandLine(t, dir, "student", "record", "Ann", "Same", "--route", "A")

	s, err := sql.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	w, err := web.New(s, files.In(dir, func(string) {}), slog.New(slog.NewTextHandler(io.Discard, nil)))
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(w.Handler())
	defer server.Close()
	record := server.URL + "/exercises/1/routes/A/record"
	answer, err := http.PostForm(record, url.Values{"student": {"Bob"}})
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		t.Fatal(answer.Status)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Minute)
	defer cancel()
	watch, err := http.NewRequestWithContext(ctx, http.MethodGet, record+"/live?student=Bob", nil)
	if err != nil {
		t.Fatal(err)
	}
	if answer, err = http.DefaultClient.Do(watch); err != nil {
		t.Fatal(err)
	}
	last, err := io.ReadAll(answer.Body) // ends with the work
	answer.Body.Close()
	if err != nil || !bytes.Contains(last, []byte("event: over")) {
		t.Fatalf("%v\n%s", err, last)
	}

	kept := map[string]string{}
	for _, name := range []string{"Ann", "Bob"} {
		data, err := s.StudentData(name)
		if err != nil {
			t.Fatal(err)
		}
		if len(data.Tries) != 3 || len(data.Charlestons) != 1 {
			t.Fatalf("%s has %d tries, %d Charlestons", name, len(data.Tries), len(data.Charlestons))
		}
		for i := range data.Tries {
			data.Tries[i].At, data.Tries[i].ID = time.Time{}, 0
		}
		data.Charlestons[0].At = time.Time{}
		text, err := json.Marshal([]any{data.Tries, data.Charlestons})
		if err != nil {
			t.Fatal(err)
		}
		kept[name] = string(text)
	}
	if kept["Ann"] != kept["Bob"] {
		t.Errorf("from the command line\n%s\nfrom the browser\n%s", kept["Ann"], kept["Bob"])
	}
}

// What is judged of a saved exercise goes by its own seed, as in the browser; --seed wins, and is said either way.
func TestSavedExerciseIsJudgedByItsSeed(t *testing.T) {
	dir := t.TempDir()
	s, err := sql.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	e, err := exercise.New("Mine", card.Practice(), house.Usual, charleston.South, tile.MustParse("1122b 3456c 78d N FF"), exercise.MockPasses, 11)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Add(e); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args []string
		seed uint64
	}{{nil, 11}, {[]string{"--seed", "1"}, 1}, {[]string{"--seed=5"}, 5}} {
		var said struct{ Seed uint64 }
		text := commandLine(t, dir, append([]string{"advise", "Mine", "--games", "8", "--json"}, c.args...)...)
		if err := json.Unmarshal([]byte(text), &said); err != nil || said.Seed != c.seed {
			t.Errorf("%q: seed %d, %d is right; %v", c.args, said.Seed, c.seed, err)
		}
	}
}
