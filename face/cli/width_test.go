//go:build unix

package cli

import (
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
		var text strings.Builder
		readTerminal(screen, func(part []byte) { text.Write(part) })
		printed <- text.String()
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

// columns is a stream that is so wide and takes lines as they come.
type columns struct {
	strings.Builder
	of int
}

func (c *columns) Columns() int { return c.of }

// tablesAt60 are command lines that print tables, or racks and groups beside names. RACK is --rack and a rack of 13.
const tablesAt60 = `
advise --help
walk --help
fit 3445b 17c 4668d FF J 9d
deal --seed 5 --jokers 1 --best-away 5..6 --no-blind
compare --seed 11 --aim Runs --aim Evens --repeats 20 --games 2
compare Monday
exercise list
exercise show Monday
card list
card show
card check
card expand
card history Own
card report --deals 50 --games 4 --aimed 0
card report --deals 10 --games 2 --aimed 2 --hand Runs
card tune --card Own --games 20 -o tuning
match --seats nearest,random,random,random --deals 4
match --seats nearest+aim=Runs+keep-flowers,nearest+aim=Evens,random,random --deals 4
advise RACK --step first-right --games 50 --players nearest
advise RACK --step first-right --games 50 --players nearest --plans
advise RACK --step first-left --vote --games 20 --players nearest
review Monday --games 2 --players nearest
walk Monday
experiment ready
experiment run --ready keep-flowers --deals 4 -o flowers.json
experiment show flowers.json
experiment run --ready three-suits --deals 4
experiment list
drill list
drill show 1 --key
drill try 1 --answer 1 --student Ana
drill read --seed 5 --answer Runs
student list
student progress Ana
student due Ana
lesson list
lesson show Week
check-data
`

// At a terminal of 60 columns tables are laid out for them: only sentences are wider, which are continued on the next line. No word
// is broken: each stands also in what a wide terminal shows. A wide one is used.
func TestWidthOfTheTerminal(t *testing.T) {
	t.Setenv("COLUMNS", "")
	os.Unsetenv("COLUMNS")
	data := tabled(t)
	fills := 0
	for line := range strings.Lines(strings.TrimSpace(tablesAt60)) {
		args := append([]string{"--data", data, "--quiet"}, argsOf(strings.ReplaceAll(line, "RACK", "--rack '228b 14699c 7d EW F J'"))...)
		wide := shownOn(t, 200, args...)
		if slices.ContainsFunc(wide, func(line string) bool { return len([]rune(line)) > command.PageWidth }) {
			fills++
		}
		for _, made := range []string{"tuning", "flowers.json"} {
			if slices.Contains(args, "-o") {
				os.Remove(made)
			}
		}
		whole := words(wide)
		out := columns{of: 60}
		var complaints strings.Builder
		if status := Main(args, strings.NewReader(""), &out, &complaints); status != command.ExitDone {
			t.Fatalf("%q: exit status %d: %s", args, status, complaints.String())
		}
		for line := range strings.Lines(out.String()) {
			line = strings.TrimSuffix(line, "\n")
			if n := len([]rune(line)); n > 60 && strings.Contains(strings.TrimLeft(line, " "), "  ") {
				t.Errorf("%q: a row of %d columns: %s", args[3:], n, line)
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

// tabled is a data folder with some of each thing that tables tell of.
func tabled(t *testing.T) (data string) {
	t.Helper()
	t.Chdir(t.TempDir())
	data = "data"
	for _, line := range []string{"compare --seed 11 --aim Runs --aim Evens --save Monday", "student add Ana", "lesson new Week", "lesson add Week --exercise Monday",
		"drill find -n 1 --kind courtesy --players nearest --seed 12 --from 1 --deals 3"} {
		commandLine(t, data, argsOf(line)...)
	}
	if err := os.MkdirAll("data/cards", 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile("data/cards/Own.card", []byte(tinyCard), 0o600); err != nil {
		t.Fatal(err)
	}
	return data
}

// Sentences that are wider than a terminal are continued on the next line, and no line is wider than it.
func TestSentencesAreContinued(t *testing.T) {
	t.Setenv("COLUMNS", "")
	os.Unsetenv("COLUMNS")
	data := tabled(t)
	for _, args := range [][]string{{"--help"}, {"walk", "--help"}, {"walk", "Monday"}, {"review", "Monday", "--games", "2", "--players", "nearest"}, {"experiment", "ready"}, {"drill", "show", "1"}} {
		for _, line := range shownOn(t, 60, append([]string{"--data", data, "--quiet"}, args...)...) {
			if n := len([]rune(line)); n > 60 {
				t.Errorf("%q: %d columns: %s", args, n, line)
			}
		}
	}
}

// What can be typed in a walk is continued beside its meaning; lines without a name stay as they are.
func TestHanging(t *testing.T) {
	text := "  aim NAME          steer for a section or hand, several with +, or free\n\n  secondpass deal --seed 5 and a line that is wider than the terminal\nx\n"
	want := "  aim NAME          steer for a section or hand, several\n                    with +, or free\n\n  secondpass deal --seed 5 and a line that is wider than the terminal\nx\n"
	if got := command.Hanging(command.NewOutput(&columns{of: 60}), text); got != want {
		t.Errorf("%q", got)
	}
}

// A table keeps its columns where there is room; else cells are continued in their columns, and at last columns stand in blocks.
func TestTable(t *testing.T) {
	table := command.NewTable(14, 26)
	table.Row("Player", "wins", "points a game")
	table.Row("one who waits", "37.5 % (0.0 to 88.9)", "+98.1 (-27.3 to +223.6)")
	table.Line(4, "after %d deals", 4)
	for _, c := range []struct {
		columns int
		want    string
	}{
		{80, `
Player        wins                      points a game
one who waits 37.5 % (0.0 to 88.9)      +98.1 (-27.3 to +223.6)
    after 4 deals
`}, {52, `
Player        wins           points a game
one who waits 37.5 %         +98.1 (-27.3 to +223.6)
              (0.0 to 88.9)
    after 4 deals
`}, {34, `
Player        wins
one who waits 37.5 % (0.0 to 88.9)
    after 4 deals

Player        points a game
one who waits +98.1
              (-27.3 to +223.6)
`}} {
		out := columns{of: c.columns}
		table.Print(command.NewOutput(&out))
		if got := out.String(); got != strings.TrimPrefix(c.want, "\n") {
			t.Errorf("in %d columns:\n%s", c.columns, got)
		}
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
