// Package cli is the command line: the grammar of all commands, and the exit status. The commands live in the packages
// below it, one for each subject, but for serve, which opens the browser's workbook. They read arguments, call the desk or
// the packages that do the work, and word what they found; they compute nothing themselves.
package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"reflect"
	"strings"

	"github.com/alecthomas/kong"

	"secondpass/face/cli/cards"
	"secondpass/face/cli/command"
	"secondpass/face/cli/exercises"
	"secondpass/face/cli/experiments"
	"secondpass/face/cli/judging"
	"secondpass/face/cli/practice"
	"secondpass/face/cli/rules"
	"secondpass/face/cli/walking"
	"secondpass/work"
)

// grammar is the whole command line: what every command takes, and the commands.
type grammar struct {
	command.Globals
	Version  versionFlag `help:"Say which version this is; the same as the command version."`
	Commands commands    `kong:"-"` // each is a node of its own, see newParser
}

// commands are named as their fields are, in small letters, or by their name.
type commands struct {
	Serve      serveCmd               `help:"Open the workbook in the browser; the same as no command at all."`
	Club       clubCmd                `help:"Serve a club: many teachers at one address, each with her own workbook."`
	Fit        exercises.Fit          `help:"How near a rack is to every hand of the card."`
	Walk       walking.Walk           `help:"Walk an exercise by hand: pass, see what comes, go back, fork."`
	Compare    exercises.Compare      `help:"Walk one deal along several aims and set the routes side by side."`
	Match      experiments.Match      `help:"Let simulated players meet on the same deals and say who wins more often."`
	Advise     judging.Advise         `help:"Which pass is best, against simulated players, with intervals."`
	Review     judging.Review         `help:"What each decision of a saved route cost, and what was luck."`
	Deal       exercises.Deal         `help:"Deal a rack, at random or to a condition."`
	Card       cards.Card             `help:"Check, show, expand or begin a card."`
	Exercise   exercises.Exercise     `help:"List, show, rename, delete, export or import saved exercises."`
	Replies    exercises.Replies      `help:"Find reply codes in a text, and count what readers did at each step."`
	ReaderPage exercises.ReaderPage   `name:"reader-page" help:"An exercise as one HTML file that anybody walks in a browser."`
	Drill      practice.Drill         `help:"Decisions that teach: find, try, key again, renew for another card."`
	Lesson     practice.Lesson        `help:"Lessons of exercises and drills: handouts, answer sheets, drills for a phone."`
	Student    practice.Student       `help:"Students by name: their progress, what is due, their data."`
	Experiment experiments.Experiment `help:"Put a question to many deals: check, run, show, export or repeat an experiment."`
	Study      experiments.Experiment `hidden:"" help:"The earlier name of experiment."`
	Work       workCmd                `help:"Join the workers that do long work for other machines, or see who has."`
	Backup     backupCmd              `help:"Put all that is kept into one file, also while the workbook is open."`
	Restore    restoreCmd             `help:"Put what is in a backup in place of what is kept."`
	CheckData  checkDataCmd           `name:"check-data" help:"Read all that is kept back, and say what is damaged."`
	Rules      rules.Rules            `help:"Work out passes and payments, for scripts and referees."`
	Config     configCmd              `help:"Where the configuration is looked for, and what it says."`
	Completion completionCmd          `help:"What a shell needs to complete commands, flags and names with the tab key."`
	Man        manCmd                 `help:"All of this as a page for man."`
	Versions   versionCmd             `name:"version" help:"Version, commit, compiler and processor of this program; --version is the same."`
}

// newParser reads command lines into a grammar: of all commands, or of the one of this name alone. All of them take several times
// as long to prepare as everything else that is done at a start.
func newParser(g *grammar, only string, stdout, stderr io.Writer, exit func(int)) *kong.Kong {
	options := []kong.Option{kong.Name(program), kong.Writers(stdout, stderr), kong.Exit(exit), kong.Description(strings.ToUpper(title[:1]) + title[1:] + ". " + about),
		kong.Help(func(_ kong.HelpOptions, ctx *kong.Context) error {
			selected := ctx.Selected()
			if selected == nil {
				selected = ctx.Model.Node
			}
			printHelp(ctx.Stdout, selected)
			return nil
		})}
	all := reflect.ValueOf(&g.Commands).Elem()
	for i := range all.NumField() {
		field := all.Type().Field(i)
		name := commandName(field)
		if only != "" && only != name {
			continue
		}
		var tags []string
		if _, hidden := field.Tag.Lookup("hidden"); hidden {
			tags = append(tags, `hidden:""`)
		}
		command.GrowRules(all.Field(i))
		options = append(options, kong.DynamicCommand(name, field.Tag.Get("help"), "", all.Field(i).Addr().Interface(), tags...))
	}
	parser, err := kong.New(g, options...)
	if err != nil {
		panic(err) // the grammar itself is wrong; every test would show it
	}
	return parser
}

func commandName(field reflect.StructField) string {
	if name, ok := field.Tag.Lookup("name"); ok {
		return name
	}
	return strings.ToLower(field.Name)
}

// named is the command that a command line begins with, or nothing.
func named(args []string) string {
	all := reflect.TypeFor[commands]()
	for i := range all.NumField() {
		if name := commandName(all.Field(i)); len(args) > 0 && args[0] == name {
			return name
		}
	}
	return ""
}

// Grammar is the tree of all commands with their flags and help.
func Grammar() *kong.Node {
	return newParser(new(grammar), "", io.Discard, io.Discard, func(int) {}).Model.Node
}

// Check says why a command line cannot be read, or nil, without running it.
func Check(args []string) error {
	parsed, err := newParser(new(grammar), "", io.Discard, io.Discard, func(int) {}).Parse(args)
	if err == nil {
		_, err = given(parsed)
	}
	return refused(err)
}

// Main runs one command line and returns the exit status.
func Main(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	var g grammar
	status := -1
	out, unnamed := command.NewOutput(stdout), len(args) == 0
	switch {
	case isCompletion(args):
		return complete(args, stdout)
	case unnamed:
		args = []string{"serve"}
	case len(args) == 1 && args[0] == "--version":
		args = []string{"version"}
	case args[0] == "help":
		args = append(append([]string{}, args[1:]...), "--help")
	}
	parsed, err := parse(&g, args, out, stderr, func(code int) { status = code })
	g.Commands.Serve.Unnamed = unnamed
	if status >= 0 { // help was asked for and printed
		return status
	}
	if branch := unfinished(err); branch != nil {
		printHelp(out, branch)
		return command.ExitDone
	}
	var flags []string
	if err == nil {
		flags, err = given(parsed)
	} else {
		err = refused(err)
	}
	if err == nil {
		g.Stdin, g.Stdout, g.Stderr = stdin, out, stderr
		done := g.Heed(func() {
			g.RemoveUnwritten()
			fmt.Fprintln(stderr)
			Exit(command.ExitInterrupted)
		})
		g.Flags = flags
		if err = run(&g.Globals, parsed); err == nil && out.Err() != nil {
			err = command.Failed(fmt.Errorf("the output could not be written: %w", out.Err()))
		}
		g.RemoveUnwritten()
		if done() && !g.Serving {
			complain(stderr, err)
			return command.ExitInterrupted
		}
	}
	if err == nil {
		return command.ExitDone
	}
	complain(stderr, err)
	if unnamed {
		tellInBrowser(stderr, err)
	}
	if f := (command.Failure{}); errors.As(err, &f) {
		return command.ExitFailed
	}
	return command.ExitInput
}

// parse reads a command line by the grammar of the command it begins with, or by all of it where there is none or it cannot be read:
// what is wrong is told by the whole.
func parse(g *grammar, args []string, stdout, stderr io.Writer, exit func(int)) (*kong.Context, error) {
	if only := named(args); only != "" {
		helped := false
		parsed, err := newParser(g, only, stdout, stderr, func(code int) { helped = true; exit(code) }).Parse(args)
		if err == nil || helped {
			return parsed, err
		}
		*g = grammar{}
	}
	return newParser(g, "", stdout, stderr, exit).Parse(args)
}

// run runs a command that was read, and says what it rested on that nobody asked for.
func run(g *command.Globals, parsed *kong.Context) error {
	g.Seeded = g.Given("seed")
	if err := g.Configure(g.Given("card")); err != nil {
		return err
	}
	if g.JSON {
		if !answers(parsed.Selected()) {
			return fmt.Errorf("--json: secondpass %s answers people only; leave it out", parsed.Selected().Path())
		}
		g.Stdout = command.Verbatim(g.Stdout)
	}
	if strings.HasPrefix(parsed.Command(), "study ") {
		g.Remark("secondpass: study is called experiment now; the command is the same otherwise")
	}
	sent := &sender{g: g}
	g.Context = work.WithWorkers(g.Context, sent)
	err := parsed.Run(g)
	sent.close()
	if err == nil && !g.Serving {
		g.TellBasis()
	}
	return err
}

// answers says whether a command has an answer for programs.
func answers(n *kong.Node) bool {
	_, ok := n.Target.Addr().Interface().(command.Answering)
	return ok
}

// complain says what went wrong; that Ctrl-C was pressed at a prompt is known to whoever did.
func complain(stderr io.Writer, err error) {
	if err == nil || errors.Is(err, command.ErrInterrupted) {
		return
	}
	if errors.Is(err, context.Canceled) {
		err = command.ErrStopped
	}
	for line := range strings.Lines(err.Error()) {
		fmt.Fprintf(stderr, "secondpass: %s\n", strings.TrimRight(line, "\n"))
	}
}

// Exit ends the process with a status. Who pressed Ctrl-C at a terminal meant the shell's loop too, which ends where the
// process dies of the signal; the shell then calls the status 130. Programs that sent the signal see that number.
// Source: M. Cracauer, Proper handling of SIGINT/SIGQUIT.
func Exit(status int) {
	if status == command.ExitInterrupted {
		dieOfInterrupt()
	}
	os.Exit(status)
}

// unfinished is the command at which a command line ended where one of those below it is to be named; nil for all else.
func unfinished(err error) *kong.Node {
	var refused *kong.ParseError
	if !errors.As(err, &refused) || refused.Context.Error != nil {
		return nil
	}
	if n := refused.Context.Selected(); n != nil && len(n.Children) > 0 {
		return n
	}
	return nil
}
