package command

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"secondpass/engine/player"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// LoadCard reads the card asked for, checked against a set of tiles.
func (g *Globals) LoadCard(set tile.Set) (*card.Card, error) {
	return g.ReadCard(g.CardName(), set)
}

// LoadHands reads the card asked for and refuses one without hands.
func (g *Globals) LoadHands(set tile.Set) (*card.Card, error) {
	c, err := g.LoadCard(set)
	if err == nil && len(c.Hands) == 0 {
		err = fmt.Errorf("card %q has no hands yet; write its hands down first (secondpass card new shows how)", c.Name)
	}
	return c, err
}

// ReadCard reads a card file, a card of the data folder or the practice card, checked against a set of tiles.
func (g *Globals) ReadCard(name string, set tile.Set) (*card.Card, error) {
	c, warnings, err := g.cardOf(name, set)
	if errors.Is(err, os.ErrNotExist) {
		return nil, fmt.Errorf("no card %q: give a card file, the name of one in %s, or Lantern", name, g.Files().Cards.Where(""))
	}
	if unreadable := (*fs.PathError)(nil); errors.As(err, &unreadable) {
		return nil, fmt.Errorf("card %q cannot be read: %w", name, err)
	}
	if !g.Quiet {
		for _, w := range warnings {
			fmt.Fprintf(g.Stderr, "secondpass: warning: %s\n", w.Error())
		}
	}
	return c, err
}

// cardOf is a card by its name, its file, or from standard input.
func (g *Globals) cardOf(name string, set tile.Set) (*card.Card, []card.Problem, error) {
	if name != Std {
		return g.Desk().CardOrFile(name, set)
	}
	text, err := g.ReadInput(name, "a card file")
	if err != nil {
		return nil, nil, err
	}
	return card.Read("standard input", text, set)
}

// Tuning is what strong players of a card go by: the user's own tuning of it, the one built in, or
// general values.
func (g *Globals) Tuning(c *card.Card) (player.Tuning, error) {
	t, err := g.Desk().Tuning(c)
	return t, DiskError(err)
}
