package command

import (
	"io"
	"os"
	"strconv"
	"strings"

	"github.com/mattn/go-runewidth"
	"golang.org/x/term"
)

// PageWidth is the number of columns that output keeps to where it does not go to a terminal.
const PageWidth = 80

// LeastWidth is the narrowest that output is laid out for; a terminal that is narrower still breaks lines itself.
const LeastWidth = 40

// Output is where a command prints. At a terminal no line is wider than it, and no word is broken; elsewhere lines go through
// as they are. It remembers the first error of writing, so that a full disk fails the command whichever line it met.
type Output struct {
	w       io.Writer
	columns int
	// folds says that lines wider than the terminal are continued on the next.
	folds bool
	// column is how far the line at hand has come, indent how far its continuation is set in.
	column, indent int
	err            error
	// document says that what is printed is one, to which nothing may be added.
	document bool
}

// NewOutput prints to a stream, as wide as the terminal that it is, or as it says itself that it is.
func NewOutput(w io.Writer) *Output {
	o := &Output{w: w, columns: PageWidth}
	if c, ok := w.(interface{ Columns() int }); ok {
		o.columns = c.Columns()
	}
	if f, ok := w.(interface{ Fd() uintptr }); ok && IsTerminal(w) {
		wide, _, err := term.GetSize(int(f.Fd()))
		if asked, e := strconv.Atoi(os.Getenv("COLUMNS")); e == nil && asked > 0 {
			wide, err = asked, nil
		}
		if err == nil && wide > 0 {
			o.columns, o.folds = max(wide, LeastWidth), true
		}
	}
	return o
}

// Err is the first error of writing.
func (o *Output) Err() error { return o.err }

// Columns is the number of columns that output to w keeps to.
func Columns(w io.Writer) int {
	if o, ok := w.(*Output); ok {
		return o.columns
	}
	return PageWidth
}

// Verbatim is w without the folding of lines: for documents, which are right only as they are.
func Verbatim(w io.Writer) io.Writer {
	if o, ok := w.(*Output); ok {
		return verbatim{o}
	}
	return w
}

type verbatim struct{ o *Output }

func (v verbatim) Write(p []byte) (int, error) {
	v.o.document = true
	return v.o.pass(p)
}

func (o *Output) Write(p []byte) (int, error) {
	if !o.folds {
		return o.pass(p)
	}
	if _, err := o.pass(o.fold(p)); err != nil {
		return 0, err
	}
	return len(p), nil
}

func (o *Output) pass(p []byte) (int, error) {
	n, err := o.w.Write(p)
	if o.err == nil {
		o.err = err
	}
	return n, err
}

// fold breaks lines that are wider than the terminal at blanks; what is continued is set in by two more columns than its line.
func (o *Output) fold(p []byte) []byte {
	var out strings.Builder
	for line := range strings.Lines(string(p)) {
		text, ended := strings.CutSuffix(line, "\n")
		for text != "" {
			blanks := text[:len(text)-len(strings.TrimLeft(text, " "))]
			word := text[len(blanks):]
			if at := strings.IndexByte(word, ' '); at >= 0 {
				word = word[:at]
			}
			text = text[len(blanks)+len(word):]
			if o.column == 0 {
				o.indent = min(len(blanks)+2, o.columns/2)
			}
			if width := runewidth.StringWidth(word); o.column > o.indent && o.column+len(blanks)+width > o.columns {
				out.WriteString("\n" + strings.Repeat(" ", o.indent))
				o.column, blanks = o.indent, ""
			}
			out.WriteString(blanks + word)
			o.column += len(blanks) + runewidth.StringWidth(word)
		}
		if ended {
			out.WriteByte('\n')
			o.column = 0
		}
	}
	return []byte(out.String())
}
