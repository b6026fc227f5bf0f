package ready

import (
	"secondpass/advice"
	"secondpass/desk"
	"secondpass/engine/fit"
	"secondpass/engine/prepared"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/store"
)

// Cards is cards prepared, and counsels by the user's tunings of them.
type Cards struct{ tunings store.Tunings }

// New is for the tunings of a data folder.
func New(tunings store.Tunings) *Cards { return &Cards{tunings} }

// Index is the fit index of a card.
func (*Cards) Index(c *card.Card) *fit.Index { return prepared.Of(c).Index() }

// Counsel judges decisions of an exercise: with the user's tuning of its card, against its players or, where nobody
// sits there, the usual ones.
func (k *Cards) Counsel(e *exercise.Exercise) (*advice.Counsel, error) {
	tuning, err := k.tunings.Tuning(e.Card)
	if err != nil {
		return nil, err
	}
	return advice.NewCounsel(e.Card, e.House, tuning, desk.Others(e), desk.JudgementSeed(e))
}
