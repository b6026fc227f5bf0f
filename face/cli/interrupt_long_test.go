//go:build unix

package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"secondpass/face/cli/command"
	"secondpass/rules/charleston"
)

// tries is how often a command may be slow to end before that is its fault and not that of a busy machine.
const tries = 3

// One Ctrl-C at a prompt, or in the midst of work that would take hours, ends every command in time, and what was done by then
// is kept and told.
func TestInterrupted(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	data := filepath.Join(dir, "secondpass")
	commandLine(t, data, "compare", "--seed", "11", "--aim", "Runs", "--no-second-charleston", "--no-courtesy", "--save", "Monday")
	commandLine(t, data, "exercise", "import", saveAs(t, halfPlayed(t, charleston.South, 1)))
	commandLine(t, data, "student", "add", "Ana")
	commandLine(t, data, "drill", "find", "-n", "1", "--kind", "courtesy", "--players", "nearest", "--seed", "12", "--from", "1", "--deals", "3")
	repeated, err := filepath.Abs("../../docs/experiments/lantern/three-suits-win.json")
	if err != nil {
		t.Fatal(err)
	}
	another := filepath.Join(dir, "other.card")
	if err := os.WriteFile(another, []byte("card Other\nseason 2030\nsection Evens\n25 exposed FFF 22x 444y 66z 8888x\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	const decision = "advise --rack '228b 14699c 7d EW F J' --step first-right "
	for _, c := range []struct {
		line string
		// until is what is shown when Ctrl-C is pressed, then how long after it; shows is what is told at the end.
		until string
		after time.Duration
		shows string
	}{
		{"walk Monday", "> ", 0, `Go on with: secondpass walk "Monday"`},
		{"walk Lesson --quiet", "> ", 0, `Go on with: secondpass walk "Lesson"`}, // in the play
		{"drill try 1", "(or quit): ", 0, ""},
		{"drill try 1 --student Ana", "(or quit): ", 0, ""},
		{"drill read", "(or quit): ", 0, ""},
		{"student delete Ana", "(yes or no) ", 0, ""},
		{"match --deals 10000000", "deals ", time.Second, "(interrupted)"},
		{"compare --seed 5 --aim Runs --repeats 100000000", "games ", time.Second, "stopped: "},
		{"compare --seed 5 --aim Runs --set-jokers 5 --games 100000000", "for the first time", 0, "the routes are compared without them"},
		{"compare Monday --games 100000000", "games ", time.Second / 5, "at the end, or as far as the route goes"},
		{decision + "--games 100000000", "playing on", 2 * time.Second, "it was stopped"},
		{decision + "--plans --games 10000000", "", 3 * time.Second, ""},
		{"advise Lesson --route A --games 10000000", "", 2 * time.Second, ""},
		{"review Monday --route A --games 100000000", "", 2 * time.Second, "stopped after 0 of"},
		{"student record Ana Monday --route A --games 100000000", "", 2 * time.Second, "stopped after 0 of"},
		{"review Monday --route A --games 2000 --players nearest", "(2/", 0, "1 first right: "},
		{"student record Ana Monday --route A --games 1000", "(2/", 0, " kept for Ana"},
		{"drill find -n 10000 --deals 1000000", "", 2 * time.Second, "the next search with this seed"},
		{"drill key --times 1000 --seed 5", "", 2 * time.Second, ""},
		{"card report --deals 100000000", "deals ", time.Second, "the same command goes on"},
		{"card tune --games 100000000", "games ", time.Second, "the same command goes on"},
		{"card compose", "", time.Second, "stopped "},
		{"experiment run --ready keep-flowers --deals 1000000", "deals ", time.Second, "go on with: secondpass experiment run --resume"},
		{"experiment run --ready all --deals 1000000", "deals ", time.Second, "the same command goes on"},
		{"experiment repeat " + repeated, "deals ", 0, "whether it gives the same bytes is seen at its end"},
		{"drill renew --card " + another + " --fill", "", time.Second / 2, "stopped after "}, // how many there are depends on what the search found until it was stopped
		{"exercise import -", "", time.Second / 2, ""},
		{"lesson import -", "", time.Second / 2, ""},
		{"drill import -", "", time.Second / 2, ""},
		{"experiment check -", "", time.Second / 2, ""},
		{"experiment run -", "", time.Second / 2, ""},
		{"restore -", "", time.Second / 2, ""},
	} {
		t.Run(strings.ReplaceAll(c.line, " ", "_"), func(t *testing.T) {
			for try := 1; ; try++ {
				s := atTerminal(t, dir, append([]string{"secondpass"}, argsOf(c.line)...)...)
				s.until(c.until)
				time.Sleep(c.after)
				s.interrupt()
				status, took, shown := s.ended()
				if status != command.ExitInterrupted || !strings.Contains(shown, c.shows) {
					t.Fatalf("status %d, %q is to be told:\n%s", status, c.shows, shown)
				}
				if took < soon {
					t.Logf("left after %s", took.Round(time.Millisecond))
					return
				}
				if try == tries {
					t.Fatalf("%s after Ctrl-C", took)
				}
			}
		})
	}
	if text := commandLine(t, data, "student", "list"); !strings.Contains(text, "Ana") {
		t.Error("a question that was left has deleted a student")
	}
	if list := commandLine(t, data, "exercise", "list"); strings.Count(list, "\n") != 2 {
		t.Errorf("there were two exercises, and after imports that were left there are\n%s", list)
	}
}

// A second Ctrl-C ends at once, and files that were opened for what did not come are gone.
func TestInterruptedTwice(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	s := atTerminal(t, dir, "secondpass", "card", "report", "--deals", "100000000", "-o", "report.json")
	s.until("deals ")
	s.interrupt()
	s.interrupt()
	s.stopped()
	if !command.FileExists(filepath.Join(dir, "report.json")) {
		return
	}
	if text := commandLine(t, filepath.Join(dir, "secondpass"), "card", "list"); text == "" {
		t.Error("the data folder cannot be used any more")
	}
}

// Ctrl-C ends a shell's loop too.
func TestInterruptedLoop(t *testing.T) {
	t.Parallel()
	s := atTerminal(t, t.TempDir(), "bash", "-c", "for seed in 1 2 3; do echo seed $seed; secondpass match --seed $seed --deals 1000000 --quiet; done; echo after")
	s.until("seed 1")
	time.Sleep(time.Second)
	s.interrupt()
	status, _, shown := s.ended()
	if status != command.ExitInterrupted || strings.Contains(shown, "seed 2") || strings.Contains(shown, "after") {
		t.Errorf("the loop went on, status %d:\n%s", status, shown)
	}
}
