package cli

import (
	"bytes"
	"os"
	"os/exec"
	"regexp"
	"runtime"
	"strings"
	"testing"

	"github.com/alecthomas/kong"

	"secondpass/face/cli/command"
)

// remade fails unless a file of the repository is what the program makes; UPDATE_DOCS=1 writes it.
func remade(t *testing.T, path string, want []byte) {
	t.Helper()
	have, err := os.ReadFile(path)
	if err == nil && bytes.Equal(have, want) {
		return
	}
	if os.Getenv("UPDATE_DOCS") == "" {
		t.Errorf("%s is not what the program makes; UPDATE_DOCS=1 go test ./face/cli -run %s mends it", path, t.Name())
		return
	}
	if err := os.WriteFile(path, want, 0o644); err != nil {
		t.Fatal(err)
	}
}

// The page of all commands is the one that the program makes.
func TestCommandsPage(t *testing.T) {
	var page bytes.Buffer
	wholeManual().WriteMarkdown(&page, schemaAddress)
	remade(t, "../../docs/commands.md", page.Bytes())
}

// Help, man page and page of commands name every command, argument and flag with what it means, and what holds without a
// flag.
func TestOneSourceOfHelp(t *testing.T) {
	var man, page bytes.Buffer
	m := wholeManual()
	m.WriteMan(&man)
	m.WriteMarkdown(&page, schemaAddress)
	plain := strings.NewReplacer(`\-`, "-", `\e`, `\`, `\|`, "|", "`", "")
	flat := func(text string) string { return strings.Join(strings.Fields(plain.Replace(text)), " ") }
	pages := map[string]string{"man page": flat(man.String()), "docs/commands.md": flat(page.String())}
	described := 0
	for _, n := range Grammar().Leaves(true) {
		path := strings.Fields(n.Path())
		var help, complaints bytes.Buffer
		if status := Main(append(path, "--help"), nil, &help, &complaints); status != command.ExitDone || complaints.Len() > 0 {
			t.Fatalf("%s --help: exit status %d, %s", n.Path(), status, &complaints)
		}
		// It was read by the grammar of its first word alone, and says what the whole says, once.
		var whole bytes.Buffer
		if printHelp(&whole, n); help.String() != whole.String() {
			t.Errorf("%s --help prints\n%s\nand by the whole grammar\n%s", n.Path(), &help, &whole)
		}
		pages["help"] = flat(help.String())
		says := func(what string) {
			described++
			for where, text := range pages {
				if !strings.Contains(text, flat(what)) {
					t.Errorf("%s: the %s does not say %q", n.Path(), where, what)
				}
			}
		}
		says(n.Path())
		says(n.Help)
		for _, p := range n.Positional {
			says(p.Help)
		}
		for _, f := range n.Flags {
			if f.Help == "" {
				t.Errorf("%s --%s has no help", n.Path(), f.Name)
			}
			for _, between := range []string{", ", "|"} {
				if f.Enum != "" && strings.Contains(f.Help, strings.Join(f.EnumSlice(), between)) {
					t.Errorf("%s --%s: what it can be stands in its name and again in its help: %s", n.Path(), f.Name, f.Help)
				}
			}
			says("--" + f.Name)
			says(f.Help)
			if f.HasDefault && f.Default != "" {
				says(f.Help + " Without it: " + f.Default + ".")
			}
		}
	}
	if described < 300 {
		t.Errorf("only %d things are described", described)
	}
}

// The man page is right for groff, whose macros for man pages are those of Debian's man: it finds nothing to warn of.
func TestManPage(t *testing.T) {
	man := commandLine(t, t.TempDir(), "man")
	set := exec.Command("groff", "-man", "-ww", "-Tascii", "-P-cbou")
	set.Stdin = strings.NewReader(man)
	var text, warnings bytes.Buffer
	set.Stdout, set.Stderr = &text, &warnings
	if err := set.Run(); err != nil || warnings.Len() > 0 {
		t.Fatalf("groff: %v\n%s", err, &warnings)
	}
	for _, want := range []string{`SECONDPASS\(1\)`, `secondpass - the exercise book`, `\n +card tune \[FILE\] \[flags\]\n`, `\n +--aim NAME\n`, `EXIT STATUS`,
		`\n +17c W +pass these tiles`, `\n +secondpass compare --seed 11 --aim Runs --aim Evens --repeats 10000\n`} {
		if !regexp.MustCompile(want).MatchString(text.String()) {
			t.Errorf("the man page does not show %q", want)
		}
	}
}

// A command that needs one below it prints its help, as does the program's name with help.
func TestBranchesPrintTheirHelp(t *testing.T) {
	var visit func(n *kong.Node)
	visit = func(n *kong.Node) {
		for _, below := range n.Children {
			visit(below)
		}
		if len(n.Children) == 0 || n.Type == kong.ApplicationNode {
			return
		}
		help := commandLine(t, t.TempDir(), n.Name, "--help")
		if alone := commandLine(t, t.TempDir(), n.Name); alone != help || !strings.HasPrefix(help, "Usage: secondpass "+n.Name+" COMMAND") {
			t.Errorf("secondpass %s prints\n%s", n.Name, alone)
		}
		var asked bytes.Buffer
		if status := Main([]string{"help", n.Name}, nil, &asked, &asked); status != command.ExitDone || asked.String() != help {
			t.Errorf("secondpass help %s: exit status %d\n%s", n.Name, status, &asked)
		}
	}
	visit(Grammar())
}

// The program says what it is: the same for people and programs, by what the compiler says of a program that it has built.
func TestVersion(t *testing.T) {
	dir := t.TempDir()
	text := commandLine(t, dir, "version")
	for _, want := range []string{"secondpass " + command.Version().Version + "\n", runtime.Version(), runtime.GOOS + "/" + runtime.GOARCH} {
		if !strings.Contains(text, want) {
			t.Errorf("version does not say %q:\n%s", want, text)
		}
	}
	var out bytes.Buffer
	if status := Main([]string{"--version"}, nil, &out, &out); status != command.ExitDone || out.String() != text {
		t.Errorf("--version: exit status %d\n%s", status, &out)
	}
}
