// Package cli is the commands of secondpass. It reads arguments, calls the packages that do
// the work, and words what they found; it computes nothing itself.
package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"reflect"
	"slices"
	"strings"

	"github.com/adrg/xdg"
	"github.com/alecthomas/kong"

	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/store/files"
	"secondpass/store/sql"
)

// The exit statuses.
const (
	exitDone   = 0
	exitFailed = 1 // the work failed
	exitInput  = 2 // the input or the arguments are wrong
)

// grammar is the whole command line.
type grammar struct {
	Globals

	Serve      serveCmd      `cmd:"" help:"Open the workbook in the browser; the same as no command at all."`
	Fit        fitCmd        `cmd:"" help:"How near a rack is to every hand of the card."`
	Walk       walkCmd       `cmd:"" help:"Walk an exercise by hand: pass, see what comes, go back, fork."`
	Compare    compareCmd    `cmd:"" help:"Walk one deal along several aims and set the routes side by side."`
	Match      matchCmd      `cmd:"" help:"Let simulated players meet on the same deals and say who wins more often."`
	Advise     adviseCmd     `cmd:"" help:"Which pass is best, against simulated players, with intervals."`
	Review     reviewCmd     `cmd:"" help:"What each decision of a saved route cost, and what was luck."`
	Deal       dealCmd       `cmd:"" help:"Deal a rack, at random or to a condition."`
	Card       cardCmd       `cmd:"" help:"Check, show, expand or begin a card."`
	Exercise   exerciseCmd   `cmd:"" help:"List, show, rename, delete, export or import saved exercises."`
	Drill      drillCmd      `cmd:"" help:"Decisions that teach: find, try, key again, renew for another card."`
	Lesson     lessonCmd     `cmd:"" help:"Lessons of exercises and drills: handouts, answer sheets, drills for a phone."`
	Student    studentCmd    `cmd:"" help:"Students by name: their progress, what is due, their data."`
	Experiment experimentCmd `cmd:"" help:"Put a question to many deals: check, run, show, export or repeat an experiment."`
	Study      experimentCmd `cmd:"" hidden:"" help:"The earlier name of experiment."`
	Rules      rulesCmd      `cmd:"" help:"Work out passes and payments, for scripts and referees."`
}

// Globals are the flags that every command takes.
type Globals struct {
	Data  string `placeholder:"DIR" help:"Folder of saved exercises and cards."`
	Seed  uint64 `default:"1" help:"Seed of everything drawn at random; what is judged of a saved exercise goes by its own seed unless this is given."`
	Card  string `default:"Lantern" placeholder:"FILE|NAME" help:"Card to use: a file, a card in the data folder, or Lantern, the practice card."`
	JSON  bool   `name:"json" help:"Machine-readable output."`
	Quiet bool   `help:"No progress and no remarks."`

	// seeded says that --seed was given.
	seeded bool
	ctx    context.Context
	stdin  io.Reader
	stdout io.Writer
	stderr io.Writer
}

// carefulWriter remembers the first error of writing, so that a full disk fails the command whichever
// line it met.
type carefulWriter struct {
	w   io.Writer
	err error
}

func (c *carefulWriter) Write(p []byte) (int, error) {
	n, err := c.w.Write(p)
	if c.err == nil {
		c.err = err
	}
	return n, err
}

// failure marks an error of the work, as against one of the input.
type failure struct{ error }

func (f failure) Unwrap() error { return f.error }

// newParser reads command lines into a grammar.
func newParser(g *grammar, stdout, stderr io.Writer, exit func(int)) *kong.Kong {
	growRules(reflect.ValueOf(g).Elem())
	parser, err := kong.New(g, kong.Name("secondpass"), kong.Writers(stdout, stderr), kong.Exit(exit),
		kong.Description("The exercise book for American mahjong: deal a rack, try several routes through the passing, compare what is left. Use a card you own."),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, WrapUpperBound: 80}))
	if err != nil {
		panic(err) // the grammar itself is wrong; every test would show it
	}
	return parser
}

// Grammar is the tree of all commands with their flags and help.
func Grammar() *kong.Node {
	return newParser(new(grammar), io.Discard, io.Discard, func(int) {}).Model.Node
}

// Check says why a command line cannot be read, or nil, without running it.
func Check(args []string) error {
	_, err := newParser(new(grammar), io.Discard, io.Discard, func(int) {}).Parse(args)
	return err
}

// Main runs one command line and returns the exit status.
func Main(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	var g grammar
	status := -1
	parser := newParser(&g, stdout, stderr, func(code int) { status = code })
	switch {
	case len(args) == 0:
		args = []string{"serve"}
	case args[0] == "help":
		args = append(append([]string{}, args[1:]...), "--help")
	}
	command, err := parser.Parse(args)
	if status >= 0 { // help was asked for and printed
		return status
	}
	if err == nil {
		ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
		defer stop()
		out := &carefulWriter{w: stdout}
		g.ctx, g.stdin, g.stdout, g.stderr = ctx, stdin, out, stderr
		g.seeded = slices.ContainsFunc(command.Path, func(p *kong.Path) bool { return p.Flag != nil && p.Flag.Name == "seed" })
		if strings.HasPrefix(command.Command(), "study ") {
			g.remark("secondpass: study is called experiment now; the command is the same otherwise")
		}
		if err = command.Run(&g.Globals); err == nil && out.err != nil {
			err = failure{fmt.Errorf("the output could not be written: %w", out.err)}
		}
	}
	if err == nil {
		return exitDone
	}
	for line := range strings.Lines(err.Error()) {
		fmt.Fprintf(stderr, "secondpass: %s\n", strings.TrimRight(line, "\n"))
	}
	if f := (failure{}); errors.As(err, &f) {
		return exitFailed
	}
	return exitInput
}

// dataDir is the user's data folder.
func (g *Globals) dataDir() string {
	if g.Data != "" {
		return g.Data
	}
	return filepath.Join(xdg.DataHome, "secondpass")
}

// store opens the database of exercises.
func (g *Globals) store() (store.Store, error) {
	s, err := sql.Open(g.dataDir())
	if err != nil {
		return nil, failure{err}
	}
	return s, nil
}

// inputError is an error of the input that comes up inside work with the store.
type inputError struct{ error }

// storeError marks what went wrong inside the store; unknown and taken names are the user's.
func storeError(err error) error {
	input := inputError{}
	if err == nil || errors.As(err, &input) {
		return err
	}
	for _, users := range []error{store.ErrNotFound, store.ErrNameTaken, store.ErrNoDrill, store.ErrNoStudent, store.ErrNoLesson} {
		if errors.Is(err, users) {
			return err
		}
	}
	return failure{err}
}

// files is what stands in files of the data folder.
func (g *Globals) files() store.Files {
	return files.In(g.dataDir(), func(sentence string) { g.remark("secondpass: warning: %s", sentence) })
}

// loadCard reads the card asked for, checked against a set of tiles.
func (g *Globals) loadCard(set tile.Set) (*card.Card, error) {
	return g.readCard(g.Card, set)
}

func (g *Globals) readCard(name string, set tile.Set) (*card.Card, error) {
	if strings.EqualFold(name, card.Practice().Name) {
		if set == tile.Usual {
			return card.Practice(), nil
		}
		return g.parseCard("Lantern", []byte(card.PracticeText), set)
	}
	path, data, err := g.findCard(name)
	if err != nil {
		return nil, err
	}
	return g.parseCard(path, data, set)
}

func (g *Globals) findCard(name string) (path string, data []byte, err error) {
	data, err = os.ReadFile(name)
	if err == nil {
		return name, data, nil
	}
	if !errors.Is(err, os.ErrNotExist) {
		return name, nil, fmt.Errorf("card %q cannot be read: %w", name, err)
	}
	if !strings.ContainsAny(name, `/\`) {
		if data, err := g.files().Cards.Text(name); err == nil {
			return g.files().Cards.Where(name), data, nil
		}
	}
	return name, nil, fmt.Errorf("no card %q: give a card file, the name of one in %s, or Lantern", name, g.files().Cards.Where(""))
}

func (g *Globals) parseCard(path string, data []byte, set tile.Set) (*card.Card, error) {
	c, warnings, err := card.Read(path, data, set)
	if !g.Quiet {
		for _, w := range warnings {
			fmt.Fprintf(g.stderr, "secondpass: warning: %s\n", w.Error())
		}
	}
	return c, err
}

// loadHands reads the card asked for and refuses one without hands.
func (g *Globals) loadHands(set tile.Set) (*card.Card, error) {
	c, err := g.loadCard(set)
	if err == nil && len(c.Hands) == 0 {
		err = fmt.Errorf("card %q has no hands yet; write its hands down first (secondpass card new shows how)", c.Name)
	}
	return c, err
}

// remark prints a line on standard error unless --quiet.
func (g *Globals) remark(format string, args ...any) {
	if !g.Quiet {
		fmt.Fprintf(g.stderr, format+"\n", args...)
	}
}
