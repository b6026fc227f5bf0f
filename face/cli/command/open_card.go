package command

import (
	"errors"
	"fmt"
	"os"
	"strings"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// LoadCard reads the card asked for, checked against a set of tiles.
func (g *Globals) LoadCard(set tile.Set) (*card.Card, error) {
	return g.ReadCard(g.Card, set)
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
	if strings.EqualFold(name, card.Practice().Name) {
		if set == tile.Usual {
			return card.Practice(), nil
		}
		return g.parseCard("Lantern", []byte(card.PracticeText), set)
	}
	path, data, err := g.findCard(name)
	if err != nil {
		return nil, err
	}
	return g.parseCard(path, data, set)
}

func (g *Globals) findCard(name string) (path string, data []byte, err error) {
	data, err = os.ReadFile(name)
	if err == nil {
		return name, data, nil
	}
	if !errors.Is(err, os.ErrNotExist) {
		return name, nil, fmt.Errorf("card %q cannot be read: %w", name, err)
	}
	if !strings.ContainsAny(name, `/\`) {
		if data, err := g.Files().Cards.Text(name); err == nil {
			return g.Files().Cards.Where(name), data, nil
		}
	}
	return name, nil, fmt.Errorf("no card %q: give a card file, the name of one in %s, or Lantern", name, g.Files().Cards.Where(""))
}

func (g *Globals) parseCard(path string, data []byte, set tile.Set) (*card.Card, error) {
	c, warnings, err := card.Read(path, data, set)
	if !g.Quiet {
		for _, w := range warnings {
			fmt.Fprintf(g.Stderr, "secondpass: warning: %s\n", w.Error())
		}
	}
	return c, err
}
