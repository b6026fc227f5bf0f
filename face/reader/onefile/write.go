package onefile

import (
	"context"
	"maps"

	"secondpass/advice"
	"secondpass/desk"
	"secondpass/exercise"
	"secondpass/face/reader"
	"secondpass/teach/lesson"
)

// Of is the file about an exercise, whose routes are shown as show says. What games have shown of its table goes with it, so that no
// reader plays them again; says is told in a sentence what takes long.
func Of(ctx context.Context, d *desk.Desk, e *exercise.Exercise, show reader.Showing, says func(string)) ([]byte, error) {
	contents, engine, err := contentsOf(ctx, d, []*exercise.Exercise{e}, show, says)
	if err != nil {
		return nil, err
	}
	return Page(contents[0], engine)
}

// FolderOf is the files of a folder of exercises under a title, see [Folder].
func FolderOf(ctx context.Context, d *desk.Desk, title string, exercises []*exercise.Exercise, show reader.Showing, says func(string)) ([]File, error) {
	contents, engine, err := contentsOf(ctx, d, exercises, show, says)
	if err != nil {
		return nil, err
	}
	return Folder(title, contents, engine)
}

func contentsOf(ctx context.Context, d *desk.Desk, exercises []*exercise.Exercise, show reader.Showing, says func(string)) ([]*reader.Content, *Engine, error) {
	contents := make([]*reader.Content, len(exercises))
	for i, e := range exercises { // before the engine: what cannot be walked is told at once
		var err error
		if contents[i], err = reader.NewContent(e, show); err != nil {
			return nil, nil, err
		}
	}
	engine, err := EngineOf(ctx, says)
	if err != nil {
		return nil, nil, err
	}
	for i, e := range exercises {
		counsel, err := d.Counsel(e, desk.Judge{})
		if err == nil {
			err = addShown(ctx, contents[i], counsel)
		}
		if err != nil {
			return nil, nil, err
		}
	}
	return contents, engine, nil
}

// addShown puts what judgements by a counsel go by into a content.
func addShown(ctx context.Context, c *reader.Content, counsel *advice.Counsel) error {
	c.Tune(counsel.Game.Card(), counsel.Tuning)
	shown, err := counsel.Shown(ctx)
	maps.Copy(c.Shelf, shown)
	return err
}

// LessonOf is the file about a lesson, see [Of].
func LessonOf(ctx context.Context, d *desk.Desk, l *lesson.Lesson, show reader.Showing, says func(string)) ([]byte, error) {
	c, err := reader.NewLesson(l, show)
	if err != nil {
		return nil, err
	}
	engine, err := EngineOf(ctx, says)
	if err != nil {
		return nil, err
	}
	for i := range l.Items {
		var counsel *advice.Counsel
		var err error
		if item := &l.Items[i]; item.Exercise != nil {
			counsel, err = d.Counsel(item.Exercise, desk.Judge{})
		} else {
			counsel, err = d.DrillCounsel(item.Card, item.Drill.Key.Players)
		}
		if err == nil {
			err = addShown(ctx, c, counsel)
		}
		if err != nil {
			return nil, err
		}
	}
	return Page(c, engine)
}
