//go:build unix

package cli

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"secondpass/internal/postgres"
	"secondpass/work/workers"
)

// An experiment sent to workers from the command line is the file that it is without them, whoever is named by a flag; those who are
// there are listed.
func TestWorkFromTheCommandLine(t *testing.T) {
	t.Parallel()
	pg := postgres.Start(t)
	dir := t.TempDir()
	run := func(want int, args ...string) string {
		t.Helper()
		var out, complaints bytes.Buffer
		if status := Main(append([]string{"--data", filepath.Join(dir, "data")}, args...), strings.NewReader(""), &out, &complaints); status != want {
			t.Fatalf("%v: status %d\n%s", args, status, complaints.String())
		}
		return out.String()
	}
	file := filepath.Join(dir, "few.experiment")
	text := "experiment Few\nothers nearest\nmeasure win\nclaim more by 1 %\ndeals 200\nway \"a\" nearest\nway \"b\" random\n"
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	run(0, "work", "--prepare", pg.URL, "--quiet")
	ctx, stop := context.WithCancel(t.Context())
	over, in := make(chan error, 1), make(chan struct{}, 10)
	go func() {
		over <- workers.Joining{URL: pg.URL, Slots: 2, Told: func(string) { in <- struct{}{} }}.Join(ctx)
	}()
	<-in
	sent, alone := filepath.Join(dir, "sent.json"), filepath.Join(dir, "alone.json")
	run(0, "experiment", "run", file, "--quiet", "-o", sent, "--workers", pg.URL)
	run(0, "experiment", "run", file, "--quiet", "-o", alone)
	a, err := os.ReadFile(sent)
	b, err2 := os.ReadFile(alone)
	if err != nil || err2 != nil || !bytes.Equal(a, b) {
		t.Errorf("sent to workers it is another file: %v, %v", err, err2)
	}
	if list := run(0, "work", "--list", pg.URL); strings.Count(list, "works, 2 parts at once, ") != 1 {
		t.Errorf("listed:\n%s", list)
	}
	s, err := schemaOf(docs, answering()["work"])
	if err != nil {
		t.Fatal(err)
	}
	if n, err := validate(s, []byte(run(0, "work", "--list", pg.URL, "--json"))); n != 1 || err != nil {
		t.Errorf("%d values: %v", n, err)
	}
	stop()
	if err := <-over; err != nil {
		t.Error(err)
	}
}
