package cli

import (
	"io"

	"github.com/alecthomas/kong"

	"secondpass/face/cli/command"
	"secondpass/face/cli/manual"
)

const (
	program = "secondpass"
	title   = "the exercise book for American mahjong"
	about   = "Deal a rack, try several routes through the passing, compare what is left. Use a card you own. Without a command the workbook opens in the browser."
)

// printHelp prints the help of the command that was named, or of the program.
func printHelp(w io.Writer, n *kong.Node) {
	every := manual.Of(root(n)).Flags
	if n.Type == kong.ApplicationNode {
		every = nil
	}
	manual.PrintHelp(w, program, manual.Of(n), every)
}

func root(n *kong.Node) *kong.Node {
	for n.Parent != nil {
		n = n.Parent
	}
	return n
}

// wholeManual is the manual of the program.
func wholeManual() *manual.Manual {
	return &manual.Manual{Program: program, Version: command.Version().Version, Title: title, Root: manual.Of(Grammar()), Sections: []manual.Section{
		{Title: "Exit status", Entries: []manual.Entry{
			{Name: "0", Help: "Done."},
			{Name: "1", Help: "The work failed."},
			{Name: "2", Help: "The input or the arguments are wrong; nothing stands on standard output."},
			{Name: "130", Help: "Interrupted, with what was done so far."},
		}},
		{Title: "Environment", Entries: []manual.Entry{
			{Name: "XDG_DATA_HOME", Help: "Where the data folder secondpass stands, unless --data or the configuration names another; without it the usual place of the system, on Linux ~/.local/share."},
			{Name: "XDG_CONFIG_HOME", Help: "Where the folder secondpass with the configuration config.toml stands; without it the usual place of the system, on Linux ~/.config. The command config says where that is."},
			{Name: "COLUMNS", Help: "How wide the terminal is, where it does not say so itself or another width is wanted. Output that goes to no terminal keeps to 80 columns."},
			{Name: "NO_COLOR", Help: "The program prints no colours, so that there are none to turn off."},
		}},
	}}
}

// manCmd is the command man.
type manCmd struct{}

// Help says how it is read and put in place.
func (manCmd) Help() string {
	return "In the folder ~/.local/share/man/man1 man finds it by the name secondpass; elsewhere by its path:\n  secondpass man > secondpass.1\n  man ./secondpass.1"
}

func (c *manCmd) Run(g *command.Globals) error {
	wholeManual().WriteMan(command.Verbatim(g.Stdout))
	return nil
}
