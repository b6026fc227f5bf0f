package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"secondpass/paper/findings"
	"secondpass/paper/wording"
	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/store"
)

type studyCmd struct {
	Check  studyCheckCmd  `cmd:"" help:"Check a study file; all errors at their places."`
	Run    studyRunCmd    `cmd:"" help:"Play the deals of a study; stop it at will and go on later."`
	Show   studyShowCmd   `cmd:"" help:"What a result shows, with intervals and verdicts."`
	Export studyExportCmd `cmd:"" help:"Write the figures of a result as CSV or JSON."`
	Repeat studyRepeatCmd `cmd:"" help:"Play a result again from the start and compare every byte."`
	Ready  studyReadyCmd  `cmd:"" help:"List the ready-made studies, or print one."`
	Report studyReportCmd `cmd:"" help:"Put several results together as one page of Markdown."`
}

type studyCheckCmd struct {
	File string `arg:"" help:"Study file, or - for standard input."`
}

// Run checks a file.
func (c *studyCheckCmd) Run(g *Globals) error {
	s, crd, err := g.readStudy(c.File)
	if err != nil {
		return err
	}
	if g.JSON {
		return writeJSON(g.stdout, struct {
			Study string `json:"study"`
			Ways  int    `json:"ways"`
			Deals int    `json:"deals"`
			Card  string `json:"card"`
		}{s.Name, len(s.Ways), s.Deals, crd.Name})
	}
	fmt.Fprintf(g.stdout, "Study %s: %s, %s, card %s\n", s.Name, wording.Plural(len(s.Ways), "way"), wording.Plural(s.Deals, "deal"), crd.Name)
	return nil
}

// readStudy reads a study file against the card asked for.
func (g *Globals) readStudy(file string) (*experiment.Study, *card.Card, error) {
	var data []byte
	var err error
	if file == "-" {
		data, err = io.ReadAll(g.stdin)
	} else {
		data, err = os.ReadFile(file)
	}
	if err != nil {
		return nil, nil, fmt.Errorf("study %q cannot be read: %w; a study file is right, or --ready NAME for one that secondpass study ready lists", file, err)
	}
	return g.parseStudy(file, data)
}

func (g *Globals) parseStudy(file string, data []byte) (*experiment.Study, *card.Card, error) {
	return experiment.Read(file, data, func(set tile.Set) (*card.Card, error) { return g.loadHands(set) })
}

// readResult reads a result file.
func readResult(path string) (*experiment.Result, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("result %q cannot be read: %w", path, err)
	}
	return experiment.ReadResult(path, data)
}

type studyRunCmd struct {
	File   string `arg:"" optional:"" help:"Study file, or - for standard input."`
	Ready  string `placeholder:"NAME|all" help:"A ready-made study in place of a file, or all of them."`
	Resume string `placeholder:"RESULT" help:"Go on with a result."`
	Deals  int    `placeholder:"N" help:"Deals at most, in place of the study's own number."`
	Watch  bool   `help:"Tell every few seconds how the differences stand."`
	Out    string `placeholder:"RESULT" help:"File for the result (with --ready all a folder); without it the data folder keeps it."`
}

// Help says how long it takes and how it is stopped.
func (studyRunCmd) Help() string {
	return "Ctrl-C stops it at any time and keeps what it has; --resume goes on to the same bytes as in one go.\n\n" +
		"Example: secondpass study run --ready keep-flowers --deals 20000\n\ndocs/study-files.md says how to write a study."
}

// Run plays a study, all ready-made ones, or a result further.
func (c *studyRunCmd) Run(g *Globals) error {
	given := 0
	for _, text := range []string{c.File, c.Ready, c.Resume} {
		if text != "" {
			given++
		}
	}
	switch {
	case given != 1:
		return errors.New("what to run: a study file, --ready NAME, or --resume RESULT is right, one of the three")
	case c.Deals < 0:
		return fmt.Errorf("--deals %d: 1 or more is right", c.Deals)
	case c.Resume != "":
		return c.resume(g)
	case c.Ready == "all":
		return c.all(g)
	}
	var s *experiment.Study
	var crd *card.Card
	var err error
	if c.Ready != "" {
		var ready experiment.Ready
		if ready, err = experiment.FindReady(c.Ready); err != nil {
			return err
		}
		s, crd, err = g.parseStudy(ready.Name+experiment.Ext, []byte(ready.Text))
	} else {
		s, crd, err = g.readStudy(c.File)
	}
	if err != nil {
		return err
	}
	path := c.Out
	if path == "" {
		path = g.newResultPath(s.Name)
	} else if fileExists(path) {
		return fmt.Errorf("%s is there already; name a new file, or go on with it by --resume %s", path, path)
	}
	r, err := g.startStudy(s, crd, c.Deals)
	if err != nil {
		return err
	}
	return c.runStudy(g, r, path)
}

func (g *Globals) startStudy(s *experiment.Study, crd *card.Card, deals int) (*experiment.Result, error) {
	tuning, err := g.tuning(crd)
	if err != nil {
		return nil, err
	}
	return experiment.Start(s, crd, tuning, g.Seed, deals, store.Program())
}

func fileExists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// newResultPath is a file of the data folder that is not there yet.
func (g *Globals) newResultPath(name string) string {
	kept := store.StudiesIn(g.dataDir())
	return kept.Path(kept.FreeName(name, g.Seed))
}

func (c *studyRunCmd) resume(g *Globals) error {
	if c.Out != "" {
		return fmt.Errorf("--resume goes on in its own file; leave out --out %s", c.Out)
	}
	r, err := readResult(c.Resume)
	if err != nil {
		return err
	}
	if c.Deals > 0 {
		if err := r.Extend(c.Deals); err != nil {
			return fmt.Errorf("--deals: %w", err)
		}
	}
	if here := store.Program(); here != r.Program {
		g.remark("begun by %s; this is %s", r.Program, here)
	}
	return c.runStudy(g, r, c.Resume)
}

// all runs every ready-made study into a folder; results that are there already are gone on with.
func (c *studyRunCmd) all(g *Globals) error {
	dir := c.Out
	if dir == "" {
		dir = filepath.Join(store.StudiesIn(g.dataDir()).Folder(), store.ReadyFolder)
	}
	ready := experiment.ReadyMade()
	for i, one := range ready {
		if g.ctx.Err() != nil {
			g.remark("stopped; the same command goes on")
			return nil
		}
		s, crd, err := g.parseStudy(one.Name+experiment.Ext, []byte(one.Text))
		if err != nil {
			return err
		}
		r, err := g.startStudy(s, crd, c.Deals)
		if err != nil {
			return err
		}
		path := filepath.Join(dir, one.Name+store.ResultExt)
		if fileExists(path) {
			old, err := readResult(path)
			if err != nil {
				return err
			}
			if old.Study != r.Study || old.Settings.Seed != r.Settings.Seed || old.Card.Text != r.Card.Text || old.Settings.Deals != r.Settings.Deals {
				return fmt.Errorf("%s is there already, of another study, card, seed or number of deals; name a new folder", path)
			}
			r = old
		}
		g.remark("%s (%d of %d)", one.Name, i+1, len(ready))
		if err := c.playStudy(g, r, path); err != nil {
			return err
		}
		g.printVerdictLine(r, one.Name)
	}
	return nil
}

// runStudy plays a result further, keeps it, and shows it.
func (c *studyRunCmd) runStudy(g *Globals, r *experiment.Result, path string) error {
	if err := c.playStudy(g, r, path); err != nil {
		return err
	}
	if r.Ended == experiment.Interrupted || r.Ended == experiment.NotBegun {
		g.remark("stopped; go on with: secondpass study run --resume %s", path)
	}
	return g.showStudy(r)
}

// saveEvery is how often a running study is kept, so that little is lost where the machine fails.
const saveEvery = 10 * time.Second

// watchEvery is how often a watched study tells how it stands.
const watchEvery = 3 * time.Second

func (c *studyRunCmd) playStudy(g *Globals, r *experiment.Result, path string) error {
	if err := saveResult(r, path); err != nil {
		return err
	}
	show, done := func(int) {}, func() {}
	if c.Watch {
		told := time.Now()
		show = func(int) {
			if time.Since(told) > watchEvery {
				told = time.Now()
				g.remark("%s", studyStanding(r))
			}
		}
	} else if bar, end := g.progress(r.Settings.Deals, "deals"); bar != nil {
		show, done = bar, end
	}
	begin, before, saved := time.Now(), r.Deals, time.Now()
	var trouble error
	err := r.Run(g.ctx, func() (stop bool) {
		show(r.Deals)
		if time.Since(saved) > saveEvery {
			trouble, saved = saveResult(r, path), time.Now()
		}
		return trouble != nil
	})
	done()
	if trouble != nil {
		return trouble
	}
	if err := saveResult(r, path); err != nil {
		return err
	}
	if err != nil {
		return failure{err}
	}
	if n := r.Deals - before; n > 0 {
		g.remark("%.0f deals a second", float64(n)/time.Since(begin).Seconds())
	}
	g.remark("kept: %s", path)
	return nil
}

// studyStanding is how the differences stand, in a line.
func studyStanding(r *experiment.Result) string {
	var parts []string
	for _, c := range r.Findings().Comparisons {
		parts = append(parts, fmt.Sprintf("%s %s: %s", c.Way, wording.StudyDifference(r.Of().Measure, c.Difference), c.Verdict))
	}
	return fmt.Sprintf("%s: %s", wording.Plural(r.Deals, "deal"), strings.Join(parts, "; "))
}

// saveResult puts a result in the place of its file, so that there is a whole one at any time.
func saveResult(r *experiment.Result, path string) error {
	if err := store.WriteWhole(path, r.Bytes()); err != nil {
		return failure{fmt.Errorf("the result could not be kept: %w", err)}
	}
	return nil
}

type studyRepeatCmd struct {
	Result string `arg:"" help:"Result file."`
}

// Run plays a result again.
func (c *studyRepeatCmd) Run(g *Globals) error {
	r, err := readResult(c.Result)
	if err != nil {
		return err
	}
	show, done := g.progress(r.Deals, "deals")
	same, err := r.Repeat(g.ctx, show)
	done()
	if err != nil {
		return failure{err}
	}
	here := store.Program()
	if !same {
		note := ""
		if here != r.Program {
			note = fmt.Sprintf("; it was begun by %s, and this is %s", r.Program, here)
		}
		return failure{fmt.Errorf("%s: played again, %s give other numbers%s", c.Result, wording.Plural(r.Deals, "deal"), note)}
	}
	if g.JSON {
		return writeJSON(g.stdout, struct {
			Result  string `json:"result"`
			Deals   int    `json:"deals"`
			Same    bool   `json:"same"`
			Program string `json:"program"`
			Here    string `json:"here"`
		}{c.Result, r.Deals, same, r.Program, here})
	}
	fmt.Fprintf(g.stdout, "Played again: %s, the same bytes.\n", wording.Plural(r.Deals, "deal"))
	if here != r.Program {
		fmt.Fprintf(g.stdout, "Begun by %s; this is %s.\n", r.Program, here)
	}
	return nil
}

type studyReadyCmd struct {
	Name string `arg:"" optional:"" help:"Study to print."`
}

// Run lists the ready-made studies or prints one.
func (c *studyReadyCmd) Run(g *Globals) error {
	if c.Name != "" {
		one, err := experiment.FindReady(c.Name)
		if err != nil {
			return err
		}
		if g.JSON {
			return writeJSON(g.stdout, readyJSON{one.Name, readyQuestion(one), one.Text})
		}
		fmt.Fprint(g.stdout, one.Text)
		return nil
	}
	all := []readyJSON{}
	for _, one := range experiment.ReadyMade() {
		all = append(all, readyJSON{Name: one.Name, Asks: readyQuestion(one)})
	}
	if g.JSON {
		return writeJSON(g.stdout, all)
	}
	for _, one := range all {
		fmt.Fprintf(g.stdout, "%-22s %s\n", one.Name, wrap(one.Asks, pageWidth, 23))
	}
	return nil
}

type readyJSON struct {
	Name string `json:"name"`
	Asks string `json:"asks"`
	Text string `json:"text,omitempty"`
}

// readyQuestion is the question of a ready-made study, which is read for the practice card.
func readyQuestion(one experiment.Ready) string {
	s, _, err := experiment.Read(one.Name, []byte(one.Text), func(tile.Set) (*card.Card, error) { return card.Practice(), nil })
	if err != nil {
		return err.Error() // a test reads them all
	}
	return s.Asks
}

type studyReportCmd struct {
	Results []string `arg:"" help:"Result files, or folders of them."`
	Plots   bool     `help:"Draw the differences of each result into NAME.svg beside it, in place of what was there; the page shows such files."`
}

// Run puts results together.
func (c *studyReportCmd) Run(g *Globals) error {
	var results []*experiment.Result
	var all []string
	for _, path := range c.Results {
		files := []string{path}
		if info, err := os.Stat(path); err == nil && info.IsDir() {
			if files, err = fs.Glob(os.DirFS(path), "*"+store.ResultExt); err != nil || len(files) == 0 {
				return fmt.Errorf("%s holds no results; right would be files that study run has written", path)
			}
			for i := range files {
				files[i] = filepath.Join(path, files[i])
			}
		}
		for _, file := range files {
			r, err := readResult(file)
			if err != nil {
				return err
			}
			results, all = append(results, r), append(all, file)
		}
	}
	if g.JSON {
		answers := []findings.StudyAnswer{}
		for _, r := range results {
			answers = append(answers, findings.AnswerOf(r))
		}
		return writeJSON(g.stdout, answers)
	}
	if c.Plots {
		for i, r := range results {
			if err := writePlotBeside(r, all[i]); err != nil {
				return err
			}
		}
	}
	printStudiesPage(g.stdout, results, all)
	return nil
}
