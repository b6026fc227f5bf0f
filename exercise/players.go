package exercise

import (
	"fmt"
	"sync"

	"secondpass/card"
	"secondpass/player"
	"secondpass/table"
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

func newKit(c *card.Card, players string) *kit {
	return &kit{
		game:   sync.OnceValue(func() *table.Game { return table.NewGame(c, table.Usual) }),
		player: sync.OnceValues(func() (player.Player, error) { return newPlayer(players, c) }),
	}
}

// newPlayer makes a player as described, see player.Cast.
func newPlayer(description string, c *card.Card) (player.Player, error) {
	if len([]rune(description)) > maxPlayers {
		return nil, fmt.Errorf("players: a description of %d characters; %d are the most", len([]rune(description)), maxPlayers)
	}
	tuning, _ := player.TuningFor(c)
	seat, err := player.NewCast(c, tuning).Player(description)
	if err != nil {
		return nil, fmt.Errorf("players: %w", err)
	}
	return seat(), nil
}
