package cli

import (
	"bytes"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"secondpass/face/cli/command"
	"secondpass/store"
)

// resultPages are the pages of docs that are made of stored results: what `experiment report --plots --pages` prints, in which folder of
// docs, of which folders of results.
var resultPages = []struct {
	in, index string
	of        []string
}{
	{".", "experiments.md", []string{"experiments/lantern", "experiments/clumsy-1", "experiments/orderly-1", "--by-card"}},
	{"questions", "answers.md", []string{"answers"}},
}

// TestExperimentsPage wants the pages of experiments and of answers to questions, and the pages and plots they lead to, to be what the
// program makes of the results stored beside them, so that their figures are those that `experiment repeat` gives again.
// UPDATE_EXPERIMENTS=1 writes them.
func TestExperimentsPage(t *testing.T) {
	for _, p := range resultPages {
		t.Run(p.index, func(t *testing.T) {
			root, err := filepath.Abs(filepath.Join(docs, p.in))
			if err != nil {
				t.Fatal(err)
			}
			t.Chdir(t.TempDir())
			there := map[string][]byte{}
			read := func(name string) {
				if there[name], err = os.ReadFile(filepath.Join(root, name)); err != nil && name != p.index {
					t.Fatal(err)
				}
			}
			read(p.index)
			for _, folder := range p.of {
				entries, err := os.ReadDir(filepath.Join(root, folder))
				if err != nil && !strings.HasPrefix(folder, "--") {
					t.Fatal(err)
				}
				for _, e := range entries {
					name := filepath.Join(folder, e.Name())
					if read(name); filepath.Ext(name) != store.ResultExt {
						continue
					}
					if err := errors.Join(os.MkdirAll(folder, 0o755), os.WriteFile(name, there[name], 0o644)); err != nil {
						t.Fatal(err)
					}
				}
			}
			var out, complaints bytes.Buffer
			if status := Main(append([]string{"experiment", "report", "--plots", "--pages"}, p.of...), nil, &out, &complaints); status != command.ExitDone {
				t.Fatalf("experiment report: exit status %d\n%s", status, complaints.String())
			}
			made := map[string][]byte{p.index: out.Bytes()}
			files, err := filepath.Glob("*/*.*")
			deeper, err2 := filepath.Glob("*/*/*.*")
			if err := errors.Join(err, err2); err != nil {
				t.Fatal(err)
			}
			for _, name := range append(files, deeper...) {
				if made[name], err = os.ReadFile(name); err != nil {
					t.Fatal(err)
				}
			}
			const update = "UPDATE_EXPERIMENTS"
			for name, data := range made {
				if bytes.Equal(there[name], data) {
					continue
				}
				if os.Getenv(update) == "" {
					t.Errorf("%s is not what the stored results say; "+update+"=1 go test ./face/cli -run ExperimentsPage mends it", filepath.Join(root, name))
				} else if err := os.WriteFile(filepath.Join(root, name), data, 0o644); err != nil {
					t.Fatal(err)
				}
			}
			for name := range there {
				if made[name] != nil {
					continue
				}
				if os.Getenv(update) == "" {
					t.Errorf("%s belongs to no result", filepath.Join(root, name))
				} else if err := os.Remove(filepath.Join(root, name)); err != nil {
					t.Fatal(err)
				}
			}
		})
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
