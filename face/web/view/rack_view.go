package view

import (
	"errors"
	"html/template"
	"strings"

	"secondpass/paper/wording"
	"secondpass/rules/tile"
)

// TypedRack is rack text as typed and what can be read of it.
type TypedRack struct {
	Text string
	// Before is the text up to the error, Wrong the character there, Error what is wrong; all empty for a good rack.
	Before, Wrong, Error string
	Tiles                template.HTML
	Count                int
	// Enough says that it is a whole rack.
	Enough bool
}

func PreviewRack(text string, set tile.Set) TypedRack {
	t := TypedRack{Text: text}
	rack, err := tile.Parse(text, set)
	var at *tile.ParseError
	if errors.As(err, &at) {
		runes := []rune(strings.TrimPrefix(text, "\ufeff"))
		pos := min(max(at.Pos-1, 0), len(runes))
		t.Before, t.Error = string(runes[:pos]), wording.Capital(at.Msg)+"."
		if pos < len(runes) {
			t.Wrong = string(runes[pos])
		}
		// What stands before the error is shown: it is what the user has got right so far.
		rack, _ = tile.Parse(t.Before, set)
	} else if err != nil {
		t.Error = wording.Capital(err.Error()) + "."
	}
	t.Count = rack.Size()
	t.Enough = err == nil && (t.Count == 13 || t.Count == 14)
	t.Tiles = RackStrip("The rack so far", rack)
	return t
}
