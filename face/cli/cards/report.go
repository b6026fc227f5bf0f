package cards

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"secondpass/desk"
	"secondpass/face/cli/command"
	"secondpass/paper/draw"
	"secondpass/paper/findings"
	"secondpass/paper/wording"
	"secondpass/research/cardreport"
	"secondpass/rules/card"
	"secondpass/rules/house"
)

type cardReportCmd struct {
	File    string   `arg:"" optional:"" help:"Card file or name; without it the card of --card."`
	Deals   int      `default:"100000" placeholder:"N" help:"Random deals to read against the card."`
	Games   int      `default:"10000" placeholder:"N" help:"Games of four strong players."`
	Aimed   int      `default:"400" placeholder:"N" help:"Games in which one strong player steers for each hand and each section."`
	Section string   `aliases:"hand" placeholder:"NAME" help:"Only this section or hand, in detail; --hand is the same."`
	Out     []string `short:"o" sep:"none" placeholder:"FILE" help:"New file for everything in JSON, or as a PDF with charts where its name ends in .pdf, beside what is printed; - prints the JSON instead. May be given several times."`
	Paper   string   `default:"letter" enum:"letter,a4" help:"Paper size of the PDF."`
	command.HouseFlags
}

// Help says what is in it.
func (cardReportCmd) Help() string {
	return "What a card is like: how near random deals start to each hand, how often it is won with, what it is worth to aim at it, which hands go together, which tiles are wanted and passed, and what speaks for which section. docs/card-report.md says what the figures mean. Interrupted, it reports what it has."
}

func (c *cardReportCmd) Run(g *command.Globals) error {
	survey, shown, err := c.survey(g)
	if err != nil {
		return err
	}
	to, err := c.open(g)
	if err != nil {
		return err
	}
	tally, err := c.run(g, survey)
	if err != nil {
		return err
	}
	r := survey.Report(tally)
	printed := false
	for _, t := range to {
		if err := c.write(g, t, r, survey.Card); err != nil {
			return err
		}
		printed = printed || t.Printed()
	}
	switch {
	case printed:
		return nil
	case g.JSON:
		return g.Answer(r)
	}
	p := reportPrinter{w: g.Stdout, r: r, card: survey.Card, shown: shown}
	p.print(c.Section != "")
	return nil
}

// reportTarget is a file for a report, and whether it is a PDF.
type reportTarget struct {
	*command.Target
	pdf bool
}

// open opens the files asked for.
func (c *cardReportCmd) open(g *command.Globals) (all []reportTarget, err error) {
	for _, path := range c.Out {
		t, err := g.Create(path)
		if err != nil {
			return nil, err
		}
		all = append(all, reportTarget{t, strings.EqualFold(filepath.Ext(path), ".pdf")})
	}
	return all, nil
}

func (c *cardReportCmd) write(g *command.Globals, t reportTarget, r *cardreport.Report, on *card.Card) error {
	if !t.pdf {
		return t.Write(func(w io.Writer) error { return g.AnswerTo(w, r) })
	}
	paper := map[string]draw.PaperSize{"letter": draw.Letter, "a4": draw.A4}[c.Paper]
	data, err := findings.ReportDocument(r, on, paper).PDF(&draw.Light)
	if err != nil {
		return command.Failed(err)
	}
	return t.Write(func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}

// survey reads the arguments; shown are the hands to print.
func (c *cardReportCmd) survey(g *command.Globals) (s *cardreport.Survey, shown []int, err error) {
	if min(c.Deals, c.Games, c.Aimed) < 0 || c.Deals+c.Games+c.Aimed == 0 {
		return nil, nil, fmt.Errorf("--deals %d --games %d --aimed %d: 0 or more of each is right, and not 0 of all", c.Deals, c.Games, c.Aimed)
	}
	crd, rules, err := c.load(g)
	if err != nil {
		return nil, nil, err
	}
	settings := cardreport.Settings{Card: crd, House: rules, Seed: g.Seed, Deals: c.Deals, Games: c.Games, Aimed: c.Aimed}
	if settings.Tuning, err = g.Tuning(crd); err != nil {
		return nil, nil, err
	}
	if c.Section != "" {
		if shown, err = crd.Find(c.Section); err != nil {
			return nil, nil, err
		}
		settings.Hands = shown
	}
	for h := range crd.Hands {
		if c.Section == "" {
			shown = append(shown, h)
		}
	}
	s, err = cardreport.New(settings)
	return s, shown, err
}

func (c *cardReportCmd) load(g *command.Globals) (*card.Card, house.House, error) {
	rules, set, err := c.House()
	if err != nil {
		return nil, rules, err
	}
	if c.File != "" {
		if err := g.HasOwn("a card named", "card"); err != nil {
			return nil, rules, err
		}
		g.Card, g.CardGiven = c.File, true
	}
	crd, err := g.LoadHands(set)
	return crd, rules, err
}

// run goes on from what is kept until all is counted or the user interrupts.
func (c *cardReportCmd) run(g *command.Globals, s *cardreport.Survey) (*cardreport.Tally, error) {
	d := desk.Desk{Files: g.Files()}
	counts, keep, err := d.CardCounts(s.Settings)
	if err != nil {
		return nil, command.Failed(err)
	}
	before := map[cardreport.Stage]int{cardreport.ReadDeals: int(counts.Tally.Deals.Read), cardreport.PlayGames: int(counts.Tally.Games.Played), cardreport.PlayAims: int(counts.Tally.Aims.Played)}
	var show func(int)
	done := func() {}
	stage := cardreport.Stage("")
	begin := time.Now()
	speeds, first, last := "", 0, 0
	finish := func() {
		done()
		if last > first {
			speeds += fmt.Sprintf("%.0f %s a second; ", float64(last-first)/time.Since(begin).Seconds(), stage)
		}
	}
	err = d.CountCard(g.Context, s.Settings, counts, keep, func(now cardreport.Stage, n, of int) {
		if now != stage {
			finish()
			stage, begin, first = now, time.Now(), before[now]
			show, done = g.Progress(of, string(now))
		}
		if last = n; show != nil {
			show(n)
		}
	})
	t := counts.Tally
	finish()
	if speeds != "" {
		g.Remark("%s", speeds[:len(speeds)-2])
	}
	switch {
	case err != nil:
		return nil, command.Failed(err)
	case s.Counted(t):
		return t, nil
	case t.Deals.Read+t.Games.Played+t.Aims.Played == 0:
		return nil, command.Failed(fmt.Errorf("stopped before anything was counted"))
	}
	if keep {
		g.Remark("kept; the same command goes on")
	}
	g.Remark("stopped: %s, %s and %s with each aim count", wording.Plural(int(t.Deals.Read), "deal"),
		wording.Plural(int(t.Games.Played), "game"), wording.Plural(int(t.Aims.Played)*c.Aimed/max(s.AimTurns(), 1), "game"))
	return t, nil
}
