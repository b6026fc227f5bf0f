package documents

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// root is the top of the repository as seen from here.
const root = "../.."

// tracked is the files of the repository that git knows, by their paths from the top.
func tracked(t *testing.T) []string {
	t.Helper()
	list := exec.Command("git", "ls-files", "--cached", "--others", "--exclude-standard")
	list.Dir = root
	out, err := list.Output()
	if err != nil {
		t.Fatal("git ls-files:", err)
	}
	var files []string
	for path := range strings.Lines(string(out)) {
		path = strings.TrimSpace(path)
		if _, err := os.Stat(filepath.Join(root, path)); err == nil { // deleted, but not yet committed
			files = append(files, path)
		}
	}
	return files
}

// pages is the README and all pages in docs, by their paths from the top.
func pages(t *testing.T) []string {
	t.Helper()
	var found []string
	for _, path := range tracked(t) {
		if strings.HasSuffix(path, ".md") {
			found = append(found, path)
		}
	}
	if len(found) < 10 {
		t.Fatalf("%d pages found", len(found))
	}
	return found
}

// read is a file of the repository.
func read(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(root, path))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// block is a fenced block of a page.
type block struct {
	// first and end are its lines in the page, counted from 0, without the fences; indent stands before each of them.
	first, end int
	indent     string
	lines      []string
	// file is the name under which the text before it says that the block is a file.
	file string
	// typed is what the remark before it says is typed into the command.
	typed string
}

var (
	fence    = regexp.MustCompile("^( *)```")
	fileName = regexp.MustCompile("(?i)\\bfile,? `([\\w.-]+\\.\\w+)`")
	typed    = regexp.MustCompile(`^ *<!-- typed: (.*) -->$`)
)

// blocks finds the fenced blocks of a page.
func blocks(text string) []block {
	lines := strings.Split(text, "\n")
	var found []block
	for i := 0; i < len(lines); i++ {
		open := fence.FindStringSubmatch(lines[i])
		if open == nil {
			continue
		}
		b := block{first: i + 1, indent: open[1]}
		for i++; i < len(lines) && !fence.MatchString(lines[i]); i++ {
			b.lines = append(b.lines, strings.TrimPrefix(lines[i], open[1]))
		}
		b.end = i
		b.readRemarks(lines[:b.first-1])
		found = append(found, b)
	}
	return found
}

// readRemarks looks at the paragraph that stands before a block.
func (b *block) readRemarks(before []string) {
	at := len(before)
	for at > 0 && before[at-1] == "" {
		at--
	}
	for ; at > 0 && before[at-1] != "" && !fence.MatchString(before[at-1]); at-- {
		if m := typed.FindStringSubmatch(before[at-1]); m != nil {
			b.typed = strings.ReplaceAll(m[1], "|", "\n")
		}
		if m := fileName.FindStringSubmatch(before[at-1]); m != nil && b.file == "" {
			b.file = m[1]
		}
	}
}

// command is the command line that a block shows, without the prompt; "" if it shows none.
func (b *block) command() string {
	if len(b.lines) == 0 || !strings.HasPrefix(b.lines[0], "$ secondpass") {
		return ""
	}
	return strings.TrimPrefix(b.lines[0], "$ ")
}
