package experiments

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"secondpass/face/cli/command"
	"secondpass/paper/findings"
	"secondpass/paper/wording"
	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/store"
)

// seriesOf is the text of the series that is to be run, nil where it is one experiment. It reads the file in any case.
func (c *experimentRunCmd) seriesOf(g *command.Globals) (data []byte, name string, err error) {
	if c.Ready != "" {
		one, err := experiment.FindReadySeries(c.Ready)
		if err != nil { // it may be one experiment
			return nil, "", nil
		}
		return []byte(one.Text), one.Name + experiment.Ext, nil
	}
	c.text, err = g.ReadInput(c.File, inputWanted)
	if err != nil || !experiment.IsSeries(c.text) {
		return nil, "", err
	}
	return c.text, c.File, nil
}

// parseSeries reads a series against the cards that it names.
func parseSeries(g *command.Globals, file string, data []byte) (*experiment.Series, error) {
	return experiment.ReadSeries(file, data, func(name string, set tile.Set) (*card.Card, error) {
		if name == "" {
			return g.LoadHands(set)
		}
		return g.ReadCard(name, set)
	})
}

// series runs every experiment of a series into a folder, or into results of the data folder; those that are there already are gone on
// with.
func (c *experimentRunCmd) series(g *command.Globals, file string, data []byte) error {
	if c.Out == command.Std {
		return fmt.Errorf("-o -: a series gives several results; the name of a folder is right")
	}
	s, all, err := c.prepareSeries(g, file, data)
	if err != nil {
		return err
	}
	return c.playSeries(g, s, all)
}

// prepareSeries reads a series and looks at the places of its results, before any is played.
func (c *experimentRunCmd) prepareSeries(g *command.Globals, file string, data []byte) (*experiment.Series, []prepared, error) {
	s, err := parseSeries(g, file, data)
	if err != nil {
		return nil, nil, err
	}
	var all []prepared
	for i, cell := range s.Cells {
		name := fmt.Sprintf("%s-%02d-%s", plainFile(s.Name), i+1, plainFile(strings.Join(cell.Values, "-")))
		p, err := c.prepareOne(g, cell.Experiment, cell.Card, name)
		if err != nil {
			return nil, nil, err
		}
		p.name = cell.Experiment.Cell
		all = append(all, p)
	}
	return s, all, nil
}

// prepareOne begins a result, or takes the one that is in its place already: in the folder of -o, or in the data folder.
func (c *experimentRunCmd) prepareOne(g *command.Globals, x *experiment.Experiment, on *card.Card, name string) (p prepared, err error) {
	p = prepared{name: name, place: resultPlace{results: g.Files().Results, name: fmt.Sprintf("%s-seed-%d", name, g.Seed)}}
	if c.Out != "" {
		p.place = resultPlace{file: filepath.Join(c.Out, name+store.ResultExt)}
	}
	if p.begun, err = startExperiment(g, x, on, c.Deals); err != nil {
		return p, err
	}
	return p, p.goOn()
}

// playSeries plays what is left of a series and shows all of it.
func (c *experimentRunCmd) playSeries(g *command.Globals, s *experiment.Series, all []prepared) error {
	var results []*experiment.Result
	for i, one := range all {
		if g.Context.Err() != nil {
			g.Remark("stopped; the same command goes on")
			return nil
		}
		g.Remark("%s, %s (%d of %d)", s.Name, one.name, i+1, len(all))
		r, err := c.playExperiment(g, one.begun, one.place)
		if err != nil {
			return err
		}
		if g.JSON {
			if err := g.Answer(shownResult{findings.AnswerOf(r), one.place.name, one.place.String()}); err != nil {
				return err
			}
		}
		results = append(results, r)
	}
	if !g.JSON {
		printSeries(g.Stdout, s, results)
	}
	return nil
}

// folder runs all experiments and series of a folder, in the order of their names; results that are there already are gone on with. All
// are read before any is played.
func (c *experimentRunCmd) folder(g *command.Globals) error {
	if c.Out == command.Std {
		return errors.New("-o -: a folder of experiments gives several results; the name of a folder is right")
	}
	files, err := filepath.Glob(filepath.Join(c.File, "*"+experiment.Ext))
	if err != nil || len(files) == 0 {
		return fmt.Errorf("%s holds no experiments; right would be files that end in %s", c.File, experiment.Ext)
	}
	var play []func() error
	for _, file := range files {
		data, err := g.ReadInput(file, inputWanted)
		if err != nil {
			return err
		}
		if experiment.IsSeries(data) {
			s, all, err := c.prepareSeries(g, file, data)
			if err != nil {
				return err
			}
			play = append(play, func() error { return c.playSeries(g, s, all) })
			continue
		}
		x, on, err := parseExperiment(g, file, data)
		if err != nil {
			return err
		}
		p, err := c.prepareOne(g, x, on, plainFile(x.Name))
		if err != nil {
			return err
		}
		play = append(play, func() error { return c.runExperiment(g, p.begun, p.place) })
	}
	for i, one := range play {
		if g.Context.Err() != nil {
			g.Remark("stopped; the same command goes on")
			return nil
		}
		if i > 0 && !g.JSON {
			fmt.Fprintln(g.Stdout)
		}
		if err := one(); err != nil {
			return err
		}
	}
	return nil
}

// checkSeries checks all experiments of a series.
func checkSeries(g *command.Globals, file string, data []byte) error {
	s, err := parseSeries(g, file, data)
	if err != nil {
		return err
	}
	first := s.Cells[0].Experiment
	checked := checkedExperiment{s.Name, len(s.Cells), len(first.Ways), first.Deals, nil}
	for _, cell := range s.Cells {
		if !slices.Contains(checked.Cards, cell.Card.Name) {
			checked.Cards = append(checked.Cards, cell.Card.Name)
		}
	}
	if g.JSON {
		return g.Answer(checked)
	}
	fmt.Fprintf(g.Stdout, "Series %s: %s, each with %s and %s; cards %s\n", s.Name, wording.Plural(len(s.Cells), "experiment"), wording.Plural(checked.Ways, "way"), wording.Plural(checked.Deals, "deal"), strings.Join(checked.Cards, ", "))
	return nil
}

// plainFile is a text as part of a file's name: small letters and digits, hyphens for the rest.
func plainFile(text string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9') }), "-")
}

// printSeries is one table of all comparisons of a series, by measure.
func printSeries(w io.Writer, s *experiment.Series, results []*experiment.Result) {
	fmt.Fprintf(w, "%s\n", command.Wrap(w, "Series "+s.Name, 2))
	if s.Asks != "" {
		fmt.Fprintf(w, "%s\n", command.Wrap(w, s.Asks, 2))
	}
	first := results[0].Findings()
	fmt.Fprintf(w, "%s\n", command.Wrap(w, fmt.Sprintf("%s of one question, seed %d. 95 %% intervals in brackets, valid however often one looks, for all %d comparisons together.",
		wording.Plural(len(results), "experiment"), results[0].Settings.Seed, first[0].Together), 2))
	for k := range first {
		of := first[k].Of
		fmt.Fprintf(w, "\n%s\n", command.Wrap(w, fmt.Sprintf("%s: %s, in %s", of.Measure, of.ClaimText(), wording.ExperimentUnit(of.Measure)), 2))
		t := command.NewTable(36, 28)
		for _, r := range results {
			f := r.Findings()[k]
			for i := range f.Comparisons {
				cell, c := "", &f.Comparisons[i]
				if i == 0 {
					cell = r.Of().Cell
				}
				what := ""
				if len(f.Comparisons) > 1 {
					what = c.Way + " less " + c.Against + ": "
				}
				t.Row("  "+cell, wording.ExperimentDifference(of.Measure, c.Difference), what+wording.ExperimentVerdict(c))
			}
		}
		t.Print(w)
	}
}
