package experiments

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"secondpass/face/cli/command"
	"secondpass/paper/findings"
	"secondpass/paper/wording"
	"secondpass/research/experiment"
	"secondpass/research/rowfile"
)

type experimentShowCmd struct {
	Result string `arg:"" help:"Result file, or the name of a result that is kept."`
	Out    string `short:"o" placeholder:"FILE" help:"New file for a plot beside what is printed, .svg, .png or .pdf; - prints the SVG instead."`
	Of     string `default:"differences" placeholder:"PLOT" help:"What the plot shows: differences, ways, or values (how often each value)."`
}

// Run shows a result.
func (c *experimentShowCmd) Run(g *command.Globals) error {
	if g.Given("of") && c.Out == "" {
		return fmt.Errorf("--of %s and no -o: it says which plot to write; add -o FILE, or leave it out", c.Of)
	}
	place, r, err := findResult(g, c.Result)
	if err != nil {
		return err
	}
	if c.Out != "" {
		if err := writeExperimentPlot(g, r, c.Of, c.Out); err != nil || c.Out == command.Std {
			return err
		}
	}
	return showExperiment(g, r, place)
}

// shownResult is what a result shows, and where it is kept.
type shownResult struct {
	findings.ExperimentAnswer
	// Name is that of a result which the data folder keeps.
	Name string `json:"name,omitempty"`
	File string `json:"file"`
}

func showExperiment(g *command.Globals, r *experiment.Result, place resultPlace) error {
	g.RestsOn(r.On(), r.Tuning)
	if g.JSON {
		return g.Answer(shownResult{findings.AnswerOf(r), place.name, place.String()})
	}
	printExperiment(g.Stdout, r)
	return nil
}

// printVerdictLine says in a line what an experiment came to.
func printVerdictLine(g *command.Globals, r *experiment.Result, place resultPlace, name string) error {
	if g.JSON {
		return g.Answer(shownResult{findings.AnswerOf(r), place.name, place.String()})
	}
	for _, verdict := range wording.ExperimentVerdicts(r.Findings()) {
		fmt.Fprintf(g.Stdout, "%-22s %s\n", name, command.Wrap(g.Stdout, fmt.Sprintf("%s (%s): %s", verdict, wording.Plural(r.Deals, "deal"), r.Of().Asks), 23))
	}
	return nil
}

func printExperiment(w io.Writer, r *experiment.Result) {
	s := r.Of()
	fmt.Fprintf(w, "%s\n", command.Wrap(w, "Experiment "+s.Title(), 2))
	if s.Asks != "" {
		fmt.Fprintf(w, "%s\n", command.Wrap(w, s.Asks, 2))
	}
	fmt.Fprintf(w, "%s\n", command.Wrap(w, fmt.Sprintf("Card %s, %s of %d (%s), seed %d. 95 %% intervals in brackets, valid however often one looks.",
		r.Card.Name, wording.Plural(r.Deals, "deal"), r.Settings.Deals, r.Ended, r.Settings.Seed), 2))
	fmt.Fprintf(w, "%s\n", command.Wrap(w, fmt.Sprintf("Deals: %s; %s; others %s.%s%s", wording.ExperimentPopulation(s), wording.ExperimentSeat(s), s.Others, wording.ExperimentPairing(s), wording.ByHouse(s.House)), 2))
	for _, f := range r.Findings() {
		printFindings(w, &f)
	}
	printWonWith(w, r)
}

// printFindings is what a result shows of one measure.
func printFindings(w io.Writer, f *experiment.Findings) {
	s := f.Of
	fmt.Fprintf(w, "\n%s\n", command.Wrap(w, fmt.Sprintf("Measure: %s (%s)", s.Measure, s.Measure.Unit()), 2))
	t := command.NewTable(33)
	for _, st := range f.Ways {
		t.Row("  "+command.Clip(st.Way, 30), wording.ExperimentValue(st.Measure, st.Value))
	}
	t.Print(w)
	for _, st := range f.Ways {
		if own := wording.ExperimentOwn(st.Own); own != "" {
			fmt.Fprintf(w, "  %s\n", command.Wrap(w, st.Way+": "+own, 4))
		}
	}
	fmt.Fprintf(w, "\n%s\n", command.Wrap(w, "Claim: "+s.ClaimText()+wording.ExperimentAgainst(f), 2))
	for i := range f.Comparisons {
		printComparison(w, s, &f.Comparisons[i])
	}
	if n := f.LeftOut; n > 0 {
		fmt.Fprintf(w, "\n%s left out, which have no value for any way.\n", wording.Plural(int(n), "deal"))
	}
}

func printComparison(w io.Writer, s *experiment.Experiment, c *experiment.Comparison) {
	t := command.NewTable(33)
	difference := wording.ExperimentDifference(s.Measure, c.Difference) + " " + wording.ExperimentUnit(s.Measure)
	if c.Inside != nil {
		t.Row("  inside", wording.ExperimentValue(s.Measure, *c.Inside)+", "+wording.Plural(c.Inside.N, "deal"))
		t.Row("  outside", wording.ExperimentValue(s.Measure, *c.Outside)+", "+wording.Plural(c.Outside.N, "deal"))
		t.Row("  inside less outside", difference)
	} else {
		if s.AllPairs {
			fmt.Fprintf(w, "  %s\n", command.Wrap(w, c.Way+" less "+c.Against, 4))
			t.Row("", difference)
		} else {
			t.Row("  "+command.Clip(c.Way, 30), difference)
		}
		t.Row("", fmt.Sprintf("differs on %d of %s", c.Differ, wording.Plural(c.Difference.N, "deal")))
	}
	t.Row("", fmt.Sprintf("%s; %s", c.Verdict, wording.ExperimentNote(c)))
	t.Print(w)
	if own := wording.ExperimentOwnDifference(c); own != "" {
		fmt.Fprintf(w, "  %s\n", command.Wrap(w, own, 4))
	}
}

// printWonWith is the sections of the hands won with, where games were played out: they are the same for every measure of them.
func printWonWith(w io.Writer, r *experiment.Result) {
	var played []experiment.Standing
	for _, f := range r.Findings() {
		for _, st := range f.Ways {
			if st.WonWith != nil {
				played = append(played, st)
			}
		}
		if len(played) > 0 {
			break
		}
	}
	if len(played) == 0 {
		return
	}
	fmt.Fprintf(w, "\nGames won, by the section of the hand, in per cent of the wins\n")
	for _, st := range played {
		total := int64(0)
		for _, n := range st.WonWith {
			total += n
		}
		var parts []string
		for i, n := range st.WonWith {
			if total > 0 {
				parts = append(parts, fmt.Sprintf("%s %.1f", r.On().Sections[i], 100*float64(n)/float64(total)))
			}
		}
		fmt.Fprintf(w, "  %s\n", command.Wrap(w, fmt.Sprintf("%s (%s): %s", st.Way, wording.Plural(int(total), "win"), strings.Join(parts, ", ")), 4))
	}
}

type experimentExportCmd struct {
	Result string `arg:"" help:"Result file, or the name of a result that is kept."`
	command.OutFlag
	Format string `default:"csv" enum:"csv,json" help:"Form of the figures."`
}

// Run writes the figures of a result.
func (c *experimentExportCmd) Run(g *command.Globals) error {
	_, r, err := findResult(g, c.Result)
	if err != nil {
		return err
	}
	write := func(w io.Writer) error { return writeCSV(w, r) }
	if c.Format == "json" || g.JSON {
		write = func(w io.Writer) error { return g.AnswerTo(w, findings.AnswerOf(r)) }
	}
	return g.Export(c.Out, write)
}

func writeCSV(w io.Writer, r *experiment.Result) error {
	if err := findings.WriteExperimentCSV(w, r); err != nil {
		return command.Failed(err)
	}
	return nil
}

type experimentRowsCmd struct {
	Result string `arg:"" help:"Result file, or the name of a result that is kept."`
	command.OutFlag
	Format string `default:"csv" enum:"csv,json,parquet" help:"Form of the lines: csv, json (a value a line), or an Apache Parquet file."`
}

// Help says what a line has and what it is for.
func (experimentRowsCmd) Help() string {
	return "The deals are played again, in order: seed and number of each, the studied seat, its tiles and what they are, then of each way the measure, whether the seat won, and its net points. " +
		"What is not there is an empty field, or null.\n\nExample: secondpass experiment rows flowers.json -o flowers.csv\n\nThe page docs/experiment-files.md says how other programs come to the same figures."
}

// write writes the rows in the form asked for, and returns how many.
func (c *experimentRowsCmd) write(g *command.Globals, w io.Writer, r *experiment.Result, show func(int)) (int, error) {
	if c.Format == "parquet" && (!g.JSON || c.Out != "") {
		return rowfile.Write(g.Context, w, r, show)
	}
	return r.WriteRows(g.Context, w, c.Format == "json" || g.JSON && c.Out == "", show)
}

// Run plays the deals of a result again and writes them.
func (c *experimentRowsCmd) Run(g *command.Globals) error {
	out, err := g.Create(c.Out)
	if err != nil {
		return err
	}
	_, r, err := findResult(g, c.Result)
	if err != nil {
		return err
	}
	show, done := g.Progress(r.Deals, "deals")
	return out.Export(func(w io.Writer) error {
		n, err := c.write(g, w, r, show)
		done()
		if errors.Is(err, context.Canceled) || err == nil && n < r.Deals {
			g.Remark("stopped after %d of %s; these were written", n, wording.Plural(r.Deals, "deal"))
			return nil
		}
		if err != nil {
			return command.Failed(err)
		}
		return nil
	})
}
