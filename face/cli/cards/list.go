package cards

import (
	"errors"
	"fmt"

	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

type cardListCmd struct{}

// listedCard is a card that a name stands for.
type listedCard struct {
	// Name is what --card takes, Card what the card calls itself.
	Name string `json:"name"`
	Card string `json:"card"`
	// File is where it stands, "" for the one that is built in.
	File     string `json:"file"`
	Hands    int    `json:"hands"`
	Variants int    `json:"variants"`
	// Mistakes is how many keep it from being used.
	Mistakes int `json:"mistakes"`
}

func (c *cardListCmd) Run(g *command.Globals) error {
	cards := g.Files().Cards
	names, err := cards.List()
	if err != nil {
		return command.Failed(err)
	}
	practice := card.Practice()
	list := []listedCard{{Name: practice.Name, Card: practice.Name, Hands: len(practice.Hands), Variants: len(practice.Variants)}}
	for _, name := range names {
		text, err := cards.Text(name)
		if err != nil {
			return command.Failed(err)
		}
		one := listedCard{Name: name, File: cards.Where(name)}
		read, _, err := card.Read(one.File, text, tile.Usual)
		if several := card.Problems(nil); errors.As(err, &several) {
			one.Mistakes = len(several)
		} else if err != nil {
			one.Mistakes = 1
		} else {
			one.Card, one.Hands, one.Variants = read.Name, len(read.Hands), len(read.Variants)
		}
		list = append(list, one)
	}
	if g.JSON {
		return g.Answer(list)
	}
	for _, one := range list {
		text := fmt.Sprintf("%s, %s", wording.Plural(one.Hands, "hand"), wording.Plural(one.Variants, "variant"))
		switch {
		case one.Mistakes > 0:
			text = fmt.Sprintf("%s; secondpass card check %q lists them", wording.Plural(one.Mistakes, "mistake"), one.Name)
		case one.File == "":
			text += ", built in"
		case one.Card != one.Name:
			text += ", called " + one.Card
		}
		fmt.Fprintf(g.Stdout, "%-22s %s\n", one.Name, command.Wrap(g.Stdout, text, 23))
	}
	return nil
}
