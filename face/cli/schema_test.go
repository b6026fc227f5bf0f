package cli

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/alecthomas/kong"
	"github.com/santhosh-tekuri/jsonschema/v6"

	"secondpass/face/cli/command"
	"secondpass/face/reader/onefile"
	"secondpass/internal/schema"
)

// answering are the commands that have an answer for programs, by name.
func answering() map[string]*kong.Node {
	all := map[string]*kong.Node{}
	for _, n := range Grammar().Leaves(true) {
		if answers(n) {
			all[n.Path()] = n
		}
	}
	return all
}

// The schemas in docs/json are those of the types that commands print: one for each command that has an answer for programs,
// and no other. UPDATE_DOCS=1 writes them.
func TestSchemas(t *testing.T) {
	maker := schema.New("secondpass", "../..")
	wanted := map[string]bool{}
	for name, n := range answering() {
		a := n.Target.Addr().Interface().(command.Answering).Answers()
		what := "What secondpass " + name + " --json prints."
		if a.Lines {
			what = "A line of what secondpass " + name + " --json prints; there may be any number."
		}
		text, err := maker.Of("secondpass "+name, what, command.Based{}, a.Values...)
		if err != nil {
			t.Fatal(err)
		}
		wanted[filepath.Base(schemaFile(n))] = true
		remade(t, "../../docs/"+schemaFile(n), text)
	}
	files, err := os.ReadDir("../../docs/json")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if !wanted[f.Name()] {
			t.Errorf("docs/json/%s is of no command", f.Name())
		}
	}
}

// docs is the folder of the repository in which schemas stand.
const docs = "../../docs"

// schemaOf is the schema of a command, out of a folder.
func schemaOf(folder string, n *kong.Node) (*jsonschema.Schema, error) {
	path, err := filepath.Abs(filepath.Join(folder, schemaFile(n)))
	if err != nil {
		return nil, err
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	return c.Compile(path)
}

// validate says why an answer is not as its schema has it: each line is to be one value, a document the whole.
func validate(s *jsonschema.Schema, answer []byte) (values int, err error) {
	dec := json.NewDecoder(bytes.NewReader(answer))
	dec.UseNumber()
	for dec.More() {
		var v any
		if err := dec.Decode(&v); err != nil {
			return values, fmt.Errorf("no JSON: %w", err)
		}
		if err := s.Validate(v); err != nil {
			return values, err
		}
		values++
	}
	return values, nil
}

// answerExample is a command line whose answer is validated; each may use what those before it have made.
type answerExample struct {
	line, typed string
}

// answerExamples are command lines for every command that has an answer, with each sort of answer that it has.
var answerExamples = []answerExample{
	{line: "version"},
	{line: "config"},
	{line: "fit 3445b 17c 4668d FF J 9d"},
	{line: "fit --variants --top 3 3445b 17c 4668d FF J 9d"},
	{line: "fit -", typed: "3445b 17c 4668d FF J 9d\n20b\n"},
	{line: "deal --seed 5"},
	{line: "deal --seed 5 --jokers 1..2 --best-away 5..6 --no-blind"},
	{line: "deal --rack '3445b 17c 4668d FF J 9d'"},
	{line: "compare --seed 11 --aim Runs --aim Evens"},
	{line: "compare --seed 11 --aim Runs --repeats 20 --save Monday"},
	{line: "compare --seed 5 --incoming table --players nearest --games 2 --save Table"},
	{line: "walk --rack '228b 14699c 7d EW F J' --name Walked", typed: "14c 7d\n"},
	{line: "compare monday"},
	{line: "exercise list"},
	{line: "exercise show Monday"},
	{line: "exercise code Monday"},
	{line: "replies Monday -", typed: "Tom: 2P-2PR4-PBS3\n"},
	{line: "exercise export Monday"},
	{line: "exercise export Table"},
	{line: "exercise export Monday -o monday.json"},
	{line: "exercise rename Table Tuesday"},
	{line: "exercise delete Tuesday"},
	{line: "exercise list --deleted"},
	{line: "exercise restore Tuesday"},
	{line: "exercise import monday.json --name Wednesday"},
	{line: "advise --rack '228b 14699c 7d EW F J' --step first-right --games 50 --players nearest --pass '14c 7d'"},
	{line: "advise --rack '228b 14699c 7d EW F J' --step first-right --games 12 --players nearest --plans"},
	{line: "review Monday --games 2 --players nearest"},
	{line: "match --seats nearest,random,random,random --deals 4"},
	{line: "match --seats nearest,random,random,random --deals 4 --test --effect 0.2"},
	{line: "card list"},
	{line: "card check"},
	{line: "card show"},
	{line: "card expand"},
	{line: "card new"},
	{line: "card new -o own.card"},
	{line: "card compose --no-balance --hands 36"},
	{line: "card compose --character orderly -o other.card"},
	{line: "card tune small.card --games 600"},
	{line: "match --card small.card --seats strong,random,random,random --deals 2"},
	{line: "card list"},
	{line: "card history Mine"},
	{line: "card history Mine 1"},
	{line: "card history Mine 1 --back"},
	{line: "card report --deals 50 --games 4 --aimed 4"},
	{line: "card report --deals 50 --games 4 --aimed 4 --section Runs"},
	{line: "experiment list"},
	{line: "experiment ready"},
	{line: "experiment ready keep-flowers"},
	{line: "experiment check flowers.experiment"},
	{line: "experiment run flowers.experiment"},
	{line: "experiment run --ready keep-flowers --deals 4 -o kept.json"},
	{line: "experiment list"},
	{line: "experiment show kept.json"},
	{line: "experiment export kept.json"},
	{line: "experiment export kept.json -o figures.json"},
	{line: "experiment rows kept.json"},
	{line: "experiment rows kept.json -o rows.csv"},
	{line: "experiment repeat kept.json"},
	{line: "experiment report kept.json"},
	{line: "experiment report kept.json -o page.text"},
	{line: "drill find -n 1 --kind stop --seed 3"},
	{line: "drill list"},
	{line: "drill new --rack '2222b 3333b F N 9c 1d R' --step first-across --seed 3 --answer '9c 1d R' --answer '2b 3b N'"},
	{line: "drill edit 2 --question 'What goes across?'"},
	{line: "drill show 1"},
	{line: "drill show 1 --key"},
	{line: "student add Ana"},
	{line: "student list"},
	{line: "student due Ana"},
	{line: "drill try 1 --student Ana --answer 1 --took 9s"},
	{line: "drill read --student Ana --answer Runs --seed 5"},
	{line: "student record Ana Walked --games 2"},
	{line: "student progress Ana"},
	{line: "student list"},
	{line: "student due Ana"},
	{line: "student export Ana"},
	{line: "student export Ana -o ana.json"},
	{line: "student import ana.json --as Bea"},
	{line: "drill export"},
	{line: "drill export -o some.json"},
	{line: "drill import some.json"},
	{line: "drill key 1 --times 1 --seed 99 --dry-run"},
	{line: "drill renew --card other.card"},
	{line: "lesson new Week"},
	{line: "lesson list"},
	{line: "lesson add Week --drill 1"},
	{line: "lesson add Week --exercise Monday --at 0 --note Think"},
	{line: "lesson show Week"},
	{line: "lesson export Week"},
	{line: "lesson export Week -o week.json"},
	{line: "lesson handout Week -o handout.pdf"},
	{line: "lesson answers Week -o answers.pdf --games 20"},
	{line: "student answers - --student Bea", typed: `{"format":"secondpass answers","version":1,"lesson":"Week","student":"","answers":[{"drill":"0123456789abcdef","answer":"stop","at":"2026-01-02T03:04:05Z","seconds":4}]}`},
	{line: "lesson remove Week 2"},
	{line: "lesson delete Week"},
	{line: "lesson restore 1"},
	{line: "lesson delete Week"},
	{line: "lesson import week.json"},
	{line: "drill delete 1"},
	{line: "drill restore 1"},
	{line: "student delete Ana --yes"},
	{line: "backup -o all.zip"},
	{line: "restore all.zip"},
	{line: "check-data"},
	{line: "check-data -o saved"},
	{line: "rules pass", typed: `{"step":"first-left"}` + "\n"},
	{line: "rules pay", typed: `{"points":25,"winner":"E","discarder":"S","joker_in_hand":true,"hand_can_hold_joker":true}` + "\n{}\n"},
}

// answerFiles are what the examples read.
var answerFiles = map[string]string{
	"flowers.experiment": "experiment \"Keep flowers\"\nasks \"Does it pay?\"\nothers nearest\nmeasure win\nclaim more by 0.5 %\ndeals 4\nway \"passed\" nearest+give=F\nway \"kept\" nearest+keep-flowers\n",
	"small.card":         smallCard,
	// A card of the workbook with a history.
	"data/cards/Mine.card": smallCard,
	"data/cards/history/Mine/000001-20260102T120000Z.earlier": "card Demo\nsection Evens\n25 exposed FFF 22x 444y 66z 8888x\n",
}

const smallCard = "card Small\nsection Evens\n25 exposed FFF 22x 444y 66z 8888x\nsection Runs\n25 exposed 1111x 22x 333y 44y 555z ; slide\n"

// Whatever a command prints for programs is as its schema says, over examples of every command and of each sort of answer; an
// answer that says nothing, or two where one is right, is wrong.
func TestAnswersAreAsTheirSchemas(t *testing.T) {
	nodes, seen := answering(), map[string]bool{}
	schemas := map[string]*jsonschema.Schema{}
	for name, n := range nodes {
		s, err := schemaOf(docs, n)
		if err != nil {
			t.Fatal(err)
		}
		schemas[name] = s
	}
	t.Chdir(t.TempDir())
	for name, text := range answerFiles {
		if err := errors.Join(os.MkdirAll(filepath.Dir(name), 0o700), os.WriteFile(name, []byte(text), 0o600)); err != nil {
			t.Fatal(err)
		}
	}
	for _, e := range answerExamples {
		words := strings.Split(strings.NewReplacer("' ", "'", " '", "'").Replace(e.line), "'")
		var args []string
		for i, part := range words {
			if i%2 == 0 {
				args = append(args, strings.Fields(part)...)
			} else {
				args = append(args, part)
			}
		}
		var g grammar
		parsed, err := newParser(&g, "", io.Discard, io.Discard, func(int) {}).Parse(args)
		if err != nil {
			t.Fatalf("%s: %v", e.line, err)
		}
		name := parsed.Selected().Path()
		if nodes[name] == nil {
			typed(t, "data", e.typed, args...)
			continue
		}
		seen[name] = true
		answer := typed(t, "data", e.typed, append(args, "--json")...)
		n, err := validate(schemas[name], []byte(answer))
		if err != nil {
			t.Errorf("%s: %v\n%.400s", e.line, err, answer)
		}
		if one := !nodes[name].Target.Addr().Interface().(command.Answering).Answers().Lines; n == 0 || one && n != 1 {
			t.Errorf("%s: %d values", e.line, n)
		}
	}
	seen["serve"] = true                                         // see TestServeAnswers
	seen["club"] = true                                          // see TestClub
	seen["work"] = true                                          // see TestWorkFromTheCommandLine
	seen["reader-page"], seen["lesson reader-page"] = true, true // see TestReaderPageAnswers
	for name := range nodes {
		if !seen[name] {
			t.Errorf("no answer of %s was validated", name)
		}
	}
}

// A reader's page is written inside the clone, where the Go tool builds its engine, and answers where it is.
func TestReaderPageAnswers(t *testing.T) {
	dir, file := t.TempDir(), ""
	typed(t, dir, "", "compare", "--seed", "11", "--aim", "Runs", "--save", "Monday")
	typed(t, dir, "", "lesson", "new", "Week", "--ready", "opening")
	for command, args := range map[string][]string{"reader-page": {"Monday"}, "lesson reader-page": {"Week"}} {
		file = filepath.Join(dir, args[0]+".html")
		answer := typed(t, dir, "", append(append(strings.Fields(command), args...), "-o", file, "--json")...)
		s, err := schemaOf(docs, answering()[command])
		if err != nil {
			t.Fatal(err)
		}
		if n, err := validate(s, []byte(answer)); n != 1 || err != nil {
			t.Errorf("%d values, %v: %s", n, err, answer)
		}
	}
	page, err := os.ReadFile(file)
	if err != nil || len(page) > onefile.Most || !strings.Contains(string(page), "Content-Security-Policy") {
		t.Errorf("a page of %d bytes, %v", len(page), err)
	}
}

// A schema refuses what its command does not print: a field more, a field less, a chance above 1, and net points in place of a
// chance, which have no bounds.
func TestSchemasRefuse(t *testing.T) {
	s, err := schemaOf(docs, answering()["match"])
	if err != nil {
		t.Fatal(err)
	}
	answer := commandLine(t, t.TempDir(), "match", "--seats", "nearest,random,random,random", "--deals", "2", "--json")
	if _, err := validate(s, []byte(answer)); err != nil {
		t.Fatal(err)
	}
	for _, wrong := range []struct{ is, was string }{{`{"more":1,"deals"`, `{"deals"`}, {`{`, `{"deals":2,`}, {`"win_share":{"value":1.5`, `"win_share":{"value":0`}, {`"games":"8"`, `"games":8`}} {
		text := strings.Replace(answer, wrong.was, wrong.is, 1)
		if wrong.was == `"win_share":{"value":0` {
			text = regexp.MustCompile(`"win_share":{"value":[0-9.]+`).ReplaceAllString(answer, wrong.is)
		}
		if _, err := validate(s, []byte(text)); err == nil || text == answer {
			t.Errorf("%s goes through: %v", wrong.is, err)
		}
	}
}

// A command without an answer for programs refuses --json.
func TestPeopleOnly(t *testing.T) {
	refused := 0
	for _, n := range Grammar().Leaves(true) {
		if answers(n) {
			continue
		}
		refused++
		var out, complaints bytes.Buffer
		args := append(strings.Fields(n.Path()), "--json")
		for _, p := range n.Positional {
			if p.Required {
				args = append(args, strings.Split(p.Enum+",1", ",")[0])
			}
		}
		if status := Main(args, strings.NewReader(""), &out, &complaints); status != command.ExitInput || out.Len() > 0 || !strings.Contains(complaints.String(), "answers people only") {
			t.Errorf("%q: status %d, %s", args, status, &complaints)
		}
	}
	if refused == 0 {
		t.Error("every command answers programs")
	}
}
