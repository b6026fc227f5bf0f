package exercise

import (
	"fmt"
	"sync"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/rules/table"
)

// DefaultPlayers is who the others of a table exercise are where nothing else is said.
const DefaultPlayers = "strong"

// maxPlayers bounds a description of players, in characters.
const maxPlayers = 200

// kit is what table exercises need to be played, made when it is first needed.
type kit struct {
	game func() *table.Game
	// player decides for all three others, one after the other: it is told of a new game before each decision, so
	// that what it decides depends on what the seat sees and on nothing it was asked before. Then a route decides alike
	// whether it was walked in one go, after taking back, or on another day.
	player func() (player.Player, error)
}

func newKit(c *card.Card, rules house.House, players string) *kit {
	return &kit{
		game: sync.OnceValue(func() *table.Game { return prepared.Of(c).Game(rules) }),
		player: sync.OnceValues(func() (player.Player, error) {
			if err := checkPlayers(players, c); err != nil {
				return nil, err
			}
			newPlayer, err := builtIn(c).Player(players)
			if err != nil {
				return nil, fmt.Errorf("players: %w", err)
			}
			return newPlayer(), nil
		}),
	}
}

// builtIn is the players of a card by the tuning that is built in: an exercise is the same whoever opens it.
func builtIn(c *card.Card) *prepared.Cast {
	p := prepared.Of(c)
	tuning, _ := p.Tuning()
	return p.Cast(tuning)
}

// checkPlayers says why a description of players cannot stand, or nil, without the work of making one.
func checkPlayers(description string, c *card.Card) error {
	if len([]rune(description)) > maxPlayers {
		return fmt.Errorf("players: a description of %d characters; %d are the most", len([]rune(description)), maxPlayers)
	}
	if err := builtIn(c).Check(description); err != nil {
		return fmt.Errorf("players: %w", err)
	}
	return nil
}
