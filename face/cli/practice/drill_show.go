package practice

import (
	"fmt"
	"io"
	"strings"

	"secondpass/engine/prepared"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/teach/drill"
)

type drillShowCmd struct {
	Drill int64 `arg:"" help:"Number of the drill."`
	Key   bool  `help:"The answers too."`
}

func (c *drillShowCmd) Run(g *command.Globals) error {
	d, crd, err := loadDrill(g, c.Drill)
	if err != nil {
		return err
	}
	if g.JSON {
		return showDrillJSON(g, d, crd, c.Key)
	}
	if err := printQuestion(g.Stdout, d, crd); err != nil {
		return err
	}
	if !c.Key {
		return nil
	}
	return printKey(g.Stdout, d, crd, -1)
}

// printQuestion prints a drill as a student sees it.
func printQuestion(w io.Writer, d *drill.Drill, c *card.Card) error {
	fmt.Fprintf(w, "Drill %d. %s\n\n", d.ID, wording.DrillQuestion(d))
	if d.Position.InPlay() {
		if err := printTable(w, d, c); err != nil {
			return err
		}
	} else {
		printPassing(w, &d.Position.View)
	}
	fmt.Fprintln(w)
	for i, choice := range d.Choices {
		fmt.Fprintf(w, "%3d  %s\n", i+1, wording.DrillChoice(choice))
	}
	return nil
}

// printPassing prints what a seat knows in the passing.
func printPassing(w io.Writer, v *charleston.View) {
	for step := charleston.FirstRight; step < charleston.Steps; step++ {
		gave, came := v.Gave[step], v.Came[step]
		if gave.Len() == 0 && v.Blind[step] == 0 {
			continue
		}
		blind := ""
		if v.Blind[step] > 0 {
			blind = fmt.Sprintf(" and %d blind", v.Blind[step])
		}
		fmt.Fprintf(w, "  %-14s gave %s%s, %s came\n", step, wording.OrNone(gave.String()), blind, wording.OrNone(came.String()))
	}
	fmt.Fprintf(w, "  %-14s %s\n", "seat", v.Seat.Name())
	fmt.Fprintf(w, "  %-14s %s\n", "rack", v.Rack)
}

// printTable prints what a seat sees in play.
func printTable(w io.Writer, d *drill.Drill, c *card.Card) error {
	state, err := d.Position.Table(prepared.Of(c).Game(house.Usual))
	if err != nil {
		return err
	}
	v := state.View(d.Position.Seat)
	fmt.Fprintf(w, "  seat     %s\n  rack     %s\n", v.Seat().Name(), v.Rack())
	for seat := range charleston.Seat(charleston.Seats) {
		if text := command.OpenText(v, seat); text != "" {
			fmt.Fprintf(w, "  open %s   %s\n", seat, command.Wrap(w, text, 11))
		}
	}
	fmt.Fprintf(w, "  discards %s\n", command.Wrap(w, wording.OrNone(command.LyingDiscards(v).String()), 11))
	last := ""
	if discard, ok := v.Claimable(); ok {
		last = fmt.Sprintf("%s discards %s; ", discard.Seat.Name(), discard.Tile)
	}
	fmt.Fprintf(w, "  %s%s left in the wall\n", last, wording.Plural(v.WallLeft(), "tile"))
	return nil
}

// printKey prints the answers; chosen is the place of the student's, or -1.
func printKey(w io.Writer, d *drill.Drill, c *card.Card, chosen int) error {
	reasons, err := d.Reasons(c)
	if err != nil {
		return err
	}
	fmt.Fprintf(w, "\n%s\n", upperFirst(wording.DrillKind(d.Kind)))
	for i, a := range d.Key.Answers {
		mine := ""
		if i == chosen {
			mine = " (yours)"
		}
		verdict := "right"
		switch {
		case !a.Right:
			verdict = "costs " + wording.Cost(a.Cost)
		case i != d.Key.Best():
			verdict = "right: no more than one percentage point behind"
		}
		answer := fmt.Sprintf("%s%s: %s", wording.DrillChoice(d.Choices[i]), mine, verdict)
		fmt.Fprintf(w, "%s%3d  %s\n", command.Mark(a.Right), i+1, command.Wrap(w, answer, 6))
		fmt.Fprintf(w, "      %s\n", command.Wrap(w, wording.DrillReason(&reasons[i]).String(), 6))
	}
	fmt.Fprintf(w, "%s\n", command.Wrap(w, fmt.Sprintf("Costs are of the %s against %s, in percentage points with 95 %% intervals; %s, seed %d, key version %d, card %s.",
		wording.DrillChance(d), d.Key.Players, wording.DrillGames(d), d.Key.Seed, d.Key.Version, d.Key.Card), 2))
	return nil
}

func upperFirst(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

type shownDrill struct {
	drillLine
	Question string `json:"question"`
	Rack     string `json:"rack"`
	// Estimated says that costs are estimates at the end of the passing, by short games; chances too where WholeGames is 0.
	Estimated bool `json:"estimated"`
	// WholeGames is the number of whole games by which chances are: of each answer, or where costs are estimated of two of them.
	WholeGames int           `json:"whole_games"`
	Choices    []shownChoice `json:"choices"`
}

type shownChoice struct {
	Choice string                                `json:"choice"`
	Right  *bool                                 `json:"right,omitempty"`
	Chance *stat.Interval[unit.Chance]           `json:"chance,omitempty"`
	Cost   *stat.Interval[unit.ChanceDifference] `json:"cost,omitempty"`
	Why    string                                `json:"why,omitempty"`
}

func showDrillJSON(g *command.Globals, d *drill.Drill, c *card.Card, key bool) error {
	rack, err := d.Position.Rack(c)
	if err != nil {
		return err
	}
	reasons, err := d.Reasons(c)
	if err != nil {
		return err
	}
	shown := shownDrill{drillLine: newDrillLine(d), Question: wording.DrillQuestion(d), Rack: rack.String(), Estimated: !d.Ask().Whole(), WholeGames: d.Key.WholeGames(d.Ask())}
	for i := range d.Choices {
		s := shownChoice{Choice: d.Choices[i].String()}
		if a := &d.Key.Answers[i]; key {
			s.Right, s.Chance, s.Cost, s.Why = &a.Right, &a.Chance, &a.Cost, wording.DrillReason(&reasons[i]).String()
		}
		shown.Choices = append(shown.Choices, s)
	}
	return g.Answer(shown)
}
