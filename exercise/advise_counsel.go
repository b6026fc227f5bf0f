package exercise

import (
	"secondpass/card"
	"secondpass/player"
	"secondpass/table"
)

// NewCounsel is the counsel for a card: the strong player's, tuned for the card where it was, against
// three players of a name that [player.Cast] knows.
func NewCounsel(c *card.Card, others string, seed uint64) (*Counsel, error) {
	tuning, _ := player.TuningFor(c)
	newPlayer, err := player.NewCast(c, tuning).Player(others)
	if err != nil {
		return nil, err
	}
	return &Counsel{
		Game: table.NewGame(c, table.Usual), Own: player.NewStrongKit(c, nil, tuning.Params),
		Others: func() player.Player { return newPlayer() }, Calibration: tuning.Calibration, Seed: seed,
	}, nil
}
