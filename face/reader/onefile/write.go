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
	tuning, err := d.Tuning(e.Card)
	if err != nil {
		return nil, err
	}
	c, err := reader.NewContent(e, show, tuning, nil) // before the engine: what cannot be walked is told at once
	if err != nil {
		return nil, err
	}
	engine, err := EngineOf(ctx, says)
	if err != nil {
		return nil, err
	}
	counsel, err := d.Counsel(e, desk.Judge{})
	if err != nil {
		return nil, err
	}
	if c.Shelf, err = counsel.Shown(ctx); err != nil {
		return nil, err
	}
	return Page(c, engine)
}
