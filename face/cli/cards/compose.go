package cards

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"secondpass/cardmaking/balance"
	"secondpass/cardmaking/compose"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/work"
)

type cardComposeCmd struct {
	command.OutFlag
	Name       string `help:"Name of the card (Drawn and the seed)."`
	Season     int    `placeholder:"YEAR" help:"Year that the card is for (2026)."`
	Motto      string `placeholder:"DIGITS" help:"Digits that the section Motto is made of, 3 to 5, a zero being the white dragon (9041)."`
	Hands      int    `placeholder:"N" help:"How many hands (50)."`
	Sections   int    `placeholder:"N" help:"How many sections (12); with fewer the seed says which, Runs, Evens and Odds always."`
	Difficulty string `enum:",easy,middle,hard" default:"" help:"How far the hands are from a deal. Without it: middle."`
	Character  string `enum:",clumsy,orderly" default:"" help:"A card to try players on, neither measured nor balanced: clumsy (scattered hands, hard to get) or orderly (families of neighbouring and like ranks)."`
	NoBalance  bool   `help:"Draw the card and play no games; hands are then won very unevenly."`
	Games      int    `default:"200000" placeholder:"N" help:"The most games to search with."`
	Check      int    `default:"20000" placeholder:"N" help:"Fresh games to measure the card with, and as many for the one it began with."`
	Report     string `placeholder:"FILE" help:"New file for the report of how even the card came out, - for standard output in place of the card."`
}

// Help says what is done.
func (cardComposeCmd) Help() string {
	return "Four strong players play on the card; hands that are won too often or too seldom are drawn anew, until each is won from a fifth to three times as often as if all were alike, and each section from half to twice. Takes a minute or two; stopped by Ctrl-C, it keeps what was played, and the same command goes on. docs/practice-card.md says how it is done."
}

// composed is what the command made: the card's text, how many hands it has, and how even it came
// out, which is nil without games.
type composed struct {
	Text string `json:"text"`
	// File is the file that it was written to.
	File     string          `json:"file,omitempty"`
	Hands    int             `json:"hands"`
	Sections int             `json:"sections"`
	Variants int             `json:"variants"`
	Balance  *balance.Report `json:"balance,omitempty"`
}

func (c *cardComposeCmd) Run(g *command.Globals) error {
	if err := c.check(g); err != nil {
		return err
	}
	to, report, err := c.open(g)
	if err != nil {
		return err
	}
	made, err := c.compose(g)
	switch {
	case errors.Is(err, compose.ErrWish):
		return err
	case err != nil:
		return command.Failed(err)
	}
	g.Remark("%s in %s, %s", wording.Plural(made.Hands, "hand"), wording.Plural(made.Sections, "section"), wording.Plural(made.Variants, "variant"))
	if err := c.write(g, made, to, report); err != nil {
		return err
	}
	if made.Balance == nil {
		return nil
	}
	return told(g, made.Balance)
}

// check refuses flags that do not go together and files that are there, before games are played.
func (c *cardComposeCmd) check(g *command.Globals) error {
	if c.Character != "" && (c.Season != 0 || c.Motto != "" || c.Hands != 0 || c.Sections != 0 || c.Difficulty != "" || c.Report != "") {
		return errors.New("--character draws a card as it comes; --season, --motto, --hands, --sections, --difficulty and --report do not go with it")
	}
	switch {
	case !c.NoBalance && (c.Games < balance.LeastGames || c.Check < 1):
		return fmt.Errorf("--games %d --check %d: at least %d and 1 are right", c.Games, c.Check, balance.LeastGames)
	case (c.NoBalance || c.Character != "") && (g.Given("games") || g.Given("check")):
		return errors.New("--games and --check: a card that is not balanced plays no games; leave them out, or --no-balance and --character")
	case c.NoBalance && c.Report != "":
		return errors.New("--no-balance plays no games, so that there is nothing for --report to tell; leave one of them out")
	}
	if c.Report == command.Std && c.Out == command.Std {
		return errors.New("--report - and -o -: the card and its report cannot both be standard output; name a file for one of them")
	}
	return nil
}

// open opens the files of the card and of its report; report is nil where none is asked for.
func (c *cardComposeCmd) open(g *command.Globals) (to, report *command.Target, err error) {
	if to, err = g.Create(c.Out); err == nil && c.Report != "" {
		report, err = g.Create(c.Report)
	}
	return to, report, err
}

func (c *cardComposeCmd) compose(g *command.Globals) (*composed, error) {
	if c.Character != "" {
		return work.Await(g.Context, func() (*composed, error) { return c.drawCharacter(g) })
	}
	wish := compose.Wish{Name: c.Name, Season: c.Season, Motto: c.Motto, Hands: c.Hands, Sections: c.Sections, Difficulty: compose.Level(c.Difficulty)}
	if c.NoBalance {
		return work.Await(g.Context, func() (*composed, error) {
			text, r, err := compose.Draw(g.Seed, wish)
			return &composed{Text: text, Hands: r.Hands, Sections: len(r.Sections), Variants: r.Variants}, err
		})
	}
	begin := time.Now()
	found, err := goOn[*balance.Found](g, &work.Balancing{Seed: g.Seed, Wish: wish, Games: c.Games, ReportGames: c.Check})
	if err != nil {
		return nil, err
	}
	g.Remark("%s", time.Since(begin).Round(time.Second))
	return &composed{Text: found.Text, Hands: len(found.Card.Hands), Sections: len(found.Card.Sections), Variants: len(found.Card.Variants), Balance: &found.Report}, nil
}

// drawCharacter draws a card that is not measured.
func (c *cardComposeCmd) drawCharacter(g *command.Globals) (*composed, error) {
	text, err := compose.DrawCharacter(g.Seed, compose.Character(c.Character), c.Name)
	if err != nil {
		return nil, err
	}
	drawn, _, err := card.Read("drawn.card", []byte(text), tile.Usual)
	if err != nil {
		return nil, err
	}
	return &composed{Text: text, Hands: len(drawn.Hands), Sections: len(drawn.Sections), Variants: len(drawn.Variants)}, nil
}

// write puts the card and the report where they are asked for.
func (c *cardComposeCmd) write(g *command.Globals, made *composed, to, report *command.Target) error {
	text := func(w io.Writer) error {
		_, err := io.WriteString(w, made.Text)
		return err
	}
	evenness := func(w io.Writer) error {
		if g.JSON {
			return g.AnswerTo(w, made.Balance)
		}
		printBalance(w, made.Balance)
		return nil
	}
	if !to.Printed() {
		if err := to.Write(text); err != nil {
			return err
		}
	}
	if report != nil {
		if err := report.Write(evenness); err != nil || report.Printed() {
			return err
		}
	}
	switch {
	case g.JSON:
		if !to.Printed() {
			made.File = c.Out
		}
		return g.Answer(made)
	case to.Printed():
		return to.Write(text)
	}
	return nil
}

// told remarks how even the card came out; it is an error where the band does not hold.
func told(g *command.Globals, r *balance.Report) error {
	low, high := r.After.Extremes()
	g.Remark("hands are won from %.2f to %.2f times their even share, by %d fresh games", low, high, r.Games)
	if r.Held {
		return nil
	}
	if names := r.After.Outside(r.Band); len(names) > 0 {
		return command.Failed(fmt.Errorf("the card is there, but not balanced: %s lie outside of the band; try more --games or another --seed", strings.Join(names, ", ")))
	}
	return command.Failed(fmt.Errorf("the card is there, but by %d games it cannot be told that it is balanced: all shares lie in the band, but not all their intervals; more --check says it more sharply", r.Games))
}

// printBalance is the report as a person reads it.
func printBalance(w io.Writer, r *balance.Report) {
	fmt.Fprintln(w, command.Wrap(w, fmt.Sprintf("Win shares among four strong players (general values of docs/players.md), seed %d: %s of search in %s, then %s each of the card before and after, 95 %% intervals in brackets. %s of %d drawn anew.",
		r.Seed, wording.Plural(r.SearchGames, "game"), wording.Plural(r.Rounds, "round"), wording.Plural(r.Games, "fresh game"), wording.Plural(r.Redrawn, "hand"), len(r.After.Hands)), 0))
	fmt.Fprintln(w, command.Wrap(w, fmt.Sprintf("Band: a hand wins from %.3g to %.3g times its even share (%.2f %%), a section from %.3g to %.3g times. %s",
		r.Band.HandLow, r.Band.HandHigh, 100/float64(len(r.After.Hands)), r.Band.SectionLow, r.Band.SectionHigh, heldText(r)), 0))
	fmt.Fprintf(w, "\nGames nobody won: before %s, after %s\n", wording.Share(r.Before.Wall), wording.Share(r.After.Wall))
	fmt.Fprintln(w)
	sections := command.NewTable(19, 31)
	sections.Row("Section", "before", "after, % of wins (times even)")
	for i, s := range r.After.Sections {
		sections.Row(s.Name, wonText(r.Before.Sections[i]), wonText(s))
	}
	sections.Print(w)
	for _, t := range []struct {
		title string
		table *balance.Table
	}{{"Hands before", r.Before}, {"Hands after", r.After}} {
		fmt.Fprintf(w, "\n%s\n", t.title)
		hands := command.NewTable(20, 4, 27)
		for _, h := range t.table.Hands {
			hands.Row(h.Name, fmt.Sprintf("%3d", h.Points), wonText(h), h.Pattern)
		}
		hands.Print(w)
	}
}

func heldText(r *balance.Report) string {
	if r.Held {
		return "It holds."
	}
	return "It does not hold."
}

// wonText is a share of wins in per cent and by the even share.
func wonText(s balance.Share) string {
	return fmt.Sprintf("%5.2f (%.2f-%.2f) %5.2f", 100*s.Won.Value, 100*s.Won.Low, 100*s.Won.High, s.Ratio.Value)
}
