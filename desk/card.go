package desk

import (
	"errors"
	"fmt"
	"os"
	"strings"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// Card opens the practice card or one of the user's own by its name, for a set of tiles. The error wraps os.ErrNotExist
// where there is none, and is [card.Problems] where it has some.
func (d *Desk) Card(name string, set tile.Set) (*card.Card, error) {
	if name == "" || strings.EqualFold(name, card.Practice().Name) {
		c, _, err := practice(set)
		return c, err
	}
	text, err := d.Files.Cards.Text(name)
	if err != nil {
		return nil, err
	}
	return prepared.Read(name, string(text), set)
}

// CardOrFile is Card for whoever may name any file, as a reader of pages may not: a file of that name goes before a card of the
// user's own, and names of cards that are drawn before both, see [IsDrawn]. The warnings are for who writes the card.
func (d *Desk) CardOrFile(name string, set tile.Set) (c *card.Card, warnings []card.Problem, err error) {
	if strings.EqualFold(name, card.Practice().Name) {
		return practice(set)
	}
	if IsDrawn(name) {
		c, err = Drawn(name, set)
		return c, nil, err
	}
	path, text := name, []byte(nil)
	text, err = os.ReadFile(name)
	if errors.Is(err, os.ErrNotExist) && !strings.ContainsAny(name, `/\`) {
		path = d.Files.Cards.Where(name)
		if text, err = d.Files.Cards.Text(name); err != nil {
			err = fmt.Errorf("%w: %w", os.ErrNotExist, err)
		}
	}
	if err != nil {
		return nil, nil, err
	}
	return card.Read(path, text, set)
}

// practice is the practice card for a set of tiles.
func practice(set tile.Set) (*card.Card, []card.Problem, error) {
	if set == tile.Usual {
		return card.Practice(), nil, nil
	}
	return card.Read(card.Practice().Name, []byte(card.PracticeText), set)
}

// Tuning is what strong players of a card go by: the user's own tuning of it, the one built in, or general values.
func (d *Desk) Tuning(c *card.Card) (player.Tuning, error) { return d.Files.Tunings.Tuning(c) }
