package cli

import (
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/alecthomas/kong"
	"github.com/spf13/cobra"

	"secondpass/face/cli/command"
	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/store"
	"secondpass/store/sql"
	"secondpass/teach/drill"
)

// completionCmd is the command completion.
type completionCmd struct {
	Shell string `arg:"" enum:"bash,zsh,fish,powershell" help:"The shell: bash, zsh, fish or powershell."`
}

// Help says where shells look for it.
func (completionCmd) Help() string {
	return `Commands, flags and what they can be told are then completed with the tab key, names of what is kept too. Where the shells look for it:
  secondpass completion bash > ~/.local/share/bash-completion/completions/secondpass
  secondpass completion zsh > ~/.zfunc/_secondpass
  secondpass completion fish > ~/.config/fish/completions/secondpass.fish
  secondpass completion powershell > secondpass.ps1
For zsh the folder ~/.zfunc must be in fpath before compinit; for PowerShell the profile must read the file.`
}

func (c *completionCmd) Run(g *command.Globals) error {
	root, out := completed(Grammar()), command.Verbatim(g.Stdout)
	var err error
	switch c.Shell {
	case "bash":
		err = root.GenBashCompletionV2(out, true)
	case "zsh":
		err = root.GenZshCompletion(out)
	case "fish":
		err = root.GenFishCompletion(out, true)
	default:
		err = root.GenPowerShellCompletionWithDesc(out)
	}
	if err != nil {
		return command.Failed(err)
	}
	return nil
}

// isCompletion says whether a command line is the question of a shell's script for what can come next.
func isCompletion(args []string) bool {
	return len(args) > 0 && (args[0] == cobra.ShellCompRequestCmd || args[0] == cobra.ShellCompNoDescRequestCmd)
}

// complete answers such a question. What goes wrong is no completion.
func complete(args []string, stdout io.Writer) int {
	root := completed(Grammar())
	root.SetArgs(args)
	root.SetOut(stdout)
	root.SetErr(io.Discard)
	if root.Execute() != nil {
		return command.ExitInput
	}
	return command.ExitDone
}

// completed is a command of the grammar and those below it, as the library that completes them has them.
func completed(n *kong.Node) *cobra.Command {
	c := &cobra.Command{Use: n.Name, Short: n.Help, Hidden: n.Hidden, ValidArgsFunction: func(c *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
		return argumentNext(n, args, asking(c))
	}}
	c.CompletionOptions.DisableDefaultCmd = true
	c.SetHelpCommand(&cobra.Command{Hidden: true})
	flags := c.Flags()
	if n.Type == kong.ApplicationNode {
		flags = c.PersistentFlags()
	}
	for _, f := range n.Flags {
		if f.Hidden || f.Name == "help" {
			continue
		}
		short := strings.Trim(string(f.Short), "\x00")
		if f.IsBool() {
			flags.BoolP(f.Name, short, false, f.Help)
			continue
		}
		flags.StringArrayP(f.Name, short, nil, f.Help)
		_ = c.RegisterFlagCompletionFunc(f.Name, func(c *cobra.Command, _ []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
			return flagNext(f, asking(c))
		}) // it is there
	}
	for _, below := range n.Children {
		c.AddCommand(completed(below))
	}
	if len(n.Children) == 0 {
		c.Run = func(*cobra.Command, []string) {}
	}
	return c
}

// asking is whose names are asked for: those of the data folder that the command line at hand names, or the usual one.
func asking(c *cobra.Command) *command.Globals {
	g := &command.Globals{Quiet: true, Stdout: io.Discard, Stderr: io.Discard}
	_ = g.Configure(false) // a wrong one names nothing
	if data, err := c.Flags().GetStringArray("data"); err == nil && len(data) > 0 {
		g.Data = data[len(data)-1]
	}
	return g
}

// argumentNext is what can come after some arguments of a command.
func argumentNext(n *kong.Node, args []string, g *command.Globals) ([]cobra.Completion, cobra.ShellCompDirective) {
	if len(n.Positional) == 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	p := n.Positional[min(len(args), len(n.Positional)-1)]
	if len(args) >= len(n.Positional) && !p.IsCumulative() {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	if p.Enum != "" {
		return p.EnumSlice(), cobra.ShellCompDirectiveNoFileComp
	}
	parent := n.Parent.Name
	if n.Parent.Type == kong.ApplicationNode {
		parent = n.Name
	}
	names := namesOf(p.Name, parent, g)
	if p.Name == "file" || p.Name == "result" || p.Name == "results" {
		return names, cobra.ShellCompDirectiveDefault
	}
	return names, cobra.ShellCompDirectiveNoFileComp
}

// flagNext is what a flag can be told.
func flagNext(f *kong.Flag, g *command.Globals) ([]cobra.Completion, cobra.ShellCompDirective) {
	switch {
	case f.Enum != "":
		return slices.DeleteFunc(f.EnumSlice(), func(s string) bool { return s == "" }), cobra.ShellCompDirectiveNoFileComp
	case f.PlaceHolder == "DIR":
		return nil, cobra.ShellCompDirectiveFilterDirs
	case f.Name == "card" || f.Name == "from" && strings.Contains(f.PlaceHolder, "FILE"):
		return namesOf("file", "card", g), cobra.ShellCompDirectiveDefault
	case strings.Contains(f.PlaceHolder, "FILE"):
		return nil, cobra.ShellCompDirectiveDefault
	}
	return namesOf(f.Name, "", g), cobra.ShellCompDirectiveNoFileComp
}

// namesOf is what there is of a sort, as the arguments and flags are called that take it; of says whose command it is.
func namesOf(sort, of string, g *command.Globals) (names []cobra.Completion) {
	switch {
	case sort == "exercise":
		keptNames(g, func(s store.Store) error {
			list, err := s.List(false)
			for _, e := range list {
				names = append(names, e.Name)
			}
			return err
		})
	case sort == "student":
		keptNames(g, func(s store.Store) error {
			list, err := s.Students()
			for _, st := range list {
				names = append(names, st.Name)
			}
			return err
		})
	case sort == "lesson":
		keptNames(g, func(s store.Store) error {
			list, err := s.Lessons()
			for _, l := range list {
				names = append(names, l.Title)
			}
			return err
		})
	case (sort == "file" || sort == "name") && of == "card":
		own, _ := g.Files().Cards.List()
		names = append(own, card.Practice().Name)
	case sort == "result" || sort == "results" || sort == "resume":
		list, _ := g.Files().Results.List()
		for _, r := range list {
			names = append(names, r.Name)
		}
	case sort == "ready" || sort == "name" && of == "experiment":
		for _, r := range experiment.ReadyMade() {
			names = append(names, r.Name)
		}
	case sort == "kind":
		for _, k := range drill.Kinds {
			names = append(names, string(k))
		}
	}
	return names
}

// keptNames looks into the data folder, if there is one: asking for names makes none.
func keptNames(g *command.Globals, look func(store.Store) error) {
	if _, err := os.Stat(filepath.Join(g.DataDir(), sql.FileName)); err == nil {
		_ = g.WithStore(look) // what cannot be read is not completed
	}
}
