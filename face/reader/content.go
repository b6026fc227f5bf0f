package reader

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"secondpass/engine/player"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/teach/lesson"
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
	// Exercise is an exercise file, Lesson a lesson file; the other is "". Show says when the teacher's routes are shown.
	Exercise string  `json:"exercise,omitempty"`
	Lesson   string  `json:"lesson,omitempty"`
	Show     Showing `json:"show"`
	// Tunings are what strong players go by in judgements, by the fingerprint of the card; Shelf is what games have shown of
	// tables, so that readers need not play them again.
	Tunings map[string]player.Tuning `json:"tunings"`
	Shelf   map[string][]byte        `json:"shelf,omitempty"`
	// Players is the version of the simulated players.
	Players int `json:"players"`
}

// ErrNotWalkable is an exercise that nobody else can walk.
var ErrNotWalkable = errors.New("where the tiles that came are typed in, nobody else can walk the exercise; deal one with mock passes or simulated players")

// ErrShowing is a wish for the teacher's routes that is none, ErrEmpty a lesson with nothing to do in it.
var (
	ErrShowing = errors.New("the teacher's routes are shown after, always or never")
	ErrEmpty   = errors.New("has nothing in it; put an exercise or a drill in first")
)

// walkable is an exercise as others get it. Tiles that are typed in from a table came at that table only.
func walkable(e *exercise.Exercise, show Showing) (*exercise.Exercise, error) {
	switch {
	case e.Incoming == exercise.EnteredPasses:
		return nil, ErrNotWalkable
	case !show.Known():
		return nil, fmt.Errorf("%w, not %q", ErrShowing, show)
	}
	given := *e
	given.Removed = nil
	return &given, nil
}

func newContent(show Showing) *Content {
	return &Content{Show: show, Tunings: map[string]player.Tuning{}, Shelf: map[string][]byte{}, Players: player.Version}
}

// NewContent is the content of a page about an exercise, which must be one that others can walk.
func NewContent(e *exercise.Exercise, show Showing) (*Content, error) {
	given, err := walkable(e, show)
	if err != nil {
		return nil, err
	}
	if show == Never {
		given = e.Fresh()
	}
	var text strings.Builder
	if err := given.Write(&text); err != nil {
		return nil, err
	}
	c := newContent(show)
	c.Exercise = text.String()
	return c, nil
}

// NewLesson is the content of a page about a lesson: its drills, and its exercises from the moments that it asks about. The page for
// the teacher is left out.
func NewLesson(l *lesson.Lesson, show Showing) (*Content, error) {
	if len(l.Items) == 0 {
		return nil, fmt.Errorf("the lesson %q %w", l.Title, ErrEmpty)
	}
	given := &lesson.Lesson{Title: l.Title, Note: l.Note}
	for i, item := range l.Items {
		if item.Exercise != nil {
			e, err := walkable(item.Exercise, show)
			if err != nil {
				return nil, fmt.Errorf("item %d: %w", i+1, err)
			}
			if item.Exercise = e; show == Never {
				if item.Exercise, err = asked(&item); err != nil {
					return nil, fmt.Errorf("item %d: %w", i+1, err)
				}
				item.Route = item.Exercise.Routes[0].Name
			}
		} else if !show.Known() {
			return nil, fmt.Errorf("%w, not %q", ErrShowing, show)
		}
		given.Items = append(given.Items, item)
	}
	var text strings.Builder
	if err := given.Write(&text); err != nil {
		return nil, err
	}
	c := newContent(show)
	c.Lesson = text.String()
	return c, nil
}

// Tune says what strong players of a card go by.
func (c *Content) Tune(of *card.Card, t player.Tuning) { c.Tunings[player.Fingerprint(of)] = t }

// tuning is what strong players of a card go by.
func (c *Content) tuning(of *card.Card) player.Tuning {
	t, ok := c.Tunings[player.Fingerprint(of)]
	if !ok {
		t, _ = player.TuningFor(of)
	}
	return t
}

// read reads a content as it stands in a page.
func read(data []byte) (*Content, error) {
	var c Content
	if err := json.Unmarshal(data, &c); err != nil {
		return nil, fmt.Errorf("what the page is about cannot be read: %w", err)
	}
	if c.Players != player.Version {
		return nil, fmt.Errorf("the page and its engine are of different versions; have the page written again")
	}
	return &c, nil
}

// shelf is what a page knows of its tables.
type shelf map[string][]byte

func (s shelf) Take(key string) []byte   { return s[key] }
func (s shelf) Put(key string, _ []byte) {}
