package exercises

import (
	"fmt"
	"io"
	"strings"

	"secondpass/engine/fit"
	"secondpass/engine/prepared"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/rules/tile"
)

// Fit is the command fit.
type Fit struct {
	Rack     []string `arg:"" help:"13 or 14 tiles, as in 3457b 17c 44d FF J; - reads one rack a line and answers each with a line of JSON."`
	Variants bool     `help:"All variants, not only the best of each hand."`
	Top      *int     `placeholder:"N" help:"Only the N nearest (10 for people, all for --json)."`
	Section  string   `placeholder:"NAME" help:"Only this section (or hand)."`
	command.SetFlags
}

// Help adds an example to the help page.
func (Fit) Help() string {
	return "Example: secondpass fit 3445b 17c 4668d FF J\n\nThe words are those of docs/measures.md."
}

func (c *Fit) Run(g *command.Globals) error {
	set, err := c.Set()
	if err != nil {
		return err
	}
	if c.Top != nil && *c.Top < 1 {
		return fmt.Errorf("--top %d: a positive number is right", *c.Top)
	}
	crd, err := g.LoadHands(set)
	if err != nil {
		return err
	}
	x := prepared.Of(crd).Index()
	if c.Section != "" {
		hands, err := crd.Find(c.Section)
		if err != nil {
			return err
		}
		x = prepared.Of(crd).Aimed(hands)
	}
	if len(c.Rack) == 1 && c.Rack[0] == "-" {
		return c.many(g, x, set)
	}
	rack, err := command.ParseRack(strings.Join(c.Rack, " "), set)
	if err != nil {
		return err
	}
	if g.JSON {
		return g.Answer(c.result(x, rack))
	}
	c.print(g.Stdout, x, rack)
	return nil
}

type fitResult struct {
	Rack string `json:"rack"`
	// Multiples is the tiles of the kinds of which the rack holds two or more.
	Multiples string    `json:"multiples"`
	Hands     []fitHand `json:"hands"`
}

type fitHand struct {
	Hand          string   `json:"hand"`
	Groups        []string `json:"groups"`
	Away          int      `json:"away"`
	Keep          string   `json:"keep"`
	Missing       string   `json:"missing"`
	MissingSingle int      `json:"missing_single"`
	JokersUsed    int      `json:"jokers_used"`
	Spare         string   `json:"spare"`
	Gaps          string   `json:"gaps"`
	Points        int      `json:"points"`
	Concealed     bool     `json:"concealed"`
}

func (c *Fit) readings(x *fit.Index, rack tile.Rack) []fit.Reading {
	read := x.Hands
	if c.Variants {
		read = x.Variants
	}
	readings := read(rack)
	if c.Top != nil {
		readings = readings[:min(*c.Top, len(readings))]
	}
	return readings
}

func (c *Fit) result(x *fit.Index, rack tile.Rack) fitResult {
	result := fitResult{Rack: rack.String(), Multiples: wording.Multiples(rack), Hands: []fitHand{}}
	for _, r := range c.readings(x, rack) {
		result.Hands = append(result.Hands, fitHand{
			Hand: r.OnCard().Name, Groups: wording.GroupList(r.Groups()), Away: r.Away,
			Keep: r.Keep.String(), Missing: r.Missing.String(), MissingSingle: r.MissingSingles,
			JokersUsed: r.JokersUsed, Spare: r.Spare.String(),
			Gaps:   tile.List(r.Gaps()),
			Points: r.OnCard().Points, Concealed: r.OnCard().Concealed,
		})
	}
	return result
}

// many answers one rack a line; a rack that is refused gets its error and does not end the run.
func (c *Fit) many(g *command.Globals, x *fit.Index, set tile.Set) error {
	return command.AnswerLines(g, func(_ uint64, text []byte) (any, error) {
		rack, err := command.ParseRack(string(text), set)
		return c.result(x, rack), err
	})
}

// peopleTop is how many hands people see unless they ask for another number.
const peopleTop = 10

func (c *Fit) print(w io.Writer, x *fit.Index, rack tile.Rack) {
	crd := x.Card()
	all := len(crd.Hands)
	if c.Top == nil {
		top := peopleTop
		c.Top = &top
	}
	options := fit.Options(prepared.Of(crd).Index().Hands(rack))
	fmt.Fprintf(w, "Rack %s (%s)\nMultiples %s\nCard %s: %s, %s\n\n", rack, wording.Plural(rack.Size(), "tile"), wording.OrNone(wording.Multiples(rack)), crd.Name, wording.Plural(all, "hand"), wording.Plural(options, "option"))
	readings := newReadings()
	readings.Row("Away", "Hand", "Points", "Groups")
	printReadings(w, readings, c.readings(x, rack))
}

// readingIndent is where what is told of a hand begins.
const readingIndent = 6

func newReadings() *command.Table { return command.NewTable(readingIndent, 23, 15) }

// PrintReadings prints how near a rack is to some hands.
func PrintReadings(w io.Writer, all []fit.Reading) { printReadings(w, newReadings(), all) }

func printReadings(w io.Writer, t *command.Table, all []fit.Reading) {
	for i := range all {
		r := &all[i]
		h := r.OnCard()
		t.Row(fmt.Sprintf("%4d", r.Away), command.Clip(h.Name, 22), fmt.Sprintf("%d %s", h.Points, wording.Exposed(h.Concealed)), wording.Groups(r.Groups()))
		t.Line(readingIndent, "%s", needsText(r))
		t.Line(readingIndent, "keep %s; spare %s", wording.OrNone(r.Keep.String()), wording.Tiles(r.Spare))
		t.Line(readingIndent, "gaps %s", wording.OrNone(tile.List(r.Gaps())))
	}
	t.Print(w)
}

// needsText says in words what is missing and what the jokers do.
func needsText(r *fit.Reading) string {
	if r.Away == 0 && r.JokersUsed == 0 {
		return "complete"
	}
	text := "needs " + wording.InWords(r.Missing)
	if r.JokersUsed > 0 {
		text += fmt.Sprintf("; %s for %s of them", jokersStand(r.JokersUsed), wording.Numeral(r.JokersUsed))
	}
	if r.Away == 0 {
		text = "complete: " + text
	}
	return text
}

func jokersStand(n int) string {
	if n == 1 {
		return "a joker stands"
	}
	return "jokers stand"
}
