package cards

import (
	"errors"
	"fmt"
	"os"
	"time"

	"secondpass/face/cli/command"
	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/store"
)

type cardHistoryCmd struct {
	Name   string `arg:"" help:"Name of a card of yours in the data folder."`
	Number int    `arg:"" optional:"" placeholder:"NUMBER" help:"Print this text of its history."`
	Back   bool   `help:"Put that text in place of the one of now, which stays in the history."`
}

// Help says what a history holds.
func (cardHistoryCmd) Help() string {
	return "The workbook keeps the text of a card as it stood at the end of each minute of writing: the last fifty, and before those the last one of each day. The last line of the list is the oldest."
}

func (c *cardHistoryCmd) Run(g *command.Globals) error {
	own := g.Files().Cards
	if _, err := own.Text(c.Name); errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("no card %q in %s; the name of a file there is right, without .card", c.Name, own.Where(""))
	}
	list, err := own.History(c.Name)
	if err != nil {
		return command.Failed(err)
	}
	if c.Number == 0 {
		if c.Back {
			return fmt.Errorf("--back goes to a text of the history: give its number too, as card history lists it")
		}
		if g.JSON {
			return g.Answer(historyOf(list))
		}
		for _, t := range list {
			fmt.Fprintf(g.Stdout, "%6d  %s\n", t.Number, t.Kept.Local().Format("2006-01-02 15:04:05"))
		}
		return nil
	}
	seen := own.Revision(c.Name)
	text, err := own.HistoryText(c.Name, c.Number)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return fmt.Errorf("the card %q has no text %d in its history; card history %q lists them", c.Name, c.Number, c.Name)
	case err != nil:
		return command.Failed(err)
	case !c.Back && g.JSON:
		return g.Answer(earlierText{c.Number, string(text)})
	case !c.Back:
		_, err := command.Verbatim(g.Stdout).Write(text)
		return err
	}
	var draft []byte
	if _, _, wrong := card.Read(c.Name, text, tile.Usual); wrong != nil {
		text, draft = nil, text
	}
	if _, err := own.KeepApart(c.Name, seen, text, draft); err != nil {
		return command.Failed(err)
	}
	if g.JSON {
		return g.Answer(takenBack{c.Name, c.Number, draft != nil})
	}
	fmt.Fprintf(g.Stdout, "%s is as text %d has it\n", c.Name, c.Number)
	if draft != nil {
		g.Remark("It has errors, so it is kept as a draft: new exercises use the last text without.")
	}
	return nil
}

// keptText is a text of the history, without what it says.
type keptText struct {
	Number int    `json:"number"`
	Kept   string `json:"kept"`
}

func historyOf(list []store.CardText) []keptText {
	texts := []keptText{}
	for _, t := range list {
		texts = append(texts, keptText{t.Number, t.Kept.UTC().Format(time.RFC3339)})
	}
	return texts
}

// earlierText is a text of the history.
type earlierText struct {
	Number int    `json:"number"`
	Text   string `json:"text"`
}

// takenBack says which text stands again.
type takenBack struct {
	Card   string `json:"card"`
	Number int    `json:"number"`
	// Draft says that it has errors, so that new exercises use the last text without.
	Draft bool `json:"draft"`
}
