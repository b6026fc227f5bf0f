package architecture

import (
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"secondpass/face/reader/onefile"
)

// Each area of the workbook could be taken away without another noticing: they share what pages need, and are wired
// together above.
func TestAreasStandAlone(t *testing.T) {
	for _, name := range areas {
		if _, err := os.Stat("../../" + name); err != nil {
			t.Errorf("the area %s is not there: %v", name, err)
			continue
		}
		for _, dep := range list(t, "-deps", "./"+name) {
			if other, ours := strings.CutPrefix(dep, module); ours && other != name && slices.Contains(areas, other) {
				t.Errorf("%s imports %s", name, other)
			}
		}
	}
}

// What pages show is also shown by a reader's browser, which has no server and no store.
func TestViewsRunInABrowser(t *testing.T) {
	t.Setenv("GOOS", "js") // as it is built there
	t.Setenv("GOARCH", "wasm")
	for _, name := range []string{"face/web/view"} {
		for _, dep := range list(t, "-deps", "./"+name) {
			if dep == "net/http" || strings.HasPrefix(dep, module+"store") {
				t.Errorf("%s imports %s", name, dep)
			}
		}
		cmd := exec.Command("go", append(append([]string{"build"}, onefile.Flags...), "./"+name)...) // what is built is shared with the engine
		cmd.Dir, cmd.Env = "../..", append(os.Environ(), "GOFLAGS=")
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%s is not built for a browser: %v\n%s", name, err, out)
		}
	}
}
