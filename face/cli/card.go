package cli

import (
	"errors"
	"fmt"
	"io"
	"os"

	"secondpass/paper/wording"
	"secondpass/rules/card"
)

type cardCmd struct {
	Check   cardCheckCmd   `cmd:"" help:"Check a card file; all errors are reported with their places."`
	Show    cardShowCmd    `cmd:"" help:"The hands as a person reads them, with an example of each."`
	Expand  cardExpandCmd  `cmd:"" help:"All variants of all hands."`
	New     cardNewCmd     `cmd:"" help:"A commented template to write down the card you own."`
	Compose cardComposeCmd `cmd:"" help:"Draw an original practice card by the seed, its hands won about equally often."`
	Report  cardReportCmd  `cmd:"" help:"What a card is like: how near, how often won, neighbours, tiles passed, signs."`
	Tune    cardTuneCmd    `cmd:"" help:"Fit the strong player to a card by self-play."`
}

// cardArg is the card of a card command: an argument, or else the global --card.
type cardArg struct {
	File string `arg:"" optional:"" help:"Card file or name; without it the card of --card."`
	setFlags
}

func (a *cardArg) load(g *Globals) (*card.Card, error) {
	set, err := a.set()
	if err != nil {
		return nil, err
	}
	if a.File == "" {
		return g.loadCard(set)
	}
	return g.readCard(a.File, set)
}

type cardCheckCmd struct{ cardArg }

func (c *cardCheckCmd) Run(g *Globals) error {
	crd, err := c.load(g)
	if err != nil {
		return err
	}
	if g.JSON {
		return writeJSON(g.stdout, struct {
			Card     string `json:"card"`
			Hands    int    `json:"hands"`
			Variants int    `json:"variants"`
		}{crd.Name, len(crd.Hands), len(crd.Variants)})
	}
	fmt.Fprintf(g.stdout, "%s: %s, %s\n", crd.Name, wording.Plural(len(crd.Hands), "hand"), wording.Plural(len(crd.Variants), "variant"))
	return nil
}

type cardShowCmd struct {
	cardArg
	Section string `placeholder:"NAME" help:"Only this section (or hand)."`
}

func (c *cardShowCmd) Run(g *Globals) error {
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
	fmt.Fprintf(g.stdout, "%s: %s, %s\n", title, wording.Plural(len(crd.Hands), "hand"), wording.Plural(len(crd.Variants), "variant"))
	section := -1
	for i := range crd.Hands {
		if len(wanted) > 0 && !wanted[i] {
			continue
		}
		if h := &crd.Hands[i]; h.Section != section {
			section = h.Section
			fmt.Fprintf(g.stdout, "\n%s\n", crd.Sections[section])
		}
		showHand(g.stdout, crd, i)
	}
	return nil
}

func showHand(w io.Writer, crd *card.Card, i int) {
	h := &crd.Hands[i]
	name := h.Name
	if len([]rune(name)) > 16 {
		fmt.Fprintf(w, "  %s\n", wrap(name, pageWidth, 4))
		name = ""
	}
	fmt.Fprintf(w, "  %-16s %3d %-10s %s\n", name, h.Points, wording.Exposed(h.Concealed), wrap(h.Pattern, pageWidth, 34))
	variants := crd.VariantsOf(i)
	const indent = 19
	line := func(text string) { fmt.Fprintf(w, "%*s%s\n", indent, "", wrap(text, pageWidth, indent)) }
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

func (c *cardShowCmd) json(g *Globals, crd *card.Card, wanted map[int]bool) error {
	hands := []shownHand{}
	for i := range crd.Hands {
		if h := &crd.Hands[i]; len(wanted) == 0 || wanted[i] {
			variants := crd.VariantsOf(i)
			hands = append(hands, shownHand{h.Name, crd.Sections[h.Section], h.Points, h.Concealed, h.Pattern, h.Options, h.Note,
				len(variants), wording.GroupList(variants[0].Groups)})
		}
	}
	return writeJSON(g.stdout, struct {
		Card   string      `json:"card"`
		Season string      `json:"season"`
		Hands  []shownHand `json:"hands"`
	}{crd.Name, crd.Season, hands})
}

type cardExpandCmd struct{ cardArg }

func (c *cardExpandCmd) Run(g *Globals) error {
	crd, err := c.load(g)
	if err != nil {
		return err
	}
	for i := range crd.Variants {
		v := &crd.Variants[i]
		h := &crd.Hands[v.Hand]
		if !g.JSON {
			fmt.Fprintf(g.stdout, "%-16s %3d %-10s %s\n", h.Name, h.Points, wording.Exposed(h.Concealed), wording.Groups(v.Groups))
			continue
		}
		err := writeJSON(g.stdout, struct {
			Hand      string   `json:"hand"`
			Groups    []string `json:"groups"`
			Points    int      `json:"points"`
			Concealed bool     `json:"concealed"`
			Jokers    bool     `json:"jokers"`
		}{h.Name, wording.GroupList(v.Groups), h.Points, h.Concealed, crd.TakesJokers(v)})
		if err != nil {
			return err
		}
	}
	return nil
}

type cardNewCmd struct {
	File string `arg:"" optional:"" help:"File to write; without it the template is printed."`
}

func (c *cardNewCmd) Run(g *Globals) error {
	if c.File == "" {
		fmt.Fprint(g.stdout, card.Template)
		return nil
	}
	return writeNew(g, c.File, func(w io.Writer) error {
		_, err := io.WriteString(w, card.Template)
		return err
	})
}

// writeNew writes a file that must not be there yet.
func writeNew(g *Globals, path string, write func(io.Writer) error) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, os.ErrExist) {
		return fmt.Errorf("%s is there already; name a new file", path)
	}
	if err != nil {
		return fmt.Errorf("%s cannot be written: %w", path, err)
	}
	if err := errors.Join(write(f), f.Close()); err != nil {
		return failure{fmt.Errorf("%s could not be written: %w", path, err)}
	}
	g.remark("written: %s", path)
	return nil
}
