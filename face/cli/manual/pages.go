package manual

import (
	"fmt"
	"io"
	"strings"
)

// Manual is the whole command line as it is described.
type Manual struct {
	Program, Version string
	// Title is what the program is, in a few words.
	Title string
	Root  *Command
	// Sections stand after the commands.
	Sections []Section
}

// Section is a part of the manual that belongs to no command.
type Section struct {
	Title   string
	Entries []Entry
}

// roff is text as a man page has it.
var roff = strings.NewReplacer(`\`, `\e`, "-", `\-`, "\n.", "\n\\&.", "\n'", "\n\\&'")

func escaped(text string) string {
	return strings.TrimPrefix(roff.Replace("\n"+text), "\n")
}

// WriteMan writes a man page, for the macros of man(7).
func (m *Manual) WriteMan(w io.Writer) {
	fmt.Fprintf(w, ".TH %s 1 \"\" \"%s\"\n.SH NAME\n%s \\- %s\n", strings.ToUpper(m.Program), escaped(m.Version), m.Program, escaped(m.Title))
	fmt.Fprintf(w, ".SH SYNOPSIS\n.B %s\n%s\n.SH DESCRIPTION\n", m.Program, escaped(m.Root.Usage))
	manText(w, m.Root.Summary)
	manText(w, m.Root.Detail)
	fmt.Fprintln(w, ".SH COMMANDS")
	for _, c := range m.Root.Leaves() {
		fmt.Fprintf(w, ".SS %s\n", escaped(c.Usage))
		manText(w, c.Summary)
		manText(w, c.Detail)
		manEntries(w, c.Arguments)
		for _, g := range c.Flags {
			if len(c.Flags) > 1 {
				fmt.Fprintf(w, ".PP\n%s:\n", escaped(g.Title))
			}
			manEntries(w, g.Flags)
		}
	}
	for _, g := range m.Root.Flags {
		fmt.Fprintf(w, ".SH %s\n", strings.ToUpper(g.Title))
		manEntries(w, g.Flags)
	}
	for _, s := range m.Sections {
		fmt.Fprintf(w, ".SH %s\n", strings.ToUpper(s.Title))
		manEntries(w, s.Entries)
	}
}

func manText(w io.Writer, text string) {
	for _, p := range paragraphs(text) {
		switch {
		case p.example:
			fmt.Fprintf(w, ".PP\n.nf\n%s\n.fi\n", escaped(p.text))
		default:
			fmt.Fprintf(w, ".PP\n%s\n", escaped(p.text))
		}
	}
}

func manEntries(w io.Writer, entries []Entry) {
	for _, e := range entries {
		fmt.Fprintf(w, ".TP\n.B %s\n%s\n", escaped(e.Name), escaped(e.Help))
	}
}

// WriteMarkdown writes the page of all commands. answer is the address of what describes the machine-readable answer of a
// command, "" where it has none.
func (m *Manual) WriteMarkdown(w io.Writer, answer func(*Command) string) {
	fmt.Fprintf(w, "# Commands\n\nWritten by the program from the same source as `%s --help` and `%s man`.\n\n", m.Program, m.Program)
	fmt.Fprintf(w, "| command | what it does |\n| --- | --- |\n")
	leaves := m.Root.Leaves()
	for _, c := range leaves {
		name := strings.Join(c.Path, " ")
		fmt.Fprintf(w, "| [%s](#%s) | %s |\n", name, strings.ReplaceAll(name, " ", "-"), cell(c.Summary))
	}
	for _, c := range leaves {
		fmt.Fprintf(w, "\n## %s\n\n", strings.Join(c.Path, " "))
		markdownText(w, c.Summary)
		fmt.Fprintf(w, "```\n%s %s\n```\n\n", m.Program, c.Usage)
		markdownText(w, c.Detail)
		markdownEntries(w, "argument", c.Arguments)
		for _, g := range c.Flags {
			markdownEntries(w, strings.ToLower(g.Title[:1])+g.Title[1:], g.Flags)
		}
		if at := answer(c); at != "" {
			fmt.Fprintf(w, "[Its answer with `--json`](%s)\n", at)
		}
	}
	for _, g := range m.Root.Flags {
		fmt.Fprintf(w, "\n## %s\n\n", g.Title)
		markdownEntries(w, "flag", g.Flags)
	}
	for _, s := range m.Sections {
		fmt.Fprintf(w, "\n## %s\n\n", s.Title)
		markdownEntries(w, "", s.Entries)
	}
}

func markdownText(w io.Writer, text string) {
	for _, p := range paragraphs(text) {
		if p.example {
			fmt.Fprintf(w, "```\n%s\n```\n\n", unindented(p.text))
		} else {
			fmt.Fprintf(w, "%s\n\n", p.text)
		}
	}
}

// unindented is an example without the two blanks before its lines.
func unindented(text string) string {
	return strings.TrimPrefix(strings.ReplaceAll("\n"+text, "\n  ", "\n"), "\n")
}

func markdownEntries(w io.Writer, title string, entries []Entry) {
	if len(entries) == 0 {
		return
	}
	fmt.Fprintf(w, "| %s | |\n| --- | --- |\n", title)
	for _, e := range entries {
		fmt.Fprintf(w, "| `%s` | %s |\n", cell(e.Name), cell(e.Help))
	}
	fmt.Fprintln(w)
}

// cell is text in a cell of a table.
func cell(text string) string { return strings.ReplaceAll(text, "|", `\|`) }
