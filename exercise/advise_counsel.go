package exercise

import (
	"secondpass/engine/player"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/rules/table"
)

// NewCounsel is the counsel for a card: the strong player's with a tuning, against three players of a
// description that [player.Cast] reads.
func NewCounsel(c *card.Card, rules house.House, tuning player.Tuning, others string, seed uint64) (*Counsel, error) {
	newPlayer, err := player.NewCast(c, tuning).Player(others)
	if err != nil {
		return nil, err
	}
	return &Counsel{
		Game: table.NewGame(c, rules), Own: player.NewStrongKit(c, nil, tuning),
		Tuning: tuning, Others: func() player.Player { return newPlayer() }, Seed: seed,
	}, nil
}
