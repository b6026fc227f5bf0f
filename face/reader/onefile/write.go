package onefile

import (
	"context"

	"secondpass/desk"
	"secondpass/exercise"
	"secondpass/face/reader"
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
		tuning, err := d.Tuning(e.Card)
		if err == nil {
			contents[i], err = reader.NewContent(e, show, tuning, nil)
		}
		if err != nil {
			return nil, nil, err
		}
	}
	engine, err := EngineOf(ctx, says)
	if err != nil {
		return nil, nil, err
	}
	for i, e := range exercises {
		counsel, err := d.Counsel(e, desk.Judge{})
		if err != nil {
			return nil, nil, err
		}
		if contents[i].Shelf, err = counsel.Shown(ctx); err != nil {
			return nil, nil, err
		}
	}
	return contents, engine, nil
}
