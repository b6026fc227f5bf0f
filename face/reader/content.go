package reader

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"secondpass/engine/player"
	"secondpass/exercise"
)

// Showing says when a reader sees the teacher's routes.
type Showing string

const (
	// After: once the reader has come to the end of the passing.
	After Showing = "after"
	// Always: from the beginning.
	Always Showing = "always"
	// Never: they are not in the page at all.
	Never Showing = "never"
)

// Known says whether it is one of these.
func (s Showing) Known() bool { return s == After || s == Always || s == Never }

// Content is what a reader's page is about, as it stands in the page.
type Content struct {
	// Exercise is an exercise file; Show says when its routes are shown.
	Exercise string  `json:"exercise"`
	Show     Showing `json:"show"`
	// Tuning is what strong players go by in judgements; Shelf what games have shown of the table, so that readers need not
	// play them again.
	Tuning player.Tuning     `json:"tuning"`
	Shelf  map[string][]byte `json:"shelf,omitempty"`
	// Players is the version of the simulated players.
	Players int `json:"players"`
}

// ErrNotWalkable is an exercise that nobody else can walk.
var ErrNotWalkable = errors.New("where the tiles that came are typed in, nobody else can walk the exercise; deal one with mock passes or simulated players")

// ErrShowing is a wish for the teacher's routes that is none.
var ErrShowing = errors.New("the teacher's routes are shown after, always or never")

// NewContent is the content of a page about an exercise. The exercise must be one that others can walk: tiles that are typed in from
// a table came at that table only.
func NewContent(e *exercise.Exercise, show Showing, tuning player.Tuning, shelf map[string][]byte) (*Content, error) {
	switch {
	case e.Incoming == exercise.EnteredPasses:
		return nil, ErrNotWalkable
	case !show.Known():
		return nil, fmt.Errorf("%w, not %q", ErrShowing, show)
	}
	given := *e
	given.Removed = nil
	if show == Never {
		given = *e.Fresh()
	}
	var text strings.Builder
	if err := given.Write(&text); err != nil {
		return nil, err
	}
	return &Content{Exercise: text.String(), Show: show, Tuning: tuning, Shelf: shelf, Players: player.Version}, nil
}

// read reads a content as it stands in a page.
func read(data []byte) (*Content, *exercise.Exercise, error) {
	var c Content
	if err := json.Unmarshal(data, &c); err != nil {
		return nil, nil, fmt.Errorf("what the page is about cannot be read: %w", err)
	}
	if c.Players != player.Version {
		return nil, nil, fmt.Errorf("the page and its engine are of different versions; have the page written again")
	}
	e, err := exercise.Read(strings.NewReader(c.Exercise))
	return &c, e, err
}

// shelf is what a page knows of its table.
type shelf map[string][]byte

func (s shelf) Take(key string) []byte   { return s[key] }
func (s shelf) Put(key string, _ []byte) {}
