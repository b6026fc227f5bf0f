//go:build unix

package cli

import (
	"io"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/creack/pty"

	"secondpass/face/cli/command"
)

// shownOn is what a command prints on a terminal of so many columns, line by line.
func shownOn(t *testing.T, columns int, args ...string) []string {
	t.Helper()
	screen, terminal, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	defer screen.Close()
	if err := pty.Setsize(terminal, &pty.Winsize{Rows: 24, Cols: uint16(columns)}); err != nil {
		t.Fatal(err)
	}
	printed := make(chan string)
	go func() {
		text, _ := io.ReadAll(screen) // it ends in an error once the other side is closed
		printed <- string(text)
	}()
	var complaints strings.Builder
	status := Main(args, strings.NewReader(""), terminal, &complaints)
	terminal.Close()
	text := <-printed
	if status != command.ExitDone {
		t.Fatalf("%q: exit status %d: %s", args, status, complaints.String())
	}
	return strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
}

// words are those that are no rules, bars or other drawing.
func words(lines []string) (words []string) {
	for word := range strings.FieldsSeq(strings.Join(lines, "\n")) {
		if strings.Trim(word, "-#=|:o") != "" {
			words = append(words, word)
		}
	}
	return words
}

// At a terminal of 60 columns no line is wider and no word is broken: each stands also in what a wide terminal shows. A wide
// one is used.
func TestWidthOfTheTerminal(t *testing.T) {
	t.Setenv("COLUMNS", "")
	os.Unsetenv("COLUMNS")
	data := t.TempDir()
	commandLine(t, data, "compare", "--seed", "11", "--aim", "Runs", "--aim", "Evens", "--save", "Monday")
	fills := 0
	for _, args := range [][]string{
		{"--help"},
		{"advise", "--help"},
		{"walk", "--help"},
		{"fit", "3445b", "17c", "4668d", "FF", "J", "9d"},
		{"deal", "--seed", "5", "--jokers", "1", "--best-away", "5..6", "--no-blind"},
		{"compare", "--seed", "11", "--aim", "Runs", "--aim", "Evens", "--repeats", "20"},
		{"exercise", "list"},
		{"card", "show"},
		{"card", "expand"},
		{"card", "report", "--deals", "50", "--games", "4", "--aimed", "0"},
		{"match", "--seats", "nearest,random,random,random", "--deals", "4"},
		{"advise", "--rack", "228b 14699c 7d EW F J", "--step", "first-right", "--games", "50", "--players", "nearest"},
		{"review", "Monday", "--games", "2", "--players", "nearest"},
		{"walk", "Monday"},
		{"experiment", "ready"},
		{"experiment", "run", "--ready", "keep-flowers", "--deals", "4"},
		{"drill", "list"},
	} {
		args = append([]string{"--data", data, "--quiet"}, args...)
		wide := shownOn(t, 200, args...)
		if slices.ContainsFunc(wide, func(line string) bool { return len([]rune(line)) > command.PageWidth }) {
			fills++
		}
		whole := words(wide)
		for _, line := range shownOn(t, 60, args...) {
			if n := len([]rune(line)); n > 60 {
				t.Errorf("%q: %d columns: %s", args[3:], n, line)
			}
			for _, word := range words([]string{line}) {
				if !slices.Contains(whole, word) {
					t.Errorf("%q: %q is a broken word: %s", args[3:], word, line)
				}
			}
		}
	}
	if fills < 5 {
		t.Errorf("only %d commands make use of 200 columns", fills)
	}
}

// No colours are printed at a terminal, so that NO_COLOR holds by itself (no-color.org): with it and without it a command shows
// the same, and no escape sequence is among it.
func TestNoColours(t *testing.T) {
	for _, args := range [][]string{{"fit", "3445b", "17c", "4668d", "FF", "J", "9d"}, {"card", "--help"}, {"compare", "--seed", "11", "--aim", "Runs"}} {
		t.Setenv("NO_COLOR", "1")
		without := shownOn(t, 80, args...)
		os.Unsetenv("NO_COLOR")
		with := shownOn(t, 80, args...)
		if !slices.Equal(with, without) || strings.Contains(strings.Join(with, "\n"), "\x1b") {
			t.Errorf("%q shows\n%q\nand with NO_COLOR\n%q", args, with, without)
		}
	}
}
