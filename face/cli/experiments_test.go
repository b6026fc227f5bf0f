package cli

import (
	"bytes"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"secondpass/face/cli/command"
)

// TestExperimentsPage wants docs/experiments.md, and the pages it leads to, to be what `experiment report --pages` makes of the results
// stored in docs/experiments, so that their figures are those that `experiment repeat` gives again. UPDATE_EXPERIMENTS=1 writes them.
func TestExperimentsPage(t *testing.T) {
	const folder, index = "experiments", "experiments.md"
	there, dir := map[string][]byte{}, t.TempDir()
	read := func(name string) {
		data, err := os.ReadFile(filepath.Join(docs, name))
		if err != nil {
			t.Fatal(err)
		}
		there[name] = data
	}
	entries, err := os.ReadDir(filepath.Join(docs, folder))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		read(filepath.Join(folder, e.Name()))
	}
	read(index)
	if err := os.Mkdir(filepath.Join(dir, folder), 0o755); err != nil {
		t.Fatal(err)
	}
	for name, data := range there {
		if filepath.Ext(name) != ".md" {
			if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	root, err := filepath.Abs(docs)
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(dir)
	var out, complaints bytes.Buffer
	if status := Main([]string{"experiment", "report", folder, "--pages"}, nil, &out, &complaints); status != command.ExitDone {
		t.Fatalf("experiment report: exit status %d\n%s", status, complaints.String())
	}
	made := map[string][]byte{index: out.Bytes()}
	pages, err := filepath.Glob(filepath.Join(folder, "*.md"))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range pages {
		if made[name], err = os.ReadFile(name); err != nil {
			t.Fatal(err)
		}
	}
	for name, data := range made {
		if bytes.Equal(there[name], data) {
			continue
		}
		if os.Getenv("UPDATE_EXPERIMENTS") == "" {
			t.Errorf("docs/%s is not what the stored results say; UPDATE_EXPERIMENTS=1 go test ./face/cli -run ExperimentsPage mends it", name)
		} else if err := os.WriteFile(filepath.Join(root, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for name := range there {
		if made[name] == nil && filepath.Ext(name) == ".md" {
			t.Errorf("docs/%s is a page without a result", name)
		}
	}
}

// Every link of a page of results leads to a heading of the page or to a file from where the page stands, whatever the
// results and their files are called; so does the command that repeats a result.
func TestExperimentsPageLinks(t *testing.T) {
	t.Chdir(t.TempDir())
	data := t.TempDir()
	text := "experiment %q\nothers nearest\nmeasure win\nclaim more by 1 %%\ndeals 4\nway \"base\" nearest\nway \"other\" nearest+give=F\n"
	for i, name := range []string{"Flowers kept?", "Flowers kept", "A + B (again), Übung_2"} {
		file := string(rune('a'+i)) + ".experiment"
		if err := os.WriteFile(file, fmt.Appendf(nil, text, name), 0o600); err != nil {
			t.Fatal(err)
		}
		commandLine(t, data, "experiment", "run", file, "-o", filepath.Join("my results", string(rune('a'+i))+".json"))
	}
	for _, folder := range []string{".", "pages", "my results"} {
		if err := os.MkdirAll(folder, 0o700); err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(folder, "page.text")
		commandLine(t, data, "experiment", "report", "my results", "--plots", "-o", file)
		page, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if folder == "." {
			if printed := commandLine(t, data, "experiment", "report", "my results"); printed != string(page) {
				t.Errorf("printed, the page is\n%s", printed)
			}
		}
		headings, links := map[string]bool{}, regexp.MustCompile(`\]\(([^)]+)\)`).FindAllStringSubmatch(string(page), -1)
		for heading, address := range map[string]string{"Flowers kept?": "flowers-kept", "Flowers kept": "flowers-kept-1", "A + B (again), Übung_2": "a--b-again-übung_2"} {
			headings["#"+address] = strings.Contains(string(page), "\n## "+heading+"\n")
		}
		if len(links) != 6 {
			t.Errorf("%d links", len(links))
		}
		for _, link := range links {
			if strings.HasPrefix(link[1], "#") {
				if !headings[link[1]] {
					t.Errorf("%s: no heading for %s", file, link[1])
				}
				continue
			}
			to, err := url.PathUnescape(link[1])
			if _, there := os.Stat(filepath.Join(folder, filepath.FromSlash(to))); err != nil || there != nil || strings.Contains(link[1], " ") {
				t.Errorf("%s links to %s: %v %v", file, link[1], err, there)
			}
		}
		for _, repeat := range regexp.MustCompile("`secondpass experiment repeat \"?(.*?)\"?`").FindAllStringSubmatch(string(page), -1) {
			if _, err := os.Stat(filepath.Join(folder, filepath.FromSlash(repeat[1]))); err != nil {
				t.Errorf("%s: %v", file, err)
			}
		}
	}
}
