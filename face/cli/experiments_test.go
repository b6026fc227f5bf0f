package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"secondpass/face/cli/command"
	"secondpass/store"
)

const (
	experimentsPage    = "../../docs/experiments.md"
	experimentsResults = "../../docs/experiments"
)

// TestExperimentsPage wants docs/experiments.md to be what `experiment report` makes of the results stored in docs/experiments, so that its
// figures are those that `experiment repeat` gives again. UPDATE_EXPERIMENTS=1 writes the page. Page and results come together: one
// without the other is wrong.
func TestExperimentsPage(t *testing.T) {
	page, pageErr := os.ReadFile(experimentsPage)
	results, err := filepath.Glob(filepath.Join(experimentsResults, "*"+store.ResultExt))
	if err != nil {
		t.Fatal(err)
	}
	if len(results) == 0 {
		if pageErr == nil {
			t.Errorf("%s stands there without results in %s", experimentsPage, experimentsResults)
		}
		return
	}
	var out, complaints bytes.Buffer
	if status := Main([]string{"experiment", "report", experimentsResults}, nil, &out, &complaints); status != command.ExitDone {
		t.Fatalf("experiment report: exit status %d\n%s", status, complaints.String())
	}
	if bytes.Equal(page, out.Bytes()) {
		return
	}
	if os.Getenv("UPDATE_EXPERIMENTS") == "" {
		t.Fatal("docs/experiments.md is not what the stored results say; UPDATE_EXPERIMENTS=1 go test ./face/cli -run ExperimentsPage mends it")
	}
	if err := os.WriteFile(experimentsPage, out.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}
