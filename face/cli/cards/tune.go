package cards

import (
	"fmt"
	"io"
	"strings"
	"time"

	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/work"
)

type cardTuneCmd struct {
	cardArg
	Games  int           `default:"200000" placeholder:"N" help:"Games to search with."`
	Budget time.Duration `placeholder:"TIME" help:"Search no longer than this, as in 60s; by games alone the same seed finds the same values."`
	Points bool          `help:"Look for net points, not for games won."`
	From   string        `default:"known" enum:"known,general" help:"Begin with the values known for the card, or with the general ones."`
	Out    string        `short:"o" placeholder:"FILE" help:"New file for the values, - for standard output in place of the report; without it the data folder keeps them, where match finds them."`
}

// Help says what is fitted.
func (cardTuneCmd) Help() string {
	return "Fits the player strong to a card by self-play, and the chance to win by what a rack is worth after the passes. docs/players.md says what the values mean. Stopped by Ctrl-C, it keeps what was played, and the same command goes on."
}

func (c *cardTuneCmd) Run(g *command.Globals) error {
	if err := command.First(command.Above(g, "games", c.Games, "200000"), command.Above(g, "budget", c.Budget, "60s")); err != nil {
		return err
	}
	crd, err := c.load(g)
	if err != nil {
		return err
	}
	if len(crd.Hands) == 0 {
		return fmt.Errorf("card %q has no hands yet; write its hands down first (secondpass card new shows how)", crd.Name)
	}
	to, err := g.Create(c.Out)
	if err != nil {
		return err
	}
	start := player.Tuning{Params: player.General}
	if c.From == "known" {
		if start, err = g.Tuning(crd); err != nil {
			return err
		}
	}
	start.Card, start.Fingerprint = crd.Name, player.Fingerprint(crd)
	r, err := c.search(g, crd, start)
	if err != nil {
		return err
	}
	if r.File, err = c.write(g, r.Tuning, to); err != nil || c.Out == command.Std {
		return err
	}
	if g.JSON {
		return g.Answer(r)
	}
	r.print(g.Stdout)
	return nil
}

// tuned is what a search found.
type tuned struct {
	// points says that values were sought that earn more points, not those that win more often.
	points bool
	Tuning player.Tuning `json:"tuning"`
	Seed   uint64        `json:"seed"`
	Games  int           `json:"games"`
	Trials []trialJSON   `json:"trials"`
	// Lead is the win share of the values found less the mean of three players with those at the start, PointLead
	// the same in points, on fresh deals.
	Lead      stat.Interval[unit.ChanceDifference] `json:"lead"`
	PointLead stat.Interval[unit.NetPoints]        `json:"lead_points"`
	// Kept is false where the values found did not lead, and those at the start stay.
	Kept        bool            `json:"kept"`
	Calibration calibrationJSON `json:"calibration"`
	File        string          `json:"file"`
}

type trialJSON struct {
	Parameter string                               `json:"parameter"`
	From      float64                              `json:"from"`
	To        float64                              `json:"to"`
	Lead      stat.Interval[unit.ChanceDifference] `json:"lead"`
	PointLead stat.Interval[unit.NetPoints]        `json:"lead_points"`
	Kept      bool                                 `json:"kept"`
}

type calibrationJSON struct {
	Seats int     `json:"seats"`
	SEA   float64 `json:"se_a"`
	SEB   float64 `json:"se_b"`
	R     float64 `json:"r"`
	AUC   float64 `json:"auc"`
	// Tenths are the fitted chance and the share won, by rising worth.
	Tenths [][2]unit.Chance `json:"tenths"`
}

func (c *cardTuneCmd) search(g *command.Globals, crd *card.Card, start player.Tuning) (*tuned, error) {
	w := &work.Tuning{Card: work.TextOf(crd), Start: start, Seed: g.Seed, Games: c.Games, Points: c.Points}
	if c.Budget > 0 {
		until := time.Now().Add(c.Budget)
		w.Enough = func() bool { return time.Now().After(until) }
	}
	found, err := goOn[*work.Tuned](g, w)
	if err != nil {
		return nil, err
	}
	r := &tuned{points: c.Points, Tuning: found.Tuning, Seed: found.Seed, Games: found.Games, Trials: []trialJSON{}, Lead: found.Lead, PointLead: found.PointLead,
		Kept: found.Kept, Calibration: calibrationOf(&found.Calibration)}
	for _, t := range found.Trials {
		r.Trials = append(r.Trials, trialJSON(t))
	}
	return r, nil
}

func calibrationOf(c *sim.Calibrated) calibrationJSON {
	j := calibrationJSON{Seats: c.N, SEA: c.SEA, SEB: c.SEB, R: c.R, AUC: c.AUC}
	for _, t := range c.Tenths {
		j.Tenths = append(j.Tenths, [2]unit.Chance{unit.Chance(t.Chance), unit.Chance(t.Won)})
	}
	return j
}

// write keeps a tuning in a new file or in the data folder, where it takes the place of an older one.
func (c *cardTuneCmd) write(g *command.Globals, t player.Tuning, to *command.Target) (path string, err error) {
	if c.Out != "" {
		return c.Out, to.Write(func(w io.Writer) error {
			_, err := w.Write(t.Text())
			return err
		})
	}
	if path, err = g.Files().Tunings.SaveTuning(t); err != nil {
		err = command.Failed(fmt.Errorf("the tuning could not be kept: %w", err))
	}
	return path, err
}

func (r *tuned) print(w io.Writer) {
	fmt.Fprintf(w, "Card %s: %s of search, seed %d, 95 %% intervals in brackets.\n\n", r.Tuning.Card, wording.Plural(r.Games, "game"), r.Seed)
	t := command.NewTable(13, 9, 10, 29)
	t.Row("parameter", fmt.Sprintf("%8s", "from"), fmt.Sprintf("%8s", "to"), map[bool]string{false: "lead in wins", true: "lead in points"}[r.points])
	for _, trial := range r.Trials {
		lead := wording.FineChancePoints(trial.Lead)
		if r.points {
			lead = wording.Points(trial.PointLead)
		}
		kept := ""
		if trial.Kept {
			kept = "kept"
		}
		t.Row(trial.Parameter, fmt.Sprintf("%8.3g", trial.From), fmt.Sprintf("%8.3g", trial.To), lead, kept)
	}
	t.Print(w)
	fmt.Fprintf(w, "\nOn fresh deals, against three with the values at the start:\n")
	fmt.Fprintf(w, "  wins %s%s\n  points %s\n", wording.FineChancePoints(r.Lead), wording.Shown(r.Lead), wording.Points(r.PointLead))
	if !r.Kept {
		fmt.Fprintf(w, "  no gain: the values at the start stay\n")
	}
	c := r.Calibration
	fmt.Fprintf(w, "\nChance to win by worth after the passes: 1/(1+exp(-(%.3f + %.3f ln worth)))\n", r.Tuning.Calibration.A, r.Tuning.Calibration.B)
	fmt.Fprintf(w, "  from %s; r %.2f, AUC %.2f\n", wording.Plural(c.Seats, "seat"), c.R, c.AUC)
	fmt.Fprintf(w, "  fitted and won, by rising worth, in per cent:\n")
	tenths := ""
	for _, t := range c.Tenths {
		tenths += fmt.Sprintf("%2.0f/%-3.0f", 100*t[0], 100*t[1])
	}
	fmt.Fprintf(w, "  %s\n\nWritten: %s\n", command.Wrap(w, strings.TrimRight(tenths, " "), 2), r.File)
}
