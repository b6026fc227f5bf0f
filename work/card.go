package work

import (
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// CardText is a card in full.
type CardText struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// TextOf is a card as work carries it.
func TextOf(c *card.Card) CardText { return CardText{c.Name, c.Source} }

// read reads the card for a set of tiles.
func (t CardText) read(set tile.Set) (*card.Card, error) {
	c, _, err := card.Read(t.Name+".card", []byte(t.Text), set)
	return c, err
}

// under reads the card for the set of a house.
func (t CardText) under(h house.House) (*card.Card, error) {
	set, err := h.Set()
	if err != nil {
		return nil, err
	}
	return t.read(set)
}
