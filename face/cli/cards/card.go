// Package cards is the commands about a card itself: check, show, expand and begin one, compose one, report on it, and fit
// the strong player to it. What a card is like is worked out below; face/cli alone calls this.
package cards

import (
	"fmt"
	"io"

	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/rules/card"
)

// Card is the command card.
type Card struct {
	List    cardListCmd    `cmd:"" help:"The practice card and those in the data folder."`
	Check   cardCheckCmd   `cmd:"" help:"Check a card file; all errors are reported with their places."`
	Show    cardShowCmd    `cmd:"" help:"The hands as a person reads them, with an example of each."`
	Expand  cardExpandCmd  `cmd:"" help:"All variants of all hands."`
	New     cardNewCmd     `cmd:"" help:"A commented template to write down the card you own."`
	History cardHistoryCmd `cmd:"" help:"Earlier texts of a card that was written in the workbook: list, print, go back."`
	Compose cardComposeCmd `cmd:"" help:"Draw an original practice card by the seed, its hands won about equally often."`
	Report  cardReportCmd  `cmd:"" help:"What a card is like: how near, how often won, neighbours, tiles passed, signs."`
	Tune    cardTuneCmd    `cmd:"" help:"Fit the strong player to a card by self-play."`
}

// cardArg is the card of a card command: an argument, or else the global --card.
type cardArg struct {
	File string `arg:"" optional:"" help:"Card file or name; without it the card of --card."`
	command.SetFlags
}

func (a *cardArg) load(g *command.Globals) (*card.Card, error) {
	set, err := a.Set()
	if err != nil {
		return nil, err
	}
	if a.File == "" {
		return g.LoadCard(set)
	}
	if err := g.HasOwn("a card named", "card"); err != nil {
		return nil, err
	}
	return g.ReadCard(a.File, set)
}

type cardCheckCmd struct{ cardArg }

func (c *cardCheckCmd) Run(g *command.Globals) error {
	crd, err := c.load(g)
	if err != nil {
		return err
	}
	if g.JSON {
		return g.Answer(checkedCard{crd.Name, len(crd.Hands), len(crd.Variants)})
	}
	fmt.Fprintf(g.Stdout, "%s: %s, %s\n", crd.Name, wording.Plural(len(crd.Hands), "hand"), wording.Plural(len(crd.Variants), "variant"))
	return nil
}

type checkedCard struct {
	Card     string `json:"card"`
	Hands    int    `json:"hands"`
	Variants int    `json:"variants"`
}

type cardShowCmd struct {
	cardArg
	Section string `placeholder:"NAME" help:"Only this section (or hand)."`
}

func (c *cardShowCmd) Run(g *command.Globals) error {
	crd, err := c.load(g)
	if err != nil {
		return err
	}
	wanted := map[int]bool{}
	if c.Section != "" {
		hands, err := crd.Find(c.Section)
		if err != nil {
			return err
		}
		for _, h := range hands {
			wanted[h] = true
		}
	}
	if g.JSON {
		return c.json(g, crd, wanted)
	}
	title := crd.Name
	if crd.Season != "" {
		title += ", season " + crd.Season
	}
	fmt.Fprintf(g.Stdout, "%s: %s, %s\n", title, wording.Plural(len(crd.Hands), "hand"), wording.Plural(len(crd.Variants), "variant"))
	section := -1
	for i := range crd.Hands {
		if len(wanted) > 0 && !wanted[i] {
			continue
		}
		if h := &crd.Hands[i]; h.Section != section {
			section = h.Section
			fmt.Fprintf(g.Stdout, "\n%s\n", crd.Sections[section])
		}
		showHand(g.Stdout, crd, i)
	}
	return nil
}

func showHand(w io.Writer, crd *card.Card, i int) {
	h := &crd.Hands[i]
	name := h.Name
	if len([]rune(name)) > 16 {
		fmt.Fprintf(w, "  %s\n", command.Wrap(w, name, 4))
		name = ""
	}
	fmt.Fprintf(w, "  %-16s %3d %-10s %s\n", name, h.Points, wording.Exposed(h.Concealed), command.Wrap(w, h.Pattern, 34))
	variants := crd.VariantsOf(i)
	const indent = 19
	line := func(text string) {
		fmt.Fprintf(w, "%*s%s\n", indent, "", command.Wrap(w, text, indent))
	}
	if h.Note != "" {
		line(h.Note)
	}
	line(fmt.Sprintf("%s; %s", wording.HandTerms(h), wording.Plural(len(variants), "variant")))
	example := "for example " + wording.Groups(variants[0].Groups)
	if len(variants) > 1 {
		example += ", or " + wording.Groups(variants[len(variants)-1].Groups)
	}
	line(example)
}

type shownCard struct {
	Card   string      `json:"card"`
	Season string      `json:"season"`
	Hands  []shownHand `json:"hands"`
}

type shownHand struct {
	Hand      string   `json:"hand"`
	Section   string   `json:"section"`
	Points    int      `json:"points"`
	Concealed bool     `json:"concealed"`
	Pattern   string   `json:"pattern"`
	Options   string   `json:"options"`
	Note      string   `json:"note"`
	Variants  int      `json:"variants"`
	Example   []string `json:"example"`
}

func (c *cardShowCmd) json(g *command.Globals, crd *card.Card, wanted map[int]bool) error {
	hands := []shownHand{}
	for i := range crd.Hands {
		if h := &crd.Hands[i]; len(wanted) == 0 || wanted[i] {
			variants := crd.VariantsOf(i)
			hands = append(hands, shownHand{h.Name, crd.Sections[h.Section], h.Points, h.Concealed, h.Pattern, h.Options, h.Note,
				len(variants), wording.GroupList(variants[0].Groups)})
		}
	}
	return g.Answer(shownCard{crd.Name, crd.Season, hands})
}

type cardExpandCmd struct{ cardArg }

func (c *cardExpandCmd) Run(g *command.Globals) error {
	crd, err := c.load(g)
	if err != nil {
		return err
	}
	t := command.NewTable(17, 4, 11)
	for i := range crd.Variants {
		v := &crd.Variants[i]
		h := &crd.Hands[v.Hand]
		if !g.JSON {
			t.Row(h.Name, fmt.Sprintf("%3d", h.Points), wording.Exposed(h.Concealed), wording.Groups(v.Groups))
			continue
		}
		err := g.Answer(expanded{h.Name, wording.GroupList(v.Groups), h.Points, h.Concealed, crd.TakesJokers(v)})
		if err != nil {
			return err
		}
	}
	t.Print(g.Stdout)
	return nil
}

// expanded is a variant of a hand.
type expanded struct {
	Hand      string   `json:"hand"`
	Groups    []string `json:"groups"`
	Points    int      `json:"points"`
	Concealed bool     `json:"concealed"`
	// Jokers says whether the variant can hold any.
	Jokers bool `json:"jokers"`
}

type cardNewCmd struct{ command.OutFlag }

func (c *cardNewCmd) Run(g *command.Globals) error {
	return g.Export(c.Out, func(w io.Writer) error {
		if g.JSON && (c.Out == "" || c.Out == command.Std) {
			return g.Answer(cardText{card.Template})
		}
		_, err := io.WriteString(w, card.Template)
		return err
	})
}

// cardText is a card in full.
type cardText struct {
	Text string `json:"text"`
}
