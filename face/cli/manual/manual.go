// Package manual describes the command line to people: it reads the grammar once, and prints what it read as help, as a man
// page and as the page of all commands. It knows no command; face/cli gives it the grammar.
package manual

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"github.com/alecthomas/kong"
)

// Command is a command as it is described.
type Command struct {
	// Path is its name with those of the commands above it, without the program's: "card", "tune".
	Path []string
	// Usage is its form, after the program's name.
	Usage string
	// Summary is a sentence on what it does. Detail says more: paragraphs, with blanks before what stands as it is.
	Summary, Detail string
	Arguments       []Entry
	// Flags are its own, by group; those of every command stand with the program alone.
	Flags []Group
	// Commands are those below it.
	Commands []*Command
}

// Group is flags that belong together.
type Group struct {
	Title string
	Flags []Entry
}

// Entry is an argument, flag or command: how it is written, and what it is.
type Entry struct{ Name, Help string }

// ownFlags is the title of flags that are in no group, everyFlags that of those that every command takes.
const (
	ownFlags   = "Flags"
	everyFlags = "Flags of every command"
)

// Of describes a command of the grammar and all below it.
func Of(n *kong.Node) *Command {
	c := &Command{Summary: n.Help, Detail: n.Detail, Path: path(n), Usage: usage(n)}
	for _, p := range n.Positional {
		c.Arguments = append(c.Arguments, Entry{argument(p), p.Help})
	}
	for _, f := range n.Flags {
		if f.Hidden {
			continue
		}
		title := ownFlags
		switch {
		case f.Group != nil:
			title = f.Group.Title
		case n.Type == kong.ApplicationNode:
			title = everyFlags
		}
		c.add(title, Entry{flagName(f), flagHelp(f)})
	}
	for _, child := range n.Children {
		if !child.Hidden {
			c.Commands = append(c.Commands, Of(child))
		}
	}
	return c
}

func (c *Command) add(group string, flag Entry) {
	i := slices.IndexFunc(c.Flags, func(g Group) bool { return g.Title == group })
	if i < 0 {
		i = len(c.Flags)
		c.Flags = append(c.Flags, Group{Title: group})
	}
	c.Flags[i].Flags = append(c.Flags[i].Flags, flag)
}

// Name is how the command is typed, with the program's name.
func (c *Command) Name(program string) string {
	return strings.Join(append([]string{program}, c.Path...), " ")
}

// Leaves are the commands below that do something, in order.
func (c *Command) Leaves() []*Command {
	if len(c.Commands) == 0 {
		return []*Command{c}
	}
	var all []*Command
	for _, below := range c.Commands {
		all = append(all, below.Leaves()...)
	}
	return all
}

func path(n *kong.Node) []string {
	if n.Type == kong.ApplicationNode {
		return nil
	}
	return append(path(n.Parent), n.Name)
}

func usage(n *kong.Node) string {
	words := path(n)
	switch {
	case n.Type == kong.ApplicationNode:
		words = append(words, "[COMMAND]")
	case len(n.Children) > 0:
		words = append(words, "COMMAND")
	}
	for _, p := range n.Positional {
		words = append(words, argument(p))
	}
	for _, f := range n.Flags {
		if f.Required {
			words = append(words, flagName(f))
		}
	}
	return strings.Join(append(words, "[flags]"), " ")
}

// argument is how an argument is written.
func argument(p *kong.Positional) string {
	name := strings.ToUpper(p.Name)
	if p.IsCumulative() {
		name += " ..."
	}
	if !p.Required {
		name = "[" + name + "]"
	}
	return name
}

// flagName is how a flag is written: -n, --count N.
func flagName(f *kong.Flag) string {
	name := "--" + f.Name
	if f.Short != 0 {
		name = fmt.Sprintf("-%c, %s", f.Short, name)
	}
	if f.IsBool() {
		return name
	}
	value := f.PlaceHolder
	if value == "" && f.Enum != "" {
		value = strings.Trim(strings.ReplaceAll(f.Enum, ",", "|"), "|")
	}
	switch kind := f.Target.Kind(); {
	case value != "":
	case kind >= reflect.Int && kind <= reflect.Float64:
		value = "N"
	default:
		value = "TEXT"
	}
	return name + " " + value
}

// flagHelp is what a flag means, and what holds without it.
func flagHelp(f *kong.Flag) string {
	help := f.Help
	if f.Name == "help" {
		help = "Say what a command does and what it can be told."
	}
	if f.HasDefault && f.Default != "" && !f.IsBool() {
		help += fmt.Sprintf(" Without it: %s.", f.Default)
	}
	return help
}
