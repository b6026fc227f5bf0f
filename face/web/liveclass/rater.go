package liveclass

import (
	"context"

	"secondpass/desk"
	"secondpass/engine/prepared"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// rater tells a hall of racks what the cards that are kept ready say.
type rater struct{ desk *desk.Desk }

// Plans are all hands of the card: any may be pinned.
func (r rater) Plans(c *card.Card, rack tile.Rack) ([]string, error) {
	var names []string
	hands := prepared.Of(c).Index().Hands(rack)
	for i := range hands {
		names = append(names, hands[i].OnCard().Name)
	}
	return names, nil
}

func (r rater) Worth(e *exercise.Exercise) (func(charleston.View) (int, float64), error) {
	accountant, err := exercise.NewAccountant(e.Card, nil)
	if err != nil {
		return nil, err
	}
	counsel, err := r.desk.Counsel(e, desk.Judge{})
	if err != nil {
		return nil, err
	}
	level, err := counsel.Level(context.Background())
	if err != nil {
		return nil, err
	}
	own := counsel.Own.New()
	return func(v charleston.View) (int, float64) {
		a := accountant.Account(v.Rack)
		return a.SparePlan.Size(), level.Chance(own, &v)
	}, nil
}
