// Package architecture tests which package may know which, and what the rules may know of the world.
package architecture

import (
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// floors are the storeys of the house from the ground up, each with its packages from the bottom up. A package may
// import those of the storeys below, and those that stand before it on its own.
var floors = [][]string{
	{"rules/tile", "rules/house", "rules/card", "rules/charleston", "rules/table"},
	{"engine/unit", "engine/stat", "engine/fit", "engine/player", "engine/prepared", "engine/sim"},
	{"deal", "exercise", "exercise/comparison", "advice"},
	{"cardmaking/plain", "cardmaking/compose", "cardmaking/balance"},
	{"research/cardreport", "research/experiment", "research/rowfile"},
	{"teach/drill", "teach/lesson", "teach/class", "teach/reply"},
	{"paper/wording", "paper/draw", "paper/sheet", "paper/findings", "paper/handout"},
	{"club"},
	{"store", "store/files", "store/sql", "store/folder"},
	{"work/queue", "work", "work/workers"},
	{"hall"},
	{"desk"},
	{"face/web/view", "face/web/page", "face/web/address"},
	{"face/reader", "face/reader/onefile"},
	areas,
	{"face/web"},
	{"face/club"},
	{"face/cli/command", "face/cli/manual", "face/cli/exercises", "face/cli/judging", "face/cli/walking", "face/cli/cards", "face/cli/practice", "face/cli/experiments", "face/cli/rules"},
	{"face/cli"},
	{"face/reader/engine"},
	{"cmd/secondpass"},
}

// areas are the parts of the workbook in the browser; see TestAreasStandAlone.
var areas = []string{"face/web/workbook", "face/web/play", "face/web/cards", "face/web/practice", "face/web/experiments", "face/web/liveclass", "face/web/keeping"}

// support is what only tests import, and what writes code.
var support = []string{"internal/kernels", "internal/yardstick", "internal/oracle", "internal/postgres", "internal/browser", "internal/picture", "internal/documents", "internal/goodness", "internal/longrun", "internal/beginner", "internal/schema", "internal/carry", "internal/architecture"}

// rules are the packages that must depend on nothing but their arguments.
var rules = []string{"rules/tile", "rules/house", "rules/card", "rules/charleston", "rules/table", "engine/fit"}

// forbidden is what makes a result depend on the world: the net, the machine, the clock, and the
// random numbers of the whole program (math/rand; math/rand/v2 is let through for its types, see below).
var forbidden = []string{"net", "os", "time", "log", "math/rand"}

const module = "secondpass/"

func list(t *testing.T, args ...string) []string {
	t.Helper()
	cmd := exec.Command("go", append([]string{"list"}, args...)...)
	cmd.Dir = "../.."
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list %v: %v", args, err)
	}
	return strings.Fields(string(out))
}

func TestImportsRunOneWay(t *testing.T) {
	order := slices.Concat(floors...)
	// What a package imports itself is enough: where each arrow runs down, all that hang together do.
	for _, line := range list(t, "-f", `{{.ImportPath}},{{join .Imports ","}}`, "./...") {
		imports := strings.Split(line, ",")
		name := strings.TrimPrefix(imports[0], module)
		if slices.Contains(support, name) {
			continue
		}
		at := slices.Index(order, name)
		if at < 0 {
			t.Errorf("package %s has no place in the order", name)
			continue
		}
		for _, dep := range imports[1:] {
			if other, ours := strings.CutPrefix(dep, module); ours && !slices.Contains(order[:at], other) {
				t.Errorf("%s imports %s, which does not stand below it", name, other)
			}
		}
	}
}

func TestRulesDependOnNothingOutside(t *testing.T) {
	for _, name := range rules {
		imports := list(t, "-f", `{{join .Imports "\n"}}`, "./"+name)
		for _, dep := range imports {
			for _, bad := range forbidden {
				if dep == bad || strings.HasPrefix(dep, bad+"/") && dep != "math/rand/v2" {
					t.Errorf("%s imports %s", name, dep)
				}
			}
		}
	}
}
