//go:build unix

package cli

import (
	"bytes"
	"errors"
	"os/exec"
	"strings"
	"testing"

	"secondpass/club"
	"secondpass/internal/postgres"
	"secondpass/store/sql"
)

// A data folder goes into a teacher's account and back out by one command each, and is the same. What does not fit together is refused in a
// sentence.
func TestKeepClub(t *testing.T) {
	t.Parallel()
	pg := postgres.Start(t)
	owner, serving := pg.NewDatabase(t, "club", "")
	d, err := sql.Connect(serving, owner)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	people := club.New(sql.People{Database: d})
	come := func(token string, err error, name string) club.Person {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		p, _, err := people.Accept(token, name, club.Passkey{ID: name, Name: "a browser", Credential: []byte("{}")})
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	token, err := people.OwnerToken()
	olga := come(token, err, "Olga")
	token, err = people.Invite(&olga, club.Teacher, "Ana")
	come(token, err, "Ana")

	dir := t.TempDir()
	run := func(status int, wants string, line ...string) string {
		t.Helper()
		cmd := exec.Command("secondpass", line...)
		cmd.Dir = dir
		var out, bad bytes.Buffer
		cmd.Stdout, cmd.Stderr = &out, &bad
		err := cmd.Run()
		got := 0
		if exit := new(exec.ExitError); errors.As(err, &exit) {
			got = exit.ExitCode()
		}
		if got != status || !strings.Contains(out.String()+bad.String(), wants) || strings.Count(bad.String(), "\n") > 1 {
			t.Errorf("%q: status %d, wanted %d and %q:\n%s%s", line, got, status, wants, out.String(), bad.String())
		}
		return out.String()
	}
	run(0, "", "--data", "own", "compare", "--seed", "3", "--aim", "Runs", "--save", "Monday")
	run(0, "", "--data", "own", "student", "add", "Ben")
	monday := run(0, "Monday", "--data", "own", "exercise", "export", "Monday")
	run(0, "own.zip", "--data", "own", "backup", "-o", "own.zip")
	ana := []string{"--database", serving, "--teacher", "ana"}
	run(0, "Restored from own.zip", append([]string{"restore", "own.zip"}, ana...)...)
	run(1, "something is kept there already", append([]string{"restore", "own.zip"}, ana...)...)
	run(0, "All of ana is in ana.zip", append([]string{"backup", "-o", "ana.zip"}, ana...)...)
	run(0, "Restored from ana.zip", "--data", "back", "restore", "ana.zip")
	if again := run(0, "Monday", "--data", "back", "exercise", "export", "Monday"); again != monday {
		t.Errorf("it holds another exercise:\n%s", again)
	}
	run(0, "Ben", "--data", "back", "student", "list")
	run(2, "go together", "backup", "-o", "x", "--teacher", "Ana")
	run(2, "go together", "backup", "-o", "x", "--database", serving)
	run(1, "is no backup of secondpass", "restore", "own/secondpass.db", "--database", serving, "--teacher", "Olga")
	run(2, "no such teacher; there are Ana, Olga", "backup", "-o", "x", "--database", serving, "--teacher", "Ben")
	for _, name := range []string{"Eva", "eva"} {
		token, err = people.Invite(&olga, club.Teacher, name)
		come(token, err, name)
	}
	run(2, "2 teachers are called so", "backup", "-o", "x", "--database", serving, "--teacher", "Eva")
	run(2, "name it instead of -", append([]string{"backup", "-o", "-"}, ana...)...)
	run(2, "the address of a PostgreSQL database is right", "backup", "-o", "x", "--database", "club", "--teacher", "Ana")
	run(2, "no backup none.zip", append([]string{"restore", "none.zip"}, ana...)...)
}
