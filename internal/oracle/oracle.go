// Package oracle runs the general-purpose programs that tests compare with: R for statistics
// and GLPK for integer programs, both from Debian. A missing program fails the test; it never skips.
package oracle

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// run gives the standard output of a program of a Debian package.
func run(t testing.TB, pkg, program string, args ...string) string {
	t.Helper()
	path, err := exec.LookPath(program)
	if err != nil {
		t.Fatalf("%s not found: install the Debian package %s, as ./check does", program, pkg)
	}
	var complaints bytes.Buffer
	cmd := exec.Command(path, args...)
	cmd.Stderr = &complaints
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s %v: %v\n%s%s", program, args, err, out, complaints.String())
	}
	return string(out)
}

// Row is one line that an R script printed as name|inputs|outputs, numbers separated by blanks.
type Row struct {
	Text    string
	Name    string
	In, Out []float64
}

// R runs an R script and reads the rows that it prints.
func R(t testing.TB, script string) []Row {
	t.Helper()
	var rows []Row
	for line := range strings.Lines(run(t, "r-base-core", "Rscript", "--vanilla", script)) {
		parts := strings.Split(strings.TrimSpace(line), "|")
		if len(parts) != 3 {
			t.Fatalf("%s printed %q, wanted name|inputs|outputs", script, line)
		}
		rows = append(rows, Row{line, parts[0], numbers(t, parts[1]), numbers(t, parts[2])})
	}
	return rows
}

func numbers(t testing.TB, text string) []float64 {
	t.Helper()
	var all []float64
	for field := range strings.FieldsSeq(text) {
		x, err := strconv.ParseFloat(field, 64)
		if err != nil {
			t.Fatalf("a script printed %q: %v", field, err)
		}
		all = append(all, x)
	}
	return all
}

// Solve solves an integer program in the CPLEX LP format with GLPK and returns the value of every
// variable by name.
func Solve(t testing.TB, model string) map[string]float64 {
	t.Helper()
	dir := t.TempDir()
	in, out := filepath.Join(dir, "model.lp"), filepath.Join(dir, "solution.txt")
	if err := os.WriteFile(in, []byte(model), 0o600); err != nil {
		t.Fatal(err)
	}
	run(t, "glpk-utils", "glpsol", "--lp", in, "--output", out)
	report, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(report), "INTEGER OPTIMAL") {
		t.Fatalf("glpsol found no optimum:\n%.2000s", report)
	}
	return columns(t, string(report))
}

// columns reads the table of variables in glpsol's report: number, name, a star for integers, value.
func columns(t testing.TB, report string) map[string]float64 {
	t.Helper()
	values := map[string]float64{}
	_, table, found := strings.Cut(report, "Column name")
	if !found {
		t.Fatal("glpsol's report has no columns")
	}
	for line := range strings.Lines(table) {
		f := strings.Fields(line)
		if len(f) < 4 || f[2] != "*" {
			continue
		}
		x, err := strconv.ParseFloat(f[3], 64)
		if err != nil {
			t.Fatalf("glpsol's report has %q", line)
		}
		values[f[1]] = x
	}
	return values
}
