package practice

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"secondpass/desk"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/teach/drill"
)

// askedFlags are the answers and the words of a teacher's own drill.
type askedFlags struct {
	Answer   []string `sep:"none" placeholder:"TEXT" help:"An answer to choose from, as in '1b 8c 9d', '17c + 1 blind', stop, 'go on', 3, 'let it go', '444c J' or 'discard 4c'; may be given several times. Without it the program proposes some."`
	Question string   `placeholder:"TEXT" help:"The question in your own words; '' goes back to the program's."`
	Reason   []string `sep:"none" placeholder:"N:TEXT" help:"What you say of answer number N, as in '2: Four of a kind are half a hand.'; may be given several times. Nothing behind the colon goes back to what the program says."`
}

// words are the words that a drill has now with those of the flags in their place.
func (f *askedFlags) words(g *command.Globals, now drill.Words) (drill.Words, error) {
	question, reasons := now.Question, append([]string{}, now.Reasons...)
	if g.Given("question") {
		question = f.Question
	}
	for _, text := range f.Reason {
		number, said, ok := strings.Cut(text, ":")
		n, err := strconv.Atoi(strings.TrimSpace(number))
		if !ok || err != nil || n < 1 || n > drill.MostChoices {
			return now, fmt.Errorf("--reason %q: the number of an answer, a colon and a text are right", text)
		}
		for len(reasons) < n {
			reasons = append(reasons, "")
		}
		reasons[n-1] = said
	}
	return drill.NewWords(question, reasons), nil
}

type drillNewCmd struct {
	Exercise string `arg:"" optional:"" help:"A saved exercise, of which a step is asked about; without it --rack and --step, or --game, say what."`
	Route    string `placeholder:"NAME" help:"The route of the exercise; without it the last one."`
	At       int    `placeholder:"N" help:"Ask after so many decisions of the route, in the passing and the play; without it where the route stands."`
	Rack     string `placeholder:"TILES" help:"The rack: 13 tiles, 14 for the dealer."`
	Step     string `placeholder:"STEP" help:"first-right, first-across, first-left, second-left, second-across, last-right or courtesy."`
	Vote     bool   `help:"After the first left: stop or go on, instead of the pass."`
	Game     string `placeholder:"FILE" help:"The record of a game, - for standard input."`
	Line     int    `placeholder:"N" help:"The line of the record that tells what was decided there; without it the record ends with the moment."`
	Seat     string `placeholder:"SEAT" help:"Who is to answer the discard of the line, or of the record's end: E, S, W or N."`
	Players  string `default:"strong" placeholder:"NAME" help:"Who sits at the other seats."`
	askedFlags
}

// Help says what the program does and what the teacher does.
func (drillNewCmd) Help() string {
	return `Question, answers and reasons are yours; the key, which answers are right and what the others cost, comes of the games that are played on.

Examples:
  secondpass drill new --rack '2222b 3333b F N 9c 1d R' --step first-across
  secondpass drill new "Monday lesson" --route B --at 2 --question 'Which suit is long?'
  secondpass drill new --game evening.game --line 57 --seat S`
}

func (c *drillNewCmd) Run(g *command.Globals) error {
	words, err := c.words(g, drill.Words{})
	if err != nil {
		return err
	}
	wish := desk.OwnDrill{Choices: c.Answer, Words: words, Players: c.Players}
	crd, err := c.position(g, &wish)
	if err != nil {
		return err
	}
	if err := command.DiskError(g.Desk().CheckPlayers(crd, c.Players)); err != nil {
		return err
	}
	g.FreshSeed()
	wish.Seed = g.Seed
	return makeDrill(g, crd, wish)
}

// position is the moment that is asked about, and its card.
func (c *drillNewCmd) position(g *command.Globals, w *desk.OwnDrill) (crd *card.Card, err error) {
	switch {
	case c.Exercise != "":
		if err := g.HasOwn("a saved exercise", "rack", "step", "vote", "game", "line", "seat", "card"); err != nil {
			return nil, err
		}
		x, r, err := g.LoadRoute(c.Exercise, c.Route)
		if err != nil {
			return nil, err
		}
		at := c.At
		if !g.Given("at") {
			at = r.Len()
		}
		w.Position, err = desk.Moment(x.Exercise, r, at)
		return x.Exercise.Card, err
	case g.Given("route"), g.Given("at"):
		return nil, fmt.Errorf("--route and --at belong to a saved exercise; give its name")
	}
	if crd, err = g.LoadHands(tile.Usual); err != nil {
		return nil, err
	}
	if c.Game != "" {
		if err := g.HasOwn("--game", "rack", "step", "vote"); err != nil {
			return nil, err
		}
		w.Position, err = c.ofRecord(g, crd)
		return crd, err
	}
	if c.Rack == "" || c.Step == "" {
		return nil, fmt.Errorf("what is asked about: --rack and --step are right, --game, or the name of a saved exercise")
	}
	rack, err := command.ParseRack(c.Rack, crd.Set)
	if err != nil {
		return nil, err
	}
	step, err := charleston.ParseStep(c.Step)
	if err != nil {
		return nil, err
	}
	w.Position, err = drill.TypedPosition(rack, step, c.Vote)
	return crd, err
}

func (c *drillNewCmd) ofRecord(g *command.Globals, crd *card.Card) (drill.Position, error) {
	text, err := g.ReadInput(c.Game, "the record of a game")
	if err != nil {
		return drill.Position{}, err
	}
	var seat *charleston.Seat
	if c.Seat != "" {
		s, err := charleston.ParseSeat(c.Seat)
		if err != nil {
			return drill.Position{}, err
		}
		seat = &s
	}
	p, err := drill.PositionAtLine(crd, string(text), c.Line, seat)
	if err != nil {
		return p, fmt.Errorf("%s: %w", c.Game, err)
	}
	return p, nil
}

// makeDrill plays the answers on, keeps the drill, and shows it with its key.
func makeDrill(g *command.Globals, crd *card.Card, w desk.OwnDrill) error {
	return g.WithDesk(func(d *desk.Desk) error {
		made, err := d.MakeDrill(g.Context, crd, w)
		if cannot := (drill.CannotAsk{}); errors.As(err, &cannot) {
			return command.WrongInput(err)
		}
		if err != nil {
			return command.DiskError(err)
		}
		return showOwn(g, made, crd)
	})
}

// showOwn shows a drill that was made or changed, and says what it lacks.
func showOwn(g *command.Globals, d *drill.Drill, crd *card.Card) error {
	if g.JSON {
		return showDrillJSON(g, d, crd, true)
	}
	fmt.Fprintf(g.Stdout, "Drill %d\n", d.ID)
	if err := printQuestion(g.Stdout, d, crd); err != nil {
		return err
	}
	if err := printKey(g.Stdout, d, crd, -1); err != nil {
		return err
	}
	lacks, err := wording.DrillLacks(d, crd)
	if err == nil && lacks != "" {
		g.Remark("%s", lacks)
	}
	return err
}

type drillEditCmd struct {
	Drill int64 `arg:"" help:"Number of the drill."`
	askedFlags
}

// Help says what stays.
func (drillEditCmd) Help() string {
	return `Words of yours stand in place of the program's, and the key stays. Other answers, which a drill of your own may have, are played on from anew.

Examples:
  secondpass drill edit 12 --question 'What goes across?' --reason '2: Four of a kind are half a hand.'
  secondpass drill edit 12 --reason '2:'`
}

func (c *drillEditCmd) Run(g *command.Globals) error {
	if !g.Given("question") && len(c.Reason) == 0 && len(c.Answer) == 0 {
		return fmt.Errorf("what is to change: --question, --reason or --answer are right")
	}
	d, crd, err := loadDrill(g, c.Drill)
	if err != nil {
		return err
	}
	words, err := c.words(g, d.Words)
	if err != nil {
		return err
	}
	if len(c.Answer) > 0 {
		if d.Kind != drill.Own {
			return fmt.Errorf("drill %d was found by a search, and its answers with it; drill new asks about others", d.ID)
		}
		g.FreshSeed()
		return makeDrill(g, crd, desk.OwnDrill{ID: d.ID, Position: d.Position, Choices: c.Answer, Words: words, Players: d.Key.Players, Seed: g.Seed})
	}
	if err := d.Say(words); err != nil {
		return err
	}
	if err := g.WithStore(func(s store.Store) error { return s.SaveDrill(d, crd) }); err != nil {
		return err
	}
	return showOwn(g, d, crd)
}
