package command

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"sync"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/rules/card"
	"secondpass/store"
)

// Answers is what a command prints for programs: one of some values, or, with Lines, any number of them, each on a line of its
// own. Values serve for their types alone.
type Answers struct {
	Values []any
	Lines  bool
}

// One is the answer that is one of some values, EachLine that of a value on each line.
func One(values ...any) Answers      { return Answers{Values: values} }
func EachLine(values ...any) Answers { return Answers{Values: values, Lines: true} }

// Answering is a command that has an answer for programs; the others refuse --json.
type Answering interface{ Answers() Answers }

// Basis is what an answer rests on that nobody said on the command line.
type Basis struct {
	Tuning *TuningBasis `json:"tuning,omitempty"`
	Config *ConfigBasis `json:"config,omitempty"`
}

// TuningBasis is what strong players go by.
type TuningBasis struct {
	// Card is the card that it is for.
	Card string `json:"card"`
	// Origin is "own" for the user's own tuning, "built-in" for one that comes with the program, "general" for values that
	// were not fitted to the card.
	Origin string `json:"origin"`
}

// ConfigBasis is what holds because the configuration says so.
type ConfigBasis struct {
	// File is the configuration.
	File string `json:"file"`
	// Card, Data, Seat and Workers are what it says, as far as it was used.
	Card string `json:"card,omitempty"`
	Data string `json:"data,omitempty"`
	Seat string `json:"seat,omitempty"`
	// Workers is told without a password.
	Workers string `json:"workers,omitempty"`
}

// Based stands beside the fields of every answer that is an object.
type Based struct {
	// Basis is there where something is to be said.
	Basis *Basis `json:"basis,omitempty"`
}

// basis gathers what a command rests on; several goroutines may find out at once.
type basis struct {
	mu   sync.Mutex
	what Basis
}

func (b *basis) now() Basis {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.what
}

// Answer prints a value for programs as one line; an object also says what it rests on.
func (g *Globals) Answer(v any) error { return g.AnswerTo(Verbatim(g.Stdout), v) }

// AnswerTo is Answer into a file.
func (g *Globals) AnswerTo(w io.Writer, v any) error {
	var text bytes.Buffer
	if err := WriteJSON(&text, v); err != nil {
		return err
	}
	line := text.Bytes()
	if on := g.basis.now(); on != (Basis{}) && line[0] == '{' {
		more, err := json.Marshal(Based{&on})
		if err != nil {
			return Failed(err)
		}
		if line = bytes.TrimSuffix(line, []byte("}\n")); len(line) > 1 {
			line = append(line, ',')
		}
		line = append(append(line, more[1:]...), '\n')
	}
	_, err := w.Write(line)
	return err
}

// Made is what a command has made, changed or put away.
type Made struct {
	// ID is its number, with which other commands find it.
	ID   int64  `json:"id,omitempty"`
	Name string `json:"name,omitempty"`
	// File is the file that was written.
	File string `json:"file,omitempty"`
}

// Made tells programs what a command has made, and people in a remark.
func (g *Globals) Made(m Made, format string, args ...any) error {
	if g.JSON {
		return g.Answer(m)
	}
	g.Remark(format, args...)
	return nil
}

// noting is tunings of which is said which of them was used.
type noting struct {
	store.Tunings
	g *Globals
}

func (n noting) Tuning(c *card.Card) (player.Tuning, error) {
	t, err := n.Tunings.Tuning(c)
	if err == nil {
		n.g.RestsOn(c, t)
	}
	return t, err
}

// RestsOn notes the tuning by which strong players play a card.
func (g *Globals) RestsOn(c *card.Card, t player.Tuning) {
	usual, fitted := prepared.Of(c).Tuning()
	b := TuningBasis{Card: c.Name, Origin: "general"}
	switch {
	case t != usual:
		b.Origin = "own"
	case fitted:
		b.Origin = "built-in"
	}
	g.basis.mu.Lock()
	defer g.basis.mu.Unlock()
	g.basis.what.Tuning = &b
}

// TellBasis tells people of what is not as usual: their own tuning, and what their configuration says.
func (g *Globals) TellBasis() {
	on := g.basis.now()
	if on.Tuning != nil && on.Tuning.Origin == "own" && !g.JSON {
		text := fmt.Sprintf("Strong players go by your own tuning of card %s.", on.Tuning.Card)
		if out, ok := g.Stdout.(*Output); ok && out.document {
			g.Remark("secondpass: %s", text)
		} else {
			fmt.Fprintf(g.Stdout, "\n%s\n", Wrap(g.Stdout, text, 0))
		}
	}
	if on.Config != nil {
		g.Remark("%s", on.Config)
	}
}
