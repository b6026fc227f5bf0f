package cli

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/adrg/xdg"
	"github.com/rogpeppe/go-internal/testscript"

	"secondpass/face/cli/command"
)

func TestMain(m *testing.M) {
	testscript.Main(unconfigured{m}, map[string]func(){
		"secondpass": func() { Exit(validated(os.Args[1:], os.Stdout)) },
	})
}

// unconfigured runs tests without the configuration of whoever runs them, and with a cache of their own, which all share: what games
// have shown of a table is played once.
type unconfigured struct{ *testing.M }

func (u unconfigured) Run() int {
	if cache, err := os.UserCacheDir(); err == nil && os.Getenv("GOCACHE") == "" { // programs are still built from what is built
		os.Setenv("GOCACHE", filepath.Join(cache, "go-build"))
	}
	dir, err := os.MkdirTemp("", "unconfigured")
	if err == nil {
		defer os.RemoveAll(dir)
		err = errors.Join(os.Setenv("XDG_CONFIG_HOME", dir), os.Setenv("XDG_CACHE_HOME", filepath.Join(dir, "cache")))
	}
	if err != nil {
		panic(err)
	}
	xdg.Reload()
	if signal.Ignored(os.Interrupt) { // as a shell starts what is to run in the background; then programs started here would ignore it too
		signal.Notify(make(chan os.Signal, 1), os.Interrupt)
	}
	return u.M.Run()
}

// schemaFolder names the folder of schemas by which every answer in a script is validated.
const schemaFolder = "TEST_SCHEMAS"

// validated is Main in a script; an answer for programs that is not as its schema says ends the script.
func validated(args []string, stdout *os.File) int {
	folder := os.Getenv(schemaFolder)
	var g grammar
	parsed, err := newParser(&g, "", io.Discard, io.Discard, func(int) {}).Parse(args)
	if folder == "" || err != nil || parsed.Selected() == nil || !g.JSON || !answers(parsed.Selected()) {
		return Main(args, os.Stdin, stdout, os.Stderr)
	}
	var answer bytes.Buffer
	status := Main(args, os.Stdin, io.MultiWriter(stdout, &answer), os.Stderr)
	s, err := schemaOf(folder, parsed.Selected())
	if err == nil {
		_, err = validate(s, answer.Bytes())
	}
	if err != nil {
		fmt.Fprintf(os.Stderr, "%q: %v\n", args, err)
		return 99
	}
	return status
}

// The scripts in testdata run the commands as a user would: arguments, standard input, files, exit
// status, and what is printed.
func TestScripts(t *testing.T) {
	schemas, err := filepath.Abs("../../docs")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir: "testdata",
		Setup: func(e *testscript.Env) error {
			e.Setenv("XDG_DATA_HOME", e.WorkDir+"/data")
			e.Setenv("XDG_CONFIG_HOME", e.WorkDir+"/config")
			e.Setenv("XDG_CACHE_HOME", os.Getenv("XDG_CACHE_HOME"))
			e.Setenv(schemaFolder, schemas)
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
