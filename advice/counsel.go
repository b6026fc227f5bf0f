package advice

import (
	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/rules/card"
	"secondpass/rules/house"
)

// NewCounsel is the counsel for a card: the strong player's with a tuning, against three players of a
// description that [player.Cast] reads.
func NewCounsel(c *card.Card, rules house.House, tuning player.Tuning, others string, seed uint64) (*Counsel, error) {
	p := prepared.Of(c)
	cast := p.Cast(tuning)
	newPlayer, err := cast.Player(others)
	if err != nil {
		return nil, err
	}
	return &Counsel{
		Game: p.Game(rules), Own: cast.Kit(),
		company: company{p, rules.Passing, tuning, others}, Tuning: tuning, Others: func() player.Player { return newPlayer() }, Seed: seed,
	}, nil
}
