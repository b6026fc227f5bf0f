package cli

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/alecthomas/kong"

	"secondpass/face/cli/command"
	"secondpass/rules/charleston"
)

// wrongCard is a card file with mistakes, emptyCard one without hands, tinyCard one with two.
const (
	wrongCard = "card Wrong\nsection A\n25 exposed 111x 222q\n"
	emptyCard = "card Empty\nsection A\n"
	tinyCard  = "card Tiny\nsection Blocks\n25 exposed FFF 22b 444c 66d 8888b\nsection Winds\n30 concealed 11x 55555x 333y FFFF\n"
)

// shelf is a data folder with one of each thing, and files beside it, in the folder that the test is in.
func shelf(t *testing.T) (dir string) {
	t.Helper()
	t.Chdir(t.TempDir())
	for name, text := range map[string]string{"wrong.card": wrongCard, "empty.card": emptyCard, "tiny.card": tinyCard, "there.txt": "x", "torn.json": `{"format":`,
		"other.json": `{"format":"something else"}`, "wrong.experiment": "experiment Q\nwin more\n"} {
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	run := func(args ...string) { t.Helper(); commandLine(t, "data", args...) }
	run("compare", "--seed", "11", "--aim", "Runs", "--save", "Monday")
	run("compare", "--seed", "12", "--aim", "Runs", "--save", "Tuesday", "--no-second-charleston", "--no-courtesy")
	run("exercise", "import", saveAs(t, halfPlayed(t, charleston.South, 1)))
	run("student", "add", "Ana")
	run("lesson", "new", "Evening")
	run("drill", "find", "-n", "2", "--kind", "stop", "--kind", "courtesy", "--players", "nearest", "--seed", "12", "--from", "1", "--deals", "3")
	run("experiment", "run", "--ready", "keep-flowers", "--deals", "2", "-o", "result.json")
	return "data"
}

// standing is all that stands in the folder of the test.
func standing(t *testing.T) string {
	t.Helper()
	sum := sha256.New()
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasSuffix(path, "-shm") || strings.HasSuffix(path, ".lock") {
			return err
		}
		data, err := os.ReadFile(path)
		if len(data) > 0 || !strings.HasSuffix(path, "-wal") { // an empty log is none
			fmt.Fprintf(sum, "%s %d\n%s\n", path, len(data), data)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return fmt.Sprintf("%x", sum.Sum(nil))
}

// foreign is what only the library that reads the command line, that of JSON, or the system would say.
var foreign = regexp.MustCompile(`(?i)expected|did you mean|unexpected|perhaps try|strconv|parsing|\(type|got "|EOL|[^.-]json: |no such file|unmarshal|invalid character|cannot unmarshal|<nil>|%!|panic|goroutine|reflect|EOF|sql:|bad file descriptor|not a directory|permission denied`)

// wrongRow is a command line that is wrong, with what its message must hold.
type wrongRow struct {
	args []string
	says string
}

// samples are what stands for the arguments of commands, by their names.
var samples = map[string]string{"exercise": "Monday", "lesson": "Evening", "student": "Ana", "drill": "1", "result": "result.json", "results": "result.json",
	"rack": "3445b 17c 4668d FF J", "name": "Other", "title": "Other", "file": "tiny.card", "item": "1", "number": "1", "card": "Tiny", "text": "1", "shell": "bash"}

// wrongByGrammar are command lines that are wrong whatever a command does: of each command, and each of its flags and arguments.
func wrongByGrammar(t *testing.T) (rows []wrongRow) {
	root := Grammar()
	globals := root.Flags
	var visit func(n *kong.Node, names []string)
	visit = func(n *kong.Node, names []string) {
		for _, c := range n.Children {
			if !c.Hidden {
				visit(c, append(names[:len(names):len(names)], c.Name))
			}
		}
		if len(n.Children) > 0 {
			rows = append(rows, wrongRow{append(names[:len(names):len(names)], "nonesuch"), "right is one of"})
			return
		}
		base := names[:len(names):len(names)]
		cumulative, required := false, false
		for _, p := range n.Positional {
			cumulative = cumulative || p.IsCumulative()
			required = required || p.Required
			sample, known := samples[p.Name]
			if !known {
				t.Errorf("%v: no sample of %q", names, p.Name)
			}
			base = append(base, sample)
		}
		add := func(says string, args ...string) {
			rows = append(rows, wrongRow{append(base[:len(base):len(base)], args...), says})
		}
		if required {
			rows = append(rows, wrongRow{names, "is missing; right is"})
		}
		for i := range n.Positional {
			args := append([]string{}, base...)
			if args[len(names)+i] = ""; n.Positional[i].Target.Kind() == reflect.String || n.Positional[i].IsCumulative() {
				rows = append(rows, wrongRow{args, ""})
			}
		}
		if !cumulative {
			add("too many", "one", "more")
		}
		add("has no flag", "--nonesuch")
		add("has no flag", "-Q")
		for _, group := range n.AllFlags(false) {
			for _, f := range group {
				if f.Name == "help" || f.Name == "version" || slices.Contains(globals, f) && names[0] != "deal" {
					continue // those of every command are the same flags
				}
				flag := "--" + f.Name
				kind := f.Target.Type()
				for kind.Kind() == reflect.Pointer {
					kind = kind.Elem()
				}
				switch {
				case kind.Kind() == reflect.Bool:
					add("true or false", flag+"=maybe")
					continue
				case f.Enum != "":
					add("is right", flag, "purple")
				case kind == reflect.TypeFor[time.Duration]():
					add("a time is right", flag, "soon")
				case kind.Kind() >= reflect.Int && kind.Kind() <= reflect.Float64:
					add("number", flag, "many")
				}
				add("", flag, "")
				add("", flag+"=")
				add("has no value", flag)
				if kind.Kind() != reflect.Slice {
					value := "1"
					if f.Enum != "" {
						value = strings.Split(f.Enum, ",")[0]
					}
					if kind == reflect.TypeFor[time.Duration]() {
						value = "1s"
					}
					if value != "" && kind != reflect.TypeFor[float64]() {
						add("", flag, value, flag, value)
					}
				}
			}
		}
	}
	visit(root, nil)
	return rows
}

// A command line that is wrong ends with status 2 and says so in our own words, with what would be right; nothing is printed
// otherwise, and nothing on the disk is another.
func TestWrongLinesAreRefused(t *testing.T) {
	dir := shelf(t)
	before := standing(t)
	rows := append(wrongByGrammar(t), wrongByMeaning()...)
	if len(rows) < 500 {
		t.Errorf("%d rows; 500 are wanted at least", len(rows))
	}
	for _, row := range rows {
		var out, said bytes.Buffer
		in := strings.NewReader("")
		status := Main(append([]string{"--data", dir}, row.args...), in, &out, &said)
		text := said.String()
		switch {
		case status != command.ExitInput || out.Len() > 0:
			t.Errorf("%q: status %d, printed %q\n%s", row.args, status, out.String(), text)
		case foreign.MatchString(text):
			t.Errorf("%q: in the words of a library:\n%s", row.args, text)
		case !strings.Contains(text, row.says) || !strings.HasPrefix(text, "secondpass: ") || strings.Count(text, "\n") != 1 || !strings.ContainsAny(text[12:], ":;"):
			t.Errorf("%q: no sentence that says what would be right (%q):\n%s", row.args, row.says, text)
		}
		if now := standing(t); now != before {
			t.Errorf("%q: what stands on the disk has changed", row.args)
			before = now
		}
	}
	t.Logf("%d command lines", len(rows))
}

// wrongByMeaning are command lines that can be read and make no sense: sizes that cannot be, flags that contradict each other,
// names of what is not there, and files that are something else.
func wrongByMeaning() (rows []wrongRow) {
	add := func(says, line string) {
		rows = append(rows, wrongRow{argsOf(line), says})
	}
	const rack = "--rack '228b 14699c 7d EW F J'"
	for _, line := range strings.Split(strings.TrimSpace(meaningless), "\n") {
		line, says, _ := strings.Cut(line, "# ")
		add(says, strings.ReplaceAll(line, "RACK", rack))
	}
	return rows
}

// argsOf are those of a command line; what stands in quotes is one.
func argsOf(line string) (list []string) {
	for i, part := range strings.Split(line, "'") {
		if i%2 == 1 {
			list = append(list, part)
		} else {
			list = append(list, strings.Fields(part)...)
		}
	}
	return list
}
