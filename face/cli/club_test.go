//go:build unix

package cli

import (
	"database/sql"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"

	_ "github.com/jackc/pgx/v5/stdlib" // registers the driver "pgx"

	"secondpass/internal/postgres"
)

// shown is what the page docs/club.md shows in a block of a language.
func shown(t *testing.T, language string) string {
	t.Helper()
	page, err := os.ReadFile("../../docs/club.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, ok := strings.Cut(string(page), "```"+language+"\n")
	block, _, closed := strings.Cut(rest, "```")
	if !ok || !closed {
		t.Fatalf("docs/club.md shows no %s", language)
	}
	return block
}

// command is the one that the service of docs/club.md starts, for another folder, database and port.
func serviceCommand(t *testing.T, data, sockets string) (line, owner []string) {
	t.Helper()
	_, rest, _ := strings.Cut(shown(t, "ini"), "ExecStart=/usr/bin/secondpass ")
	start, _, _ := strings.Cut(rest, "\n")
	args := strings.Fields(strings.NewReplacer("--data /var/lib/secondpass", "--data "+data, "?host=/var/run/postgresql", "?host="+sockets, "--listen 127.0.0.1:7530", "--listen 127.0.0.1:0").Replace(start))
	at := slices.Index(args, "--database-owner")
	if at < 0 || !slices.Contains(args, "--listen") {
		t.Fatalf("%q", args)
	}
	return append(slices.Delete(slices.Clone(args), at, at+2), "--json"), args[at : at+2]
}

// A club on PostgreSQL, by the statements and the command of docs/club.md: made by the owner of the tables, served by a role that owns none; the owner comes in by a link that is printed; what
// watches it is answered, strangers by another name are not; two processes serve it; they end in order, and one begins again without the owner of the tables. A backup brings all of it back into an empty database.
func TestClub(t *testing.T) {
	t.Parallel()
	pg := postgres.Start(t)
	db, err := sql.Open("pgx", pg.URL)
	if err != nil {
		t.Fatal(err)
	}
	for statement := range strings.Lines(shown(t, "sql")) {
		if _, err := db.Exec(statement); err != nil {
			t.Fatal(statement, err)
		}
	}
	db.Close()
	schema, err := schemaOf(docs, answering()["club"])
	if err != nil {
		t.Fatal(err)
	}
	_, sockets, _ := strings.Cut(pg.URL, "?host=")
	line, owner := serviceCommand(t, filepath.Join(t.TempDir(), "data"), sockets)
	var first, later struct {
		Address, Listening string
		OwnerLink          string `json:"owner_link"`
	}
	begin := func(into any, more ...string) *exec.Cmd {
		t.Helper()
		cmd, said := startSaying(t, append(line, more...)...)
		if n, err := validate(schema, []byte(said)); n != 1 || err != nil {
			t.Fatalf("%s: %v", said, err)
		}
		if err := json.Unmarshal([]byte(said), into); err != nil {
			t.Fatal(err)
		}
		return cmd
	}
	if out, err := exec.Command("secondpass", line...).CombinedOutput(); err == nil || !strings.Contains(string(out), "give the address of their owner too") {
		t.Errorf("without tables: %v\n%s", err, out)
	}
	cmd := begin(&first, owner...)
	if first.Address != "https://club.example" || !strings.HasPrefix(first.OwnerLink, "https://club.example/invitation/") {
		t.Errorf("%+v", first)
	}
	get := func(path, host string) (int, string) {
		t.Helper()
		r, err := http.NewRequest("GET", first.Listening+path, nil)
		if err != nil {
			t.Fatal(err)
		}
		r.Host = host
		answer, err := http.DefaultTransport.RoundTrip(r)
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
	if status, text := get(strings.TrimPrefix(first.OwnerLink, first.Address), "club.example"); status != 200 || !strings.Contains(text, "Welcome to the club") {
		t.Errorf("the link: %d", status)
	}
	if status, _ := get("/sign-in", "elsewhere.example"); status != 421 {
		t.Errorf("by another name: %d", status)
	}
	if status, text := get("/healthz", "whatever"); status != 200 || text != "well\n" {
		t.Errorf("/healthz: %d %s", status, text)
	}
	if status, text := get("/metrics", "whatever"); status != 200 || !strings.Contains(text, `secondpass_requests_total{route="GET /invitation/{token}",status="200"} 1`) {
		t.Errorf("/metrics: %d %.2000s", status, text)
	}
	again, said := startSaying(t, append(line, "--owner-link")...)
	if err := again.Wait(); err != nil || !strings.Contains(said, "/invitation/") {
		t.Error(said, err)
	}
	if status, _ := get(strings.TrimPrefix(first.OwnerLink, first.Address), "club.example"); status != 404 {
		t.Errorf("the link of before: %d", status)
	}
	if out, err := exec.Command("secondpass", line...).CombinedOutput(); err == nil || !strings.Contains(string(out), "served already") {
		t.Errorf("a second process: %v\n%s", err, out)
	}
	if out, err := exec.Command("secondpass", append(line, "--inner", "10.0.0.7")...).CombinedOutput(); err == nil || !strings.Contains(string(out), "HOST:PORT is right") {
		t.Errorf("--inner without a port: %v\n%s", err, out)
	}
	line[slices.Index(line, "--data")+1] = filepath.Join(t.TempDir(), "data")
	other := begin(&later)
	first.Listening = later.Listening
	if status, _ := get(strings.TrimPrefix(later.OwnerLink, later.Address), "club.example"); status != 200 {
		t.Errorf("the link through another process: %d", status)
	}
	for _, ending := range []*exec.Cmd{cmd, other} {
		if err := errors.Join(ending.Process.Signal(syscall.SIGTERM), ending.Wait()); err != nil {
			t.Error(err)
		}
	}
	backup := filepath.Join(t.TempDir(), "club.backup")
	keep := func(args ...string) {
		t.Helper()
		out, err := exec.Command("secondpass", append([]string{"club", "--json"}, append(args, owner...)...)...).CombinedOutput()
		if n, bad := validate(schema, out); err != nil || bad != nil || n != 1 {
			t.Fatalf("%v: %v %v\n%s", args, err, bad, out)
		}
	}
	keep("--backup", backup)
	if db, err = sql.Open("pgx", pg.URL); err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, statement := range []string{`DROP DATABASE club`, `CREATE DATABASE club OWNER club_keeper`} {
		if _, err := db.Exec(statement); err != nil {
			t.Fatal(statement, err)
		}
	}
	keep("--restore", backup, "--database", line[slices.Index(line, "--database")+1])
	cmd = begin(&later)
	first.Listening = later.Listening
	if status, text := get(strings.TrimPrefix(later.OwnerLink, later.Address), "club.example"); status != 200 || !strings.Contains(text, "Welcome to the club") {
		t.Errorf("the owner's link in the restored club: %d", status)
	}
	if err := errors.Join(cmd.Process.Signal(syscall.SIGTERM), cmd.Wait()); err != nil {
		t.Error(err)
	}
}
