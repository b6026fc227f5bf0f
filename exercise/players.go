package exercise

import (
	"fmt"
	"slices"
	"sync"

	"secondpass/engine/player"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
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
		game:   sync.OnceValue(func() *table.Game { return table.NewGame(c, rules) }),
		player: sync.OnceValues(func() (player.Player, error) { return newPlayer(players, c) }),
	}
}

// checkPlayers says why a description of players cannot stand, or nil, without the work of making one.
func checkPlayers(description string, c *card.Card) error {
	if len([]rune(description)) > maxPlayers {
		return fmt.Errorf("players: a description of %d characters; %d are the most", len([]rune(description)), maxPlayers)
	}
	tuning, _ := player.TuningFor(c)
	if err := player.NewCast(c, tuning).Check(description); err != nil {
		return fmt.Errorf("players: %w", err)
	}
	return nil
}

// seatsKept is how many kinds of players are kept ready: making a strong one takes long, and a workbook opens the same
// exercise with every click.
const seatsKept = 8

var seats struct {
	sync.Mutex
	kept []keptSeat // the one used last first
}

type keptSeat struct {
	card, players string
	set           tile.Set
	make          func() player.Player
}

// newPlayer makes a player as described, see player.Cast. What its like only read is shared.
func newPlayer(description string, c *card.Card) (player.Player, error) {
	if err := checkPlayers(description, c); err != nil {
		return nil, err
	}
	seats.Lock()
	defer seats.Unlock()
	at := slices.IndexFunc(seats.kept, func(s keptSeat) bool {
		return s.players == description && s.set == c.Set && s.card == c.Source
	})
	if at < 0 {
		tuning, _ := player.TuningFor(c)
		seat, err := player.NewCast(c, tuning).Player(description)
		if err != nil {
			return nil, fmt.Errorf("players: %w", err)
		}
		at = len(seats.kept)
		seats.kept = append(seats.kept, keptSeat{c.Source, description, c.Set, seat})
	}
	used := seats.kept[at]
	seats.kept = slices.Insert(slices.Delete(seats.kept, at, at+1), 0, used)
	seats.kept = seats.kept[:min(len(seats.kept), seatsKept)]
	return used.make(), nil
}
