package cli

import (
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"secondpass/face/cli/command"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"secondpass": func() { Exit(Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) },
	})
}

// The scripts in testdata run the commands as a user would: arguments, standard input, files, exit
// status, and what is printed.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata",
		Setup: func(e *testscript.Env) error {
			e.Setenv("XDG_DATA_HOME", e.WorkDir+"/data")
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"status":  checkStatus,
			"columns": checkColumns,
			"jsonl":   checkJSONLines,
		},
	})
}

// checkStatus runs "status N secondpass ARGS..." and wants exit status N; with status 2 nothing may
// be on standard output, and every line on standard error must say whose it is.
func checkStatus(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status N COMMAND ARGS...")
	}
	got := command.ExitDone
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if want := args[0]; want != strconv.Itoa(got) {
		ts.Fatalf("exit status %d, want %s", got, want)
	}
	if got != command.ExitInput {
		return
	}
	complaints := ts.ReadFile("stderr")
	if out := ts.ReadFile("stdout"); out != "" || complaints == "" {
		ts.Fatalf("wrong input: %q on standard output, %q on standard error", out, complaints)
	}
	for line := range strings.Lines(complaints) {
		if !strings.HasPrefix(line, "secondpass: ") {
			ts.Fatalf("a line of the message does not say whose it is: %q", line)
		}
	}
}

// checkColumns wants no line of a file wider than so many characters: columns stdout 80.
func checkColumns(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: columns FILE")
	}
	for line := range strings.Lines(ts.ReadFile(args[0])) {
		if n := len([]rune(strings.TrimRight(line, "\n"))); n > command.PageWidth {
			ts.Fatalf("%d columns, %d are the most: %s", n, command.PageWidth, line)
		}
	}
}

// checkJSONLines wants every line of a file to be a JSON value.
func checkJSONLines(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: jsonl FILE")
	}
	text := ts.ReadFile(args[0])
	if text == "" {
		ts.Fatalf("%s is empty", args[0])
	}
	for line := range strings.Lines(text) {
		if !json.Valid([]byte(line)) {
			ts.Fatalf("no JSON: %s", line)
		}
	}
}
