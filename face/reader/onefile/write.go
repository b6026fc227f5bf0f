package onefile

import (
	"context"
	"errors"
	"fmt"
	"maps"

	"secondpass/advice"
	"secondpass/desk"
	"secondpass/exercise"
	"secondpass/face/reader"
	"secondpass/teach/lesson"
)

// Refused says whether an error is one of what was asked for: of that there is no page.
func Refused(err error) bool {
	return errors.Is(err, reader.ErrNotWalkable) || errors.Is(err, reader.ErrEmpty) || errors.Is(err, reader.ErrShowing) || errors.Is(err, ErrPages)
}

// Subject is what a page is about: an exercise or a lesson, the other is nil.
type Subject struct {
	Exercise *exercise.Exercise
	Lesson   *lesson.Lesson
}

// Of is the file about a subject, in which the teacher's routes are shown as show says. What games have shown of its tables goes with it, so that
// no reader plays them again; says is told in a sentence what takes long.
func Of(ctx context.Context, d *desk.Desk, s Subject, show reader.Showing, says func(string)) ([]byte, error) {
	contents, engine, err := contentsOf(ctx, d, []Subject{s}, show, says)
	if err != nil {
		return nil, err
	}
	return Page(contents[0], engine)
}

// FolderOf is the files of a folder of pages under a title, see [Folder].
func FolderOf(ctx context.Context, d *desk.Desk, title string, subjects []Subject, show reader.Showing, says func(string)) ([]File, error) {
	if err := enough(len(subjects)); err != nil {
		return nil, err
	}
	contents, engine, err := contentsOf(ctx, d, subjects, show, says)
	if err != nil {
		return nil, err
	}
	return Folder(title, contents, engine)
}

func contentsOf(ctx context.Context, d *desk.Desk, subjects []Subject, show reader.Showing, says func(string)) ([]*reader.Content, *Engine, error) {
	contents := make([]*reader.Content, len(subjects))
	for i, s := range subjects { // before the engine: what cannot be done elsewhere is told at once
		var err error
		if contents[i], err = s.content(show); errors.Is(err, reader.ErrNotWalkable) && len(subjects) > 1 {
			return nil, nil, fmt.Errorf("%q: %w", s.name(), err)
		} else if err != nil {
			return nil, nil, err
		}
	}
	engine, err := EngineOf(ctx, says)
	if err != nil {
		return nil, nil, err
	}
	for i, s := range subjects {
		counsels, err := s.counsels(d)
		if err != nil {
			return nil, nil, err
		}
		for _, counsel := range counsels {
			if err := addShown(ctx, contents[i], counsel); err != nil {
				return nil, nil, err
			}
		}
	}
	return contents, engine, nil
}

func (s Subject) name() string {
	if s.Lesson != nil {
		return s.Lesson.Title
	}
	return s.Exercise.Name
}

func (s Subject) content(show reader.Showing) (*reader.Content, error) {
	if s.Lesson != nil {
		return reader.NewLesson(s.Lesson, show)
	}
	return reader.NewContent(s.Exercise, show)
}

// counsels are those who judge what can be decided.
func (s Subject) counsels(d *desk.Desk) ([]*advice.Counsel, error) {
	if s.Exercise != nil {
		c, err := d.Counsel(s.Exercise, desk.Judge{})
		return []*advice.Counsel{c}, err
	}
	var all []*advice.Counsel
	for i := range s.Lesson.Items {
		var c *advice.Counsel
		var err error
		if item := &s.Lesson.Items[i]; item.Exercise != nil {
			c, err = d.Counsel(item.Exercise, desk.Judge{})
		} else {
			c, err = d.DrillCounsel(item.Card, item.Drill.Key.Players)
		}
		if err != nil {
			return nil, err
		}
		all = append(all, c)
	}
	return all, nil
}

// addShown puts what judgements by a counsel go by into a content.
func addShown(ctx context.Context, c *reader.Content, counsel *advice.Counsel) error {
	c.Tune(counsel.Game.Card(), counsel.Tuning)
	shown, err := counsel.Shown(ctx)
	maps.Copy(c.Shelf, shown)
	return err
}
