package desk

import (
	"cmp"
	"context"
	"fmt"

	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/teach/drill"
)

// OwnDrill is a teacher's own drill as it is asked for.
type OwnDrill struct {
	// ID is the teacher's own drill in whose place it comes; 0 makes a new one.
	ID       int64
	Position drill.Position
	// Choices are the answers as they were typed; none leaves them to the program.
	Choices []string
	Words   drill.Words
	// Players sit at the other seats; "" are the usual ones.
	Players string
	Seed    uint64
}

// MakeDrill makes a key for a teacher's own drill of a card and keeps the drill.
func (d *Desk) MakeDrill(ctx context.Context, c *card.Card, w OwnDrill) (*drill.Drill, error) {
	m, err := d.maker(c, cmp.Or(w.Players, exercise.DefaultPlayers))
	if err != nil {
		return nil, err
	}
	made, err := m.Own(ctx, w.Position, w.Choices, w.Words, w.Seed)
	switch {
	case err != nil:
		return nil, err
	case w.ID == 0:
		return made, d.Store.AddDrill(made, c)
	}
	made.ID = w.ID
	return made, d.Store.SaveDrill(made, c)
}

// Moment is the moment of a route about which a drill asks: before decision at of the passing and the play, counted from 0.
func Moment(e *exercise.Exercise, r *exercise.Route, at int) (drill.Position, error) {
	if at < 0 || at > r.Len() {
		return drill.Position{}, fmt.Errorf("step %d: route %s has %d decisions", at, r.Name, r.Len())
	}
	if err := drill.CheckTiles(e.House.Tiles); err != nil {
		return drill.Position{}, fmt.Errorf("the exercise is with %w; deal one with those, or type its rack where they hold it", err)
	}
	cut := r.Upto(at)
	t, err := e.Replay(&cut)
	switch {
	case err != nil:
		return drill.Position{}, err
	case t.Game != nil:
		return drill.PositionInPlay(t.Game.Record(), e.Seat)
	case t.Now.Phase() == charleston.Over:
		return drill.Position{}, fmt.Errorf("the passing of route %s is over there, and nobody plays on", r.Name)
	}
	return drill.PositionInPassing(t.Now.View())
}
