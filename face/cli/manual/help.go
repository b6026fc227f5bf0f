package manual

import (
	"fmt"
	"io"
	"strings"

	"github.com/mattn/go-runewidth"

	"secondpass/face/cli/command"
)

// nameColumns is the most that a name takes on the line of its help; help of longer names stands below them.
const nameColumns = 24

// PrintHelp prints the help of a command as wide as w is. every is the flags of every command, which stand last.
func PrintHelp(w io.Writer, program string, c *Command, every []Group) {
	fmt.Fprintln(w, command.Wrap(w, "Usage: "+program+" "+c.Usage, 4))
	printText(w, c.Summary)
	printText(w, c.Detail)
	printEntries(w, "Arguments", c.Arguments)
	var below []Entry
	for _, b := range c.Commands {
		below = append(below, Entry{b.Path[len(b.Path)-1], b.Summary})
	}
	printEntries(w, "Commands", below)
	for _, g := range append(append([]Group{}, c.Flags...), every...) {
		printEntries(w, g.Title, g.Flags)
	}
	if len(below) > 0 {
		fmt.Fprintf(w, "\n%s\n", command.Wrap(w, "More of one of them, for example: "+c.Commands[0].Name(program)+" --help", 0))
	}
}

// printText prints paragraphs; lines that begin with a blank stay as they are.
func printText(w io.Writer, text string) {
	for _, p := range paragraphs(text) {
		if !p.joined {
			fmt.Fprintln(w)
		}
		if p.example {
			fmt.Fprintln(w, command.Hanging(w, p.text))
		} else {
			fmt.Fprintln(w, command.Wrap(w, p.text, 0))
		}
	}
}

func printEntries(w io.Writer, title string, entries []Entry) {
	if len(entries) == 0 {
		return
	}
	fmt.Fprintf(w, "\n%s:\n", title)
	width := 0
	for _, e := range entries {
		if n := runewidth.StringWidth(e.Name); n <= nameColumns {
			width = max(width, n)
		}
	}
	for _, e := range entries {
		indent := 2 + width + 2
		name := runewidth.FillRight(e.Name, width) + "  "
		if runewidth.StringWidth(e.Name) > width {
			name = e.Name + "\n" + strings.Repeat(" ", indent)
		}
		fmt.Fprintf(w, "  %s%s\n", name, command.Wrap(w, e.Help, indent))
	}
}

// paragraph is lines of a text that belong together: words to be filled, or an example that stays as it is. A joined one
// follows the one before without a blank line.
type paragraph struct {
	text            string
	example, joined bool
}

func paragraphs(text string) []paragraph {
	var all []paragraph
	fresh := true
	for line := range strings.SplitSeq(strings.Trim(text, "\n"), "\n") {
		if strings.TrimSpace(line) == "" {
			fresh = true
			continue
		}
		example := strings.HasPrefix(line, " ")
		last := len(all) - 1
		switch {
		case fresh || all[last].example != example:
			all = append(all, paragraph{line, example, !fresh})
		case example:
			all[last].text += "\n" + line
		default:
			all[last].text += " " + line
		}
		fresh = false
	}
	return all
}
