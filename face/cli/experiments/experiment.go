// Package experiments is the commands that put a question to many deals: experiments, their results and pictures, and
// matches of simulated players. face/cli alone calls it.
package experiments

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"secondpass/deal"
	"secondpass/desk"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/store"
)

// Experiment is the command experiment.
type Experiment struct {
	List   experimentListCmd   `cmd:"" help:"The results that the data folder keeps, the one changed last first."`
	Check  experimentCheckCmd  `cmd:"" help:"Check an experiment file; all errors at their places."`
	Run    experimentRunCmd    `cmd:"" help:"Play the deals of an experiment; stop it at will and go on later."`
	Show   experimentShowCmd   `cmd:"" help:"What a result shows, with intervals and verdicts."`
	Export experimentExportCmd `cmd:"" help:"Write the figures of a result as CSV or JSON."`
	Rows   experimentRowsCmd   `cmd:"" help:"Write a line for each deal of a result, for other programs to work with."`
	Repeat experimentRepeatCmd `cmd:"" help:"Play a result again from the start and compare every byte."`
	Ready  experimentReadyCmd  `cmd:"" help:"List the ready-made experiments, or print one."`
	Report experimentReportCmd `cmd:"" help:"Put several results together as one page of Markdown."`
}

type experimentCheckCmd struct {
	File string `arg:"" help:"Experiment file, or - for standard input."`
}

// Run checks a file.
func (c *experimentCheckCmd) Run(g *command.Globals) error {
	data, err := g.ReadInput(c.File, inputWanted)
	if err != nil {
		return err
	}
	if experiment.IsSeries(data) {
		return checkSeries(g, c.File, data)
	}
	s, crd, err := parseExperiment(g, c.File, data)
	if err != nil {
		return err
	}
	if g.JSON {
		return g.Answer(checkedExperiment{s.Name, 1, len(s.Ways), s.Deals, []string{crd.Name}})
	}
	fmt.Fprintf(g.Stdout, "Experiment %s: %s, %s, card %s\n", s.Name, wording.Plural(len(s.Ways), "way"), wording.Plural(s.Deals, "deal"), crd.Name)
	return nil
}

// inputWanted is what is to be read.
const inputWanted = "an experiment file, or --ready NAME for one that secondpass experiment ready lists,"

type checkedExperiment struct {
	Experiment string `json:"experiment"`
	// Experiments is how many a series has, 1 where it is none; Ways and Deals are those of the first.
	Experiments int      `json:"experiments"`
	Ways        int      `json:"ways"`
	Deals       int      `json:"deals"`
	Cards       []string `json:"cards"`
}

// readReady reads a ready-made experiment against the card.
func readReady(g *command.Globals, name string) (*experiment.Experiment, *card.Card, error) {
	ready, err := experiment.FindReady(name)
	if err != nil {
		return nil, nil, err
	}
	c, err := g.LoadHands(tile.Usual)
	if err != nil {
		return nil, nil, err
	}
	s, ofSet, err := parseExperiment(g, ready.Name+experiment.Ext, []byte(ready.Text))
	if err != nil { // the texts are right, so that it is the card
		err = fmt.Errorf("%s does not fit card %s: %s; secondpass experiment ready %[1]s prints it, to be written for your card", ready.Name, c.Name, firstOf(err))
	}
	return s, ofSet, err
}

func parseExperiment(g *command.Globals, file string, data []byte) (*experiment.Experiment, *card.Card, error) {
	return experiment.Read(file, data, func(set tile.Set) (*card.Card, error) { return g.LoadHands(set) })
}

type experimentRunCmd struct {
	File   string `arg:"" optional:"" help:"Experiment file, a folder of them, or - for standard input."`
	Ready  string `placeholder:"NAME|all" help:"A ready-made experiment in place of a file, or all of them."`
	Resume string `placeholder:"RESULT" help:"Go on with a result: a file, or the name of one that is kept."`
	Deals  int    `placeholder:"N" help:"Deals at most, in place of the experiment's own number."`
	text   []byte // of File
	Watch  bool   `help:"Tell every few seconds how the differences stand."`
	Out    string `short:"o" placeholder:"RESULT" help:"New file for the result (a folder with --ready all, for a series, and for a folder of experiments), - for standard output in place of what it shows; without it the data folder keeps it."`
}

// Help says how long it takes and how it is stopped.
func (experimentRunCmd) Help() string {
	return "Ctrl-C stops it at any time and keeps what it has; --resume goes on to the same bytes as in one go.\n\n" +
		"Example: secondpass experiment run --ready keep-flowers --deals 20000\n\nThe page docs/experiment-files.md says how to write an experiment."
}

// Run plays an experiment, all ready-made ones, or a result further.
func (c *experimentRunCmd) Run(g *command.Globals) error {
	given := 0
	for _, text := range []string{c.File, c.Ready, c.Resume} {
		if text != "" {
			given++
		}
	}
	switch {
	case given != 1:
		return errors.New("what to run: an experiment file, --ready NAME, or --resume RESULT is right, one of the three")
	case g.Given("deals") && c.Deals < 1:
		return fmt.Errorf("--deals %d: 1 or more is right", c.Deals)
	case c.Resume != "":
		return c.resume(g)
	case c.Ready == "all":
		return c.all(g)
	}
	if info, err := os.Stat(c.File); err == nil && info.IsDir() {
		return c.folder(g)
	}
	if data, name, err := c.seriesOf(g); err != nil || data != nil {
		if err == nil {
			err = c.series(g, name, data)
		}
		return err
	}
	var s *experiment.Experiment
	var crd *card.Card
	var err error
	if c.Ready != "" {
		s, crd, err = readReady(g, c.Ready)
	} else {
		s, crd, err = parseExperiment(g, c.File, c.text)
	}
	if err != nil {
		return err
	}
	place := resultPlace{file: c.Out}
	if c.Out == "" {
		place = resultPlace{results: g.Files().Results, name: g.Files().Results.FreeName(s.Name, g.Seed)}
	} else if place.taken() {
		return fmt.Errorf("%s is there already; name a new file, or go on with it by --resume %s", place, place)
	}
	r, err := startExperiment(g, s, crd, c.Deals)
	if err != nil {
		return err
	}
	return c.runExperiment(g, r, place)
}

func startExperiment(g *command.Globals, s *experiment.Experiment, crd *card.Card, deals int) (*experiment.Result, error) {
	r, err := g.Desk().StartExperiment(s, crd, g.Seed, deals)
	return r, command.DiskError(err)
}

func (c *experimentRunCmd) resume(g *command.Globals) error {
	if c.Out != "" {
		return fmt.Errorf("--resume goes on in its own file; leave out -o %s", c.Out)
	}
	if err := g.HasOwn("--resume", "card", "seed"); err != nil {
		return err
	}
	if c.Resume == command.Std {
		return errors.New("--resume -: a result is gone on with where it is kept; its file, or its name, is right")
	}
	place, r, err := findResult(g, c.Resume)
	if err != nil {
		return err
	}
	if c.Deals > 0 {
		if err := r.Extend(c.Deals); err != nil {
			return fmt.Errorf("--deals: %w", err)
		}
	}
	if here := store.Program(); here != r.Program {
		g.Remark("begun by %s; this is %s", r.Program, here)
	}
	return c.runExperiment(g, r, place)
}

// prepared is a ready-made experiment that is to be played, and where its result goes.
type prepared struct {
	name  string
	begun *experiment.Result
	place resultPlace
}

// goOn takes the result that is in its place already, if it is of the same.
func (p *prepared) goOn() error {
	if !p.place.taken() {
		return nil
	}
	old, err := p.place.read()
	if err != nil {
		return err
	}
	if old.Experiment != p.begun.Experiment || old.Settings.Seed != p.begun.Settings.Seed || old.Card.Text != p.begun.Card.Text || old.Settings.Deals != p.begun.Settings.Deals {
		return fmt.Errorf("%s is there already, of another experiment, card, seed or number of deals; name a new folder", p.place)
	}
	p.begun = old
	return nil
}

// skipped is a ready-made experiment that does not fit the card.
type skipped struct {
	Experiment string `json:"experiment"`
	Skipped    string `json:"skipped"`
}

// firstOf is the first of the mistakes of an experiment, each of which has a line.
func firstOf(mistakes error) string {
	first, _, _ := strings.Cut(mistakes.Error(), "\n")
	return first
}

// all runs every ready-made experiment that fits the card into a folder; results that are there already are gone on with.
func (c *experimentRunCmd) all(g *command.Globals) error {
	if c.Out == command.Std {
		return errors.New("-o -: all ready-made experiments give several results; the name of a folder is right")
	}
	crd, err := g.LoadHands(tile.Usual)
	if err != nil {
		return err
	}
	fits, left, err := c.prepare(g)
	if err != nil {
		return err
	}
	for _, one := range left {
		if g.JSON {
			if err := g.Answer(one); err != nil {
				return err
			}
			continue
		}
		fmt.Fprintf(g.Stdout, "%-22s %s\n", one.Experiment, command.Wrap(g.Stdout, fmt.Sprintf("left out, it does not fit card %s: %s", crd.Name, one.Skipped), 23))
	}
	if len(fits) == 0 {
		return fmt.Errorf("no ready-made experiment fits card %q; secondpass experiment ready NAME shows one, to be written for your card", crd.Name)
	}
	for i, one := range fits {
		if g.Context.Err() != nil {
			g.Remark("stopped; the same command goes on")
			return nil
		}
		g.Remark("%s (%d of %d)", one.name, i+1, len(fits))
		r, err := c.playExperiment(g, one.begun, one.place)
		if err != nil {
			return err
		}
		if err := printVerdictLine(g, r, one.place, one.name); err != nil {
			return err
		}
	}
	return nil
}

// prepare reads the ready-made experiments against the card and looks at the places of their results, before any is played.
func (c *experimentRunCmd) prepare(g *command.Globals) (fits []prepared, left []skipped, err error) {
	for _, one := range experiment.ReadyMade() {
		s, crd, err := parseExperiment(g, one.Name+experiment.Ext, []byte(one.Text))
		if err != nil { // the texts are right, so that it is the card
			left = append(left, skipped{one.Name, firstOf(err)})
			continue
		}
		p := prepared{one.Name, nil, resultPlace{results: g.Files().Results, name: store.ReadyFolder + "/" + one.Name}}
		if p.begun, err = startExperiment(g, s, crd, c.Deals); err != nil {
			return nil, nil, err
		}
		if c.Out != "" {
			p.place = resultPlace{file: filepath.Join(c.Out, one.Name+store.ResultExt)}
		}
		if err := p.goOn(); err != nil {
			return nil, nil, err
		}
		fits = append(fits, p)
	}
	return fits, left, nil
}

// runExperiment plays a result further, keeps it, and shows it.
func (c *experimentRunCmd) runExperiment(g *command.Globals, r *experiment.Result, place resultPlace) error {
	r, err := c.playExperiment(g, r, place)
	if err != nil {
		return err
	}
	if place.file == command.Std {
		_, err := command.Verbatim(g.Stdout).Write(r.Bytes())
		return err
	}
	if r.Ended == experiment.Interrupted || r.Ended == experiment.NotBegun {
		g.Remark("stopped; go on with: secondpass experiment run --resume %s", place)
	}
	return showExperiment(g, r, place)
}

// watchEvery is how often a watched experiment tells how it stands.
const watchEvery = 3 * time.Second

// playExperiment plays a result further and keeps it; it returns what that has come to.
func (c *experimentRunCmd) playExperiment(g *command.Globals, r *experiment.Result, place resultPlace) (*experiment.Result, error) {
	show, done := func(*experiment.Result) {}, func() {}
	if c.Watch {
		told := time.Now()
		show = func(r *experiment.Result) {
			if time.Since(told) > watchEvery {
				told = time.Now()
				g.Remark("%s", experimentStanding(r))
			}
		}
	} else if bar, end := g.Progress(r.Settings.Deals, "deals"); bar != nil {
		show, done = func(r *experiment.Result) { bar(r.Deals) }, end
	}
	begin := time.Now()
	played, err := desk.PlayExperiment(g.Context, r, place.save, show)
	done()
	if errors.Is(err, deal.ErrTooRare) { // what is asked for is wrong, not the work
		return nil, err
	}
	if err != nil {
		return nil, command.Failed(err)
	}
	if n := played.Deals - r.Deals; n > 0 {
		g.Remark("%.0f deals a second", float64(n)/time.Since(begin).Seconds())
	}
	if place.file != command.Std {
		g.Remark("kept: %s", place)
	}
	return played, nil
}

// experimentStanding is how the differences stand, in a line.
func experimentStanding(r *experiment.Result) string {
	var parts []string
	for _, f := range r.Findings() {
		for i := range f.Comparisons {
			c := &f.Comparisons[i]
			parts = append(parts, fmt.Sprintf("%s %s: %s", wording.ExperimentCompared(&f, c), wording.ExperimentDifference(f.Of.Measure, c.Difference), c.Verdict))
		}
	}
	return fmt.Sprintf("%s: %s", wording.Plural(r.Deals, "deal"), strings.Join(parts, "; "))
}

type experimentRepeatCmd struct {
	Result string `arg:"" help:"Result file, or the name of a result that is kept."`
}

// Run plays a result again.
func (c *experimentRepeatCmd) Run(g *command.Globals) error {
	_, r, err := findResult(g, c.Result)
	if err != nil {
		return err
	}
	show, done := g.Progress(r.Deals, "deals")
	same, err := desk.RepeatExperiment(g.Context, r, show)
	done()
	if errors.Is(err, context.Canceled) {
		g.Remark("stopped before its %s were played; whether it gives the same bytes is seen at its end", wording.Plural(r.Deals, "deal"))
		return nil
	}
	if err != nil {
		return command.Failed(err)
	}
	here := store.Program()
	if !same {
		note := ""
		if here != r.Program {
			note = fmt.Sprintf("; it was begun by %s, and this is %s", r.Program, here)
		}
		return command.Failed(fmt.Errorf("%s: played again, %s give other numbers%s", c.Result, wording.Plural(r.Deals, "deal"), note))
	}
	if g.JSON {
		return g.Answer(repeated{c.Result, r.Deals, same, r.Program, here})
	}
	fmt.Fprintf(g.Stdout, "Played again: %s, the same bytes.\n", wording.Plural(r.Deals, "deal"))
	if here != r.Program {
		fmt.Fprintf(g.Stdout, "Begun by %s; this is %s.\n", r.Program, here)
	}
	return nil
}

// repeated is what came of playing a result again.
type repeated struct {
	Result string `json:"result"`
	Deals  int    `json:"deals"`
	// Same says that every byte is.
	Same bool `json:"same"`
	// Program began it, Here is this one.
	Program string `json:"program"`
	Here    string `json:"here"`
}

type experimentReadyCmd struct {
	Name string `arg:"" optional:"" help:"Experiment to print."`
}

// Run lists the ready-made experiments or prints one.
func (c *experimentReadyCmd) Run(g *command.Globals) error {
	if c.Name != "" {
		one, err := experiment.FindReadySeries(c.Name)
		if err != nil {
			one, err = experiment.FindReady(c.Name)
		}
		if err != nil {
			return err
		}
		if g.JSON {
			return g.Answer(readyJSON{one.Name, readyQuestion(one), one.Text})
		}
		fmt.Fprint(g.Stdout, one.Text)
		return nil
	}
	all := []readyJSON{}
	for _, one := range append(experiment.ReadyMade(), experiment.ReadySeries()...) {
		all = append(all, readyJSON{Name: one.Name, Asks: readyQuestion(one)})
	}
	if g.JSON {
		return g.Answer(all)
	}
	for _, one := range all {
		fmt.Fprintf(g.Stdout, "%-22s %s\n", one.Name, command.Wrap(g.Stdout, one.Asks, 23))
	}
	return nil
}

type readyJSON struct {
	Name string `json:"name"`
	Asks string `json:"asks"`
	Text string `json:"text,omitempty"`
}

// readyQuestion is the question of a ready-made experiment, which is read for the practice card.
func readyQuestion(one experiment.Ready) string {
	s, _, err := experiment.Read(one.Name, []byte(one.Text), func(tile.Set) (*card.Card, error) { return card.Practice(), nil })
	if err != nil {
		return err.Error() // a test reads them all
	}
	return s.Asks
}
