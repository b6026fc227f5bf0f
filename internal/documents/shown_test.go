package documents

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/alecthomas/kong"

	"secondpass/face/cli"
)

// words splits a command line as a shell would, as far as the pages need it: blanks and quotes.
func words(line string) []string {
	var list []string
	for _, m := range regexp.MustCompile(`'([^']*)'|"([^"]*)"|(\S+)`).FindAllStringSubmatch(line, -1) {
		list = append(list, m[1]+m[2]+m[3])
	}
	return list
}

// shown is a command line taken apart: its arguments, the file that is read into it, and how many lines of its output
// are kept (all, if 0).
func shown(line string) (args []string, input string, head int) {
	line, _, _ = strings.Cut(line, " #")
	if before, after, cut := strings.Cut(line, " | head -"); cut {
		line = before
		head, _ = strconv.Atoi(after)
	}
	if before, after, cut := strings.Cut(line, " > "); cut {
		line, _ = before, after
	}
	line, input, _ = strings.Cut(line, " < ")
	return words(line)[1:], input, head
}

// elided stands for lines of output that a page leaves out.
const elided = "..."

// matches says whether output is what a page shows, elided lines apart.
func matches(want, output []string) bool {
	if len(want) == 0 {
		return len(output) == 0
	}
	if want[0] != elided {
		return len(output) > 0 && output[0] == want[0] && matches(want[1:], output[1:])
	}
	for skip := range len(output) + 1 {
		if matches(want[1:], output[skip:]) {
			return true
		}
	}
	return false
}

// renewed is output with the same lines left out as a page leaves out: each part that is shown begins with the first
// line that it began with before and is as long, and the last one runs to the end. ok is false where a first line is gone.
func renewed(want, output []string) (lines []string, ok bool) {
	if !slices.Contains(want, elided) {
		return output, true
	}
	for len(want) > 0 {
		if want[0] == elided {
			lines, want = append(lines, elided), want[1:]
			continue
		}
		n := slices.Index(want, elided)
		at := slices.Index(output, want[0])
		if at < 0 {
			return nil, false
		}
		if n < 0 {
			return append(lines, output[at:]...), true
		}
		lines, output, want = append(lines, output[at:at+n]...), output[at+n:], want[n:]
	}
	return lines, true
}

// TestPagesShowRealOutput runs every command that a page shows with its output, in a folder that holds the files that the
// pages show. UPDATE_DOCS=1 writes what they print.
func TestPagesShowRealOutput(t *testing.T) {
	files := map[string]string{}
	for _, page := range pages(t) {
		for _, b := range blocks(read(t, page)) {
			if b.file != "" && b.command() == "" {
				files[b.file] = strings.Join(b.lines, "\n") + "\n"
			}
		}
	}
	top, err := filepath.Abs(root)
	if err != nil {
		t.Fatal(err)
	}
	runs := 0
	for _, page := range pages(t) {
		t.Run(page, func(t *testing.T) {
			t.Chdir(t.TempDir())
			data := t.TempDir()
			for name, text := range files {
				if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			text, err := os.ReadFile(filepath.Join(top, page))
			if err != nil {
				t.Fatal(err)
			}
			lines, changed := strings.Split(string(text), "\n"), false
			var fresh [][]string
			all := blocks(string(text))
			for i := range all {
				if all[i].command() != "" {
					runs++
				}
				fresh = append(fresh, all[i].run(t, data))
			}
			for i := range slices.Backward(all) {
				if fresh[i] != nil {
					lines, changed = slices.Replace(lines, all[i].first+1, all[i].end, fresh[i]...), true
				}
			}
			if !changed {
				return
			}
			if os.Getenv("UPDATE_DOCS") == "" {
				t.Fatalf("%s shows other output than the program prints; UPDATE_DOCS=1 go test ./internal/documents mends it", page)
			}
			if err := os.WriteFile(filepath.Join(top, page), []byte(strings.Join(lines, "\n")), 0o644); err != nil {
				t.Fatal(err)
			}
		})
	}
	if runs < 15 {
		t.Fatalf("%d commands found on the pages", runs)
	}
}

// run runs the command of a block and returns the lines that should stand below it where others stand; nil if it is right
// or shows no command.
func (b *block) run(t *testing.T, data string) []string {
	line := b.command()
	if line == "" {
		return nil
	}
	args, input, head := shown(line)
	typed := []byte(b.typed)
	if input != "" {
		var err error
		if typed, err = os.ReadFile(input); err != nil {
			t.Fatalf("%s: %v", line, err)
		}
	}
	var out bytes.Buffer
	status := cli.Main(append([]string{"--data", data}, args...), bytes.NewReader(typed), &out, &out)
	if status == 1 {
		t.Fatalf("%s: exit status 1\n%s", line, out.String())
	}
	output := strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n")
	if head > 0 {
		output = output[:min(head, len(output))]
	}
	if matches(b.lines[1:], output) {
		return nil
	}
	t.Logf("%s prints\n%s", line, strings.Join(output, "\n"))
	lines, ok := renewed(b.lines[1:], output)
	if !ok {
		t.Fatalf("%s: the first line of a part that the page shows is gone; write it anew", line)
	}
	for i := range lines {
		if lines[i] != "" {
			lines[i] = b.indent + lines[i]
		}
	}
	return lines
}

// commandLine is a command that a page or a help text prints for its reader to type.
var commandLine = regexp.MustCompile(`(?m)^ *(?:\$ )?(secondpass [^\n]*)$`)

// TestPrintedCommandsAreRight reads every command line that stands in a page, or in a help text, by the grammar.
func TestPrintedCommandsAreRight(t *testing.T) {
	texts := map[string]string{}
	for _, page := range pages(t) {
		texts[page] = read(t, page)
	}
	for name, text := range helpTexts(t) {
		texts["help of "+name] = text
	}
	found := 0
	for name, text := range texts {
		for _, m := range commandLine.FindAllStringSubmatch(text, -1) {
			line := m[1]
			if strings.Contains(line, "[") || strings.Contains(line, "|all") { // the form of a command, not one to type
				continue
			}
			if strings.HasPrefix(line, "secondpass: ") {
				continue // an answer
			}
			found++
			args, _, _ := shown(line)
			if len(args) == 0 { // the workbook
				continue
			}
			if err := cli.Check(args); err != nil {
				t.Errorf("%s: %s: %v", name, line, err)
			}
		}
	}
	if found < 60 {
		t.Errorf("%d commands found", found)
	}
}

// helpTexts is what --help prints, by command.
func helpTexts(t *testing.T) map[string]string {
	t.Helper()
	texts := map[string]string{}
	var visit func(n *kong.Node, path []string)
	visit = func(n *kong.Node, path []string) {
		if n.Hidden {
			return
		}
		var out bytes.Buffer
		if status := cli.Main(append(slices.Clone(path), "--help"), nil, &out, &out); status != 0 {
			t.Errorf("%s --help: exit status %d", strings.Join(path, " "), status)
		}
		texts[strings.Join(path, " ")] = out.String()
		for _, child := range n.Children {
			visit(child, append(slices.Clone(path), child.Name))
		}
	}
	visit(cli.Grammar(), nil)
	return texts
}
