//go:build unix

package cli

import (
	"bytes"
	"fmt"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/alecthomas/kong"

	"secondpass/face/cli/command"
)

// nextOf is what the shells' scripts are told can come next.
func nextOf(t *testing.T, args ...string) (next []string) {
	t.Helper()
	var out, complaints bytes.Buffer
	if status := Main(append([]string{"__completeNoDesc"}, args...), nil, &out, &complaints); status != command.ExitDone || complaints.Len() > 0 {
		t.Fatalf("%q: status %d, %s", args, status, &complaints)
	}
	for line := range strings.Lines(out.String()) {
		if !strings.HasPrefix(line, ":") {
			next = append(next, strings.TrimSpace(line))
		}
	}
	return next
}

// Every command and flag that is not hidden is completed, and whatever a flag or argument must be one of.
func TestEverythingIsCompleted(t *testing.T) {
	var visit func(n *kong.Node)
	visit = func(n *kong.Node) {
		path := strings.Fields(n.Path())
		if len(n.Children) > 0 {
			next := nextOf(t, append(path, "")...)
			for _, below := range n.Children {
				if slices.Contains(next, below.Name) == below.Hidden {
					t.Errorf("%s %s: hidden %v, but after %q come %q", n.Path(), below.Name, below.Hidden, n.Path(), next)
				}
				if !below.Hidden {
					visit(below)
				}
			}
			return
		}
		flags := nextOf(t, append(path, "--")...)
		for _, f := range n.Flags {
			if !f.Hidden && !slices.Contains(flags, "--"+f.Name) {
				t.Errorf("%s --%s is not completed", n.Path(), f.Name)
			}
			if f.Enum == "" {
				continue
			}
			next := nextOf(t, append(path, "--"+f.Name, "")...)
			for _, value := range f.EnumSlice() {
				if value != "" && !slices.Contains(next, value) {
					t.Errorf("%s --%s %s is not completed", n.Path(), f.Name, value)
				}
			}
		}
		for _, global := range []string{"--data", "--card", "--seed", "--json", "--quiet"} {
			if !slices.Contains(flags, global) {
				t.Errorf("%s %s is not completed", n.Path(), global)
			}
		}
	}
	visit(Grammar())
}

// Names of what is kept are completed, of the data folder that is asked for; asking for names makes no folder.
func TestNamesAreCompleted(t *testing.T) {
	dir := t.TempDir()
	commandLine(t, dir, "compare", "--seed", "5", "--aim", "Runs", "--save", "Monday lesson")
	commandLine(t, dir, "student", "add", "Ana")
	commandLine(t, dir, "lesson", "new", "Week")
	commandLine(t, dir, "experiment", "run", "--ready", "keep-flowers", "--deals", "2")
	for _, c := range []struct {
		want string
		args []string
	}{
		{"Monday lesson", []string{"exercise", "show", "M"}},
		{"Monday lesson", []string{"compare", ""}},
		{"Ana", []string{"student", "due", ""}},
		{"Ana", []string{"drill", "try", "--student", ""}},
		{"Monday lesson", []string{"student", "record", "Ana", ""}},
		{"Week", []string{"lesson", "show", ""}},
		{"Lantern", []string{"card", "show", ""}},
		{"Lantern", []string{"fit", "--card", ""}},
		{"keep-flowers", []string{"experiment", "run", "--ready", "keep"}},
		{"keep-flowers", []string{"experiment", "ready", ""}},
		{"keep-flowers-always", []string{"experiment", "ready", "keep"}},
		{"stop", []string{"drill", "find", "--kind", ""}},
		{"zsh", []string{"completion", ""}},
	} {
		if next := nextOf(t, append([]string{"--data", dir}, c.args...)...); !slices.Contains(next, c.want) {
			t.Errorf("after %q come %q, without %q", c.args, next, c.want)
		}
	}
	if next := nextOf(t, "--data", dir, "student", "due", "Ana", ""); len(next) > 0 {
		t.Errorf("after the last argument come %q", next)
	}
	fresh := t.TempDir() + "/none"
	if next := nextOf(t, "--data", fresh, "exercise", "show", ""); len(next) > 0 || command.FileExists(fresh) {
		t.Errorf("of nothing: %q", next)
	}
}

// In bash the script completes as the tab key does. _init_completion is of the package bash-completion, which divides the line.
func TestCompletionInBash(t *testing.T) {
	dir := t.TempDir()
	script := commandLine(t, dir, "completion", "bash")
	tab := func(words ...string) string {
		t.Helper()
		bash := exec.Command("bash", "-c", script+`
_init_completion() { words=("${COMP_WORDS[@]}"); cword=$COMP_CWORD; cur="${words[cword]}"; prev="${words[cword-1]}"; }
compopt() { :; }
COMP_WORDS=("$@") COMP_CWORD=$(($# - 1)) COMP_LINE="$*" COMP_POINT=${#COMP_LINE} COMP_TYPE=9
__start_secondpass
printf '%s\n' "${COMPREPLY[@]}"`, "bash")
		bash.Args = append(bash.Args, words...)
		out, err := bash.CombinedOutput()
		if err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		return strings.TrimSpace(string(out))
	}
	for want, words := range map[string][]string{
		"version":  {"secondpass", "vers"},
		"expand":   {"secondpass", "card", "ex"},
		"--budget": {"secondpass", "advise", "--bu"},
		"switch":   {"secondpass", "drill", "find", "--kind", "sw"},
	} {
		if got := tab(words...); got != want {
			t.Errorf("%q: %q, wanted %q", words, got, want)
		}
	}
}

// Each shell gets a script that asks this program; another shell is refused.
func TestCompletionScripts(t *testing.T) {
	for _, shell := range []string{"bash", "zsh", "fish", "powershell"} {
		if script := commandLine(t, t.TempDir(), "completion", shell); !strings.Contains(script, "__complete") || !strings.Contains(script, "secondpass") {
			t.Errorf("%s:\n%s", shell, script)
		}
	}
	if problem := formOfPowerShell(commandLine(t, t.TempDir(), "completion", "powershell")); problem != "" {
		t.Error(problem)
	}
	for _, torn := range []string{"& { 'a }", "if ($a) { b ]", "\"$(a\"", "a }", "<# never ended"} {
		if formOfPowerShell(torn) == "" {
			t.Errorf("%s is in form", torn)
		}
	}
	var out, complaints bytes.Buffer
	if status := Main([]string{"completion", "sh"}, nil, &out, &complaints); status != command.ExitInput || out.Len() > 0 {
		t.Errorf("sh: status %d\n%s", status, &complaints)
	}
}

// formOfPowerShell says what is out of form in a script: a quote, comment or bracket that is never closed, or closed as another.
// Debian has no PowerShell that could run it. Quotes, escapes and comments are those of Microsoft's language specification,
// 2.2.3 and 2.3.5.2.
func formOfPowerShell(script string) string {
	var open []byte
	closes := map[byte]byte{')': '(', ']': '[', '}': '{'}
	for i := 0; i < len(script); i++ {
		inText := len(open) > 0 && open[len(open)-1] == '"'
		rest := script[i:]
		switch c := script[i]; {
		case c == '`':
			i++
		case c == '"' && inText:
			open = open[:len(open)-1]
		case inText && strings.HasPrefix(rest, "$("):
			open = append(open, '(')
			i++
		case inText:
		case c == '\'': // two within are one that is meant
			end := strings.IndexByte(rest[1:], '\'')
			if end < 0 {
				return "a quote is never closed: " + rest
			}
			i += end + 1
		case strings.HasPrefix(rest, "<#"):
			end := strings.Index(rest, "#>")
			if end < 0 {
				return "a comment never ends: " + rest
			}
			i += end + 1
		case c == '#':
			if end := strings.IndexByte(rest, '\n'); end >= 0 {
				i += end
			}
		case strings.IndexByte("([{\"", c) >= 0:
			open = append(open, c)
		case closes[c] != 0:
			if len(open) == 0 || open[len(open)-1] != closes[c] {
				return fmt.Sprintf("%c closes nothing, or another bracket, before %q", c, rest[:min(len(rest), 40)])
			}
			open = open[:len(open)-1]
		}
	}
	if len(open) > 0 {
		return fmt.Sprintf("never closed: %q", open)
	}
	return ""
}
