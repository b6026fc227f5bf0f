//go:build unix

package cli

import (
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"

	_ "github.com/jackc/pgx/v5/stdlib" // registers the driver "pgx"

	"secondpass/internal/postgres"
)

func pageText(t *testing.T) string {
	t.Helper()
	page, err := os.ReadFile("../../docs/club.md")
	if err != nil {
		t.Fatal(err)
	}
	return string(page)
}

// shown is what the page docs/club.md shows in a block of a language.
func shown(t *testing.T, language string) string {
	t.Helper()
	_, rest, ok := strings.Cut(pageText(t), "```"+language+"\n")
	block, _, closed := strings.Cut(rest, "```")
	if !ok || !closed {
		t.Fatalf("docs/club.md shows no %s", language)
	}
	return block
}

// walked are the lines of the page that somebody types, or puts into a file, as they are for another folder and database.
func walked(t *testing.T, data, sockets, backup string) (lines []string) {
	t.Helper()
	here := strings.NewReplacer("/var/lib/secondpass/club.backup", backup, "--data /var/lib/secondpass", "--data "+data, "?host=/var/run/postgresql", "?host="+sockets)
	for line := range strings.Lines(pageText(t)) {
		if typed, ok := strings.CutPrefix(line, "    "); ok {
			lines = append(lines, here.Replace(strings.TrimSpace(typed)))
		}
	}
	return lines
}

// asTyped is what the page lets the user secondpass do by a command that has a flag, done by whoever runs the tests.
func asTyped(t *testing.T, lines []string, flag string) (out []byte, err error) {
	t.Helper()
	for _, line := range lines {
		if _, inner, ok := strings.Cut(line, "su -s /bin/sh secondpass -c '"); ok && strings.Contains(inner, flag) {
			return exec.Command("sh", "-c", strings.TrimSuffix(inner, "'")+" --json").CombinedOutput()
		}
	}
	t.Fatalf("docs/club.md shows no command with %s", flag)
	return nil, nil
}

// mapped lets the user who runs the tests sign in to the database of the club by the two lines of the page, and by them alone.
func mapped(t *testing.T, db *sql.DB, lines []string) {
	t.Helper()
	me, err := user.Current()
	if err != nil {
		t.Fatal(err)
	}
	files := map[string]string{}
	for _, line := range lines {
		switch {
		case strings.HasPrefix(line, "club secondpass "):
			files["ident_file"] += strings.Replace(line, "secondpass", me.Username, 1) + "\n"
		case strings.HasPrefix(line, "local club "):
			files["hba_file"] += line + "\n"
		}
	}
	for setting, more := range files {
		var path string
		if err := db.QueryRow(`SHOW ` + setting).Scan(&path); err != nil {
			t.Fatal(err)
		}
		was, err := os.ReadFile(path)
		if err == nil {
			err = os.WriteFile(path, append([]byte(more), was...), 0o644)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if _, err := db.Exec(`SELECT pg_reload_conf()`); err != nil || len(files) != 2 {
		t.Fatal(files, err)
	}
}

// verified lets the programs that read the files of the page say what is wrong with them, where they are on this machine.
func verified(t *testing.T) {
	t.Helper()
	dir := t.TempDir()
	own, err := exec.LookPath("secondpass")
	if err != nil {
		t.Fatal(err)
	}
	unit := filepath.Join(dir, "secondpass-club.service")
	site := filepath.Join(dir, "nginx.conf")
	around := fmt.Sprintf("pid %[1]s/pid;\nerror_log %[1]s/log;\nevents {}\nhttp {\naccess_log off;\nclient_body_temp_path %[1]s/a;\nproxy_temp_path %[1]s/b;\nfastcgi_temp_path %[1]s/c;\nuwsgi_temp_path %[1]s/d;\nscgi_temp_path %[1]s/e;\n%%s\n%%s}\n", dir)
	several, one := shown(t, "nginx"), ""
	if all := strings.Split(pageText(t), "```nginx\n"); len(all) == 3 {
		one, _, _ = strings.Cut(all[1], "```")
		several, _, _ = strings.Cut(all[2], "```")
	}
	both := strings.NewReplacer("http://127.0.0.1:7530", "http://club", "listen 80", "listen 127.0.0.1:7580", "listen [::]:80", "listen 127.0.0.1:7581").Replace(one)
	for path, text := range map[string]string{unit: strings.Replace(shown(t, "ini"), "/usr/bin/secondpass", own, 1), site: fmt.Sprintf(around, several, both)} {
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, by := range [][]string{{"systemd-analyze", "verify", unit}, {"nginx", "-t", "-q", "-p", dir, "-c", site}} {
		if _, err := exec.LookPath(by[0]); err != nil {
			t.Logf("%s is not here: its file was not verified", by[0])
			continue
		}
		if out, err := exec.Command(by[0], by[1:]...).CombinedOutput(); err != nil || strings.Contains(string(out), filepath.Base(unit)) {
			t.Errorf("%s: %v\n%s", by[0], err, out)
		}
	}
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
	_, sockets, _ := strings.Cut(pg.URL, "?host=")
	data, backup := filepath.Join(t.TempDir(), "data"), filepath.Join(t.TempDir(), "club.backup")
	page := walked(t, data, sockets, backup)
	mapped(t, db, page)
	verified(t)
	db.Close()
	schema, err := schemaOf(docs, answering()["club"])
	if err != nil {
		t.Fatal(err)
	}
	line, owner := serviceCommand(t, data, sockets)
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
	if out, err := asTyped(t, page, "--owner-link"); err != nil || !strings.Contains(string(out), "/invitation/") {
		t.Errorf("%v\n%s", err, out)
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
	keep := func(flag string) {
		t.Helper()
		out, err := asTyped(t, page, flag)
		if n, bad := validate(schema, out); err != nil || bad != nil || n != 1 {
			t.Fatalf("%s: %v %v\n%s", flag, err, bad, out)
		}
	}
	keep("--backup")
	if db, err = sql.Open("pgx", pg.URL); err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, statement := range []string{`DROP DATABASE club`, `CREATE DATABASE club OWNER club_keeper`} {
		if _, err := db.Exec(statement); err != nil {
			t.Fatal(statement, err)
		}
	}
	keep("--restore")
	cmd = begin(&later)
	first.Listening = later.Listening
	if status, text := get(strings.TrimPrefix(later.OwnerLink, later.Address), "club.example"); status != 200 || !strings.Contains(text, "Welcome to the club") {
		t.Errorf("the owner's link in the restored club: %d", status)
	}
	if err := errors.Join(cmd.Process.Signal(syscall.SIGTERM), cmd.Wait()); err != nil {
		t.Error(err)
	}
}
