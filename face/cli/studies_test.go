package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"secondpass/store"
)

const (
	studiesPage    = "../../docs/studies.md"
	studiesResults = "../../docs/studies"
)

// TestStudiesPage wants docs/studies.md to be what `study report` makes of the results stored in docs/studies, so that its
// figures are those that `study repeat` gives again. UPDATE_STUDIES=1 writes the page. Page and results come together: one
// without the other is wrong.
func TestStudiesPage(t *testing.T) {
	page, pageErr := os.ReadFile(studiesPage)
	results, err := filepath.Glob(filepath.Join(studiesResults, "*"+store.ResultExt))
	if err != nil {
		t.Fatal(err)
	}
	if len(results) == 0 {
		if pageErr == nil {
			t.Errorf("%s stands there without results in %s", studiesPage, studiesResults)
		}
		return
	}
	var out, complaints bytes.Buffer
	if status := Main([]string{"study", "report", studiesResults}, nil, &out, &complaints); status != exitDone {
		t.Fatalf("study report: exit status %d\n%s", status, complaints.String())
	}
	if bytes.Equal(page, out.Bytes()) {
		return
	}
	if os.Getenv("UPDATE_STUDIES") == "" {
		t.Fatal("docs/studies.md is not what the stored results say; UPDATE_STUDIES=1 go test ./face/cli -run StudiesPage mends it")
	}
	if err := os.WriteFile(studiesPage, out.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}
