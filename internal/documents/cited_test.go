package documents

import (
	"fmt"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"secondpass/rules/house"
)

// prose is the kinds of files whose words are ours: code, pages, templates, games and cards.
var prose = []string{".go", ".md", ".html", ".css", ".js", ".game", ".txt", ".txtar", ".card", ".study", ".experiment", ".sql"}

// ours says whether the words of a file are ours.
func ours(file string) bool {
	for _, ending := range prose {
		if strings.HasSuffix(file, ending) {
			return !strings.HasSuffix(file, ".min.js") && !strings.HasPrefix(path.Base(file), "LICENSE")
		}
	}
	return false
}

var (
	cited  = regexp.MustCompile(`(?:[\w.-]+/)*[\w.-]*\w\.md\b`)
	link   = regexp.MustCompile(`\]\(([^)\s]+)\)`)
	header = regexp.MustCompile(`(?m)^#+ +(.*)$`)
)

// there says whether a path leads to something, from the folder of the file that names it, from docs, or from the top.
func there(from, to string) bool {
	for _, folder := range []string{path.Dir(from), "docs", "."} {
		if _, err := os.Stat(filepath.Join(root, folder, to)); err == nil {
			return true
		}
	}
	return false
}

// written says whether a name may be that of a file which a test or script writes itself, or a placeholder of a help text.
func written(file, name string) bool {
	scratch := strings.HasSuffix(file, ".txtar") || strings.HasSuffix(file, "_test.go")
	return scratch && !strings.Contains(name, "docs/") || name == "NAME.md"
}

// TestCitedDocumentsExist fails where code, a page, a template or a test cites a document that is not in the repository.
func TestCitedDocumentsExist(t *testing.T) {
	found := 0
	for _, file := range tracked(t) {
		if !ours(file) || strings.HasPrefix(file, "internal/documents/") {
			continue
		}
		for i, line := range strings.Split(read(t, file), "\n") {
			for _, name := range cited.FindAllString(line, -1) {
				if found++; !there(file, name) && !written(file, name) {
					t.Errorf("%s:%d cites %s, which is not in the repository", file, i+1, name)
				}
			}
		}
	}
	if found < 30 {
		t.Errorf("%d citations found", found)
	}
}

// unnamed is what stands for a source that a reader cannot look up.
var unnamed = regexp.MustCompile(`(?i)\b(a|the|our) (early )?prototypes?\b|\bthe spec\b|source: spec\b`)

// TestSourcesCanBeLookedUp fails where a source is cited that is not in the repository and has no title.
func TestSourcesCanBeLookedUp(t *testing.T) {
	for _, file := range tracked(t) {
		if !ours(file) || strings.HasPrefix(file, "internal/documents/") {
			continue
		}
		for i, line := range strings.Split(read(t, file), "\n") {
			if said := unnamed.FindString(line); said != "" {
				t.Errorf("%s:%d cites %q, which nobody can look up", file, i+1, said)
			}
		}
	}
}

// anchor is the address of a heading within its page.
func anchor(heading string) string {
	heading = strings.ToLower(regexp.MustCompile("[^\\p{L}\\p{N} _-]").ReplaceAllString(heading, ""))
	return strings.ReplaceAll(heading, " ", "-")
}

// TestLinksLead follows every link from page to page, and to a heading within one.
func TestLinksLead(t *testing.T) {
	found := 0
	for _, page := range pages(t) {
		for _, m := range link.FindAllStringSubmatch(read(t, page), -1) {
			to, heading, _ := strings.Cut(m[1], "#")
			if strings.Contains(to, "://") {
				continue
			}
			found++
			target := page
			if to != "" {
				target = path.Join(path.Dir(page), to)
			}
			if _, err := os.Stat(filepath.Join(root, target)); err != nil {
				t.Errorf("%s links to %s, which is not there", page, m[1])
				continue
			}
			if heading == "" {
				continue
			}
			led := false
			for _, h := range header.FindAllStringSubmatch(read(t, target), -1) {
				led = led || anchor(h[1]) == heading
			}
			if !led {
				t.Errorf("%s links to %s, which has no such heading", page, m[1])
			}
		}
	}
	if found < 30 {
		t.Errorf("%d links found", found)
	}
}

var (
	numbered = regexp.MustCompile(`(?m)^\*\*(\d\.\d)\*\*`)
	byNumber = regexp.MustCompile(`docs/rules\.md (\d\.\d(?:(?:,|,? and| to) \d\.\d)*|\d\b(?: and \d\b)*)`)
	number   = regexp.MustCompile(`\d(?:\.\d)?`)
)

// TestRulesAreCitedByNumber fails where a rule of play is cited that docs/rules.md does not have.
func TestRulesAreCitedByNumber(t *testing.T) {
	rules := map[string]bool{}
	for _, m := range numbered.FindAllStringSubmatch(read(t, "docs/rules.md"), -1) {
		rules[m[1]], rules[m[1][:1]] = true, true
	}
	cited := map[string]bool{}
	for _, file := range tracked(t) {
		if !ours(file) || strings.HasPrefix(file, "internal/documents/") {
			continue
		}
		for _, m := range byNumber.FindAllStringSubmatch(read(t, file), -1) {
			for _, n := range number.FindAllString(m[1], -1) {
				cited[n] = true
				if !rules[n] {
					t.Errorf("%s cites rule %s, which docs/rules.md does not have", file, n)
				}
			}
		}
	}
	for _, played := range []string{"2.3", "4.1", "4.2", "4.4", "4.6", "4.7", "4.8", "5.1", "5.2", "5.3"} {
		if !cited[played] {
			t.Errorf("no game or test cites rule %s", played)
		}
	}
}

// Every house rule is written down by its name, where the rules are and where the exercise file is.
func TestHouseRulesAreWritten(t *testing.T) {
	rules, file := read(t, "docs/rules.md"), read(t, "docs/exercise-files.md")
	for _, rule := range house.Rules {
		if !strings.Contains(rules, "`"+rule.Key+"`") {
			t.Errorf("docs/rules.md has no `%s`", rule.Key)
		}
		if !strings.Contains(file, "| `"+rule.Key+"` |") || !strings.Contains(file, fmt.Sprintf("  %q: ", rule.Key)) {
			t.Errorf("docs/exercise-files.md does not show the field %s", rule.Key)
		}
	}
}

// emphasised is what a page sets off, as a button that is to be found on the screen; a title ends with a full stop.
var emphasised = regexp.MustCompile(`\*\*([^*]+)\*\*`)

// TestReadmeNamesButtons fails where the way to a first exercise names a button that no page of the workbook has.
func TestReadmeNamesButtons(t *testing.T) {
	_, begin, _ := strings.Cut(read(t, "README.md"), "\n## Begin\n")
	begin, _, _ = strings.Cut(begin, "\n## ")
	screens := ""
	for _, path := range tracked(t) {
		if strings.HasPrefix(path, "face/web/") && (strings.HasSuffix(path, ".html") || path == "face/web/server.go") {
			screens += read(t, path)
		}
	}
	buttons := 0
	for _, m := range emphasised.FindAllStringSubmatch(begin, -1) {
		if strings.HasSuffix(m[1], ".") {
			continue
		}
		buttons++
		if !regexp.MustCompile(`(>|Name: ")` + regexp.QuoteMeta(m[1]) + `( <kbd>|</(a|button)>|")`).MatchString(screens) {
			t.Errorf("README.md names %q, which is nowhere to be pressed", m[1])
		}
	}
	if buttons < 3 {
		t.Errorf("%d buttons found", buttons)
	}
}
