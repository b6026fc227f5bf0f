package experiments

import (
	"bytes"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"unicode"

	"secondpass/engine/stat"
	"secondpass/face/cli/command"
	"secondpass/paper/findings"
	"secondpass/paper/wording"
	"secondpass/research/experiment"
	"secondpass/store"
	"secondpass/store/files"
)

type experimentReportCmd struct {
	Results []string `arg:"" help:"Result files, folders of them, or names of results that are kept."`
	Out     string   `short:"o" placeholder:"FILE" help:"New file for the page; without it, or with -, it is printed, with links that hold in the folder you are in."`
	Plots   bool     `help:"Draw the differences of each result into NAME.svg beside it, in place of what was there; the page shows such files."`
	Picture string   `placeholder:"FILE" help:"New file for one picture over all results, .svg, .png or .pdf: the differences in their first measure, which has to be the same."`
	Pages   bool     `help:"Write each experiment into NAME.md beside its result, in place of what was there; the page itself is then a table that leads there."`
	ByCard  bool     `help:"A column for each card, for experiments that were played on several: where each holds."`
}

// Run puts results together.
func (c *experimentReportCmd) Run(g *command.Globals) error {
	results, all, err := c.read(g)
	if err != nil {
		return err
	}
	var cards *onCards
	if c.ByCard {
		if cards, err = byCard(results, all); err != nil {
			return err
		}
	}
	to, err := g.Create(c.Out)
	if err != nil {
		return err
	}
	if g.JSON && to.Printed() {
		answers := []findings.ExperimentAnswer{}
		for _, r := range results {
			answers = append(answers, findings.AnswerOf(r))
		}
		return g.Answer(answers)
	}
	if c.Picture != "" {
		p, err := findings.SeriesPlot(results)
		if err != nil {
			return fmt.Errorf("--picture %s: %w", c.Picture, err)
		}
		if err := writePicture(g, p.Draw(0), c.Picture); err != nil {
			return err
		}
	}
	if c.Plots {
		for i, r := range results {
			if err := writePlotsBeside(r, all[i]); err != nil {
				return err
			}
		}
	}
	if c.Pages {
		for i, r := range results {
			if err := writePageBeside(r, all[i]); err != nil {
				return err
			}
		}
	}
	return to.Export(func(w io.Writer) error {
		printExperimentsPage(w, results, all, filepath.Dir(c.Out), c.Pages, cards) // that of "" and - is the folder one is in
		return nil
	})
}

// read is the results and the files they stand in.
func (c *experimentReportCmd) read(g *command.Globals) (results []*experiment.Result, all []string, err error) {
	for _, path := range c.Results {
		files := []string{path}
		if info, err := os.Stat(path); err == nil && info.IsDir() {
			if files, err = fs.Glob(os.DirFS(path), "*"+store.ResultExt); err != nil || len(files) == 0 {
				return nil, nil, fmt.Errorf("%s holds no results; right would be files that experiment run has written", path)
			}
			for i := range files {
				files[i] = filepath.Join(path, files[i])
			}
		}
		for _, file := range files {
			place, r, err := findResult(g, file)
			if err != nil {
				return nil, nil, err
			}
			results, all = append(results, r), append(all, place.String())
		}
	}
	return results, all, nil
}

// printExperimentsPage puts results together as Markdown: a table of verdicts, by card or of all, then, unless they have pages of their
// own, each experiment with its figures, a plot of its differences, and how to repeat it. folder is where the page is to stand, so that
// its links lead from there.
func printExperimentsPage(w io.Writer, results []*experiment.Result, files []string, folder string, apart bool, cards *onCards) {
	fmt.Fprintf(w, "# Experiments\n\nRules of thumb put to the test by simulated players. Each is played on the same deals and walls for every way of\n"+
		"deciding. Intervals hold with a chance of 95 %% however often one looked. **holds**: the difference is at least the smallest\n"+
		"one that matters. **does not hold**: it is smaller, or the other way. **not shown**: neither, with these deals.\n"+
		"The page docs/experiment-files.md of secondpass says how to read, write and repeat an experiment.\n\n")
	anchors := anchors{"experiments": 1} // the page itself
	var headings, links []string
	for i, r := range results {
		heading := r.Of().Title()
		if cards != nil {
			heading = question(r).Title() + ", card " + r.Card.Name
		}
		link := "#" + anchors.of(heading)
		if apart {
			link = linkFrom(folder, pageBeside(files[i]))
		}
		headings, links = append(headings, heading), append(links, link)
	}
	if cards != nil {
		cards.print(w, results, links, pathFrom(folder, files[0]))
	} else {
		printVerdicts(w, results, links)
	}
	if apart {
		return
	}
	for i, r := range results {
		fmt.Fprintf(w, "\n## %s\n\n", headings[i])
		printMarkdown(w, r, files[i], folder)
	}
}

// printVerdicts is a table of all results, a line for each comparison, with a link for each result.
func printVerdicts(w io.Writer, results []*experiment.Result, links []string) {
	fmt.Fprintf(w, "| experiment | question | deals | difference | verdict |\n| --- | --- | --- | --- | --- |\n")
	for i, r := range results {
		for _, f := range r.Findings() {
			for j := range f.Comparisons {
				c := &f.Comparisons[j]
				difference := wording.ExperimentDifference(f.Of.Measure, c.Difference) + " " + wording.ExperimentUnit(f.Of.Measure)
				if f.Here > 1 {
					difference = wording.ExperimentCompared(&f, c) + ": " + difference
				}
				fmt.Fprintf(w, "| [%s](%s) | %s | %d | %s | %s |\n", markdownCell(r.Of().Title()), links[i], markdownCell(r.Of().Asks), r.Deals, markdownCell(difference), wording.ExperimentVerdict(c))
			}
		}
	}
}

// pageBeside is the page of a result file, which stands beside it.
func pageBeside(file string) string { return strings.TrimSuffix(file, store.ResultExt) + ".md" }

// writePageBeside writes that page.
func writePageBeside(r *experiment.Result, file string) error {
	var page bytes.Buffer
	fmt.Fprintf(&page, "# %s\n\n", r.Of().Title())
	printMarkdown(&page, r, file, filepath.Dir(file))
	if err := files.Export(pageBeside(file), page.Bytes()); err != nil {
		return command.Failed(fmt.Errorf("the page of %s could not be written: %w", file, err))
	}
	return nil
}

// anchors are how many headings there are of each address.
type anchors map[string]int

// of is the address of the next heading of a text: letters, digits and underscores stay, blanks become hyphens, the rest goes, and
// a second heading of an address has a number behind it. Source: GitHub Docs, Basic writing and formatting syntax, Section links.
func (a anchors) of(heading string) string {
	kept := strings.Map(func(r rune) rune {
		switch {
		case r == ' ':
			return '-'
		case r == '-' || r == '_' || unicode.IsLetter(r) || unicode.IsNumber(r):
			return r
		}
		return -1
	}, strings.ToLower(strings.TrimSpace(heading)))
	n := a[kept]
	a[kept]++
	if n > 0 {
		kept = fmt.Sprintf("%s-%d", kept, n)
	}
	return kept
}

// markdownCell is text in a cell of a table.
func markdownCell(text string) string { return strings.ReplaceAll(text, "|", `\|`) }

// printMarkdown is all of a result below its heading, on a page that stands in a folder.
func printMarkdown(w io.Writer, r *experiment.Result, file, folder string) {
	s := r.Of()
	if s.Asks != "" {
		fmt.Fprintf(w, "%s\n\n", s.Asks)
	}
	var measures []string
	all := r.Findings()
	for _, f := range all {
		measures = append(measures, f.Of.Measure.String())
	}
	fmt.Fprintf(w, "Card %s, %s (%s), seed %d. Deals: %s; %s; others %s. Measure: %s.%s%s\n",
		r.Card.Name, wording.Plural(r.Deals, "deal"), r.Ended, r.Settings.Seed, wording.ExperimentPopulation(s), wording.ExperimentSeat(s), s.Others, strings.Join(measures, ", "), wording.ExperimentPairing(s), wording.ByHouse(s.House))
	for k := range all {
		printMeasure(w, &all[k])
		if plot := plotBeside(file, k); command.FileExists(plot) {
			fmt.Fprintf(w, "\n![%s, %s of %s](%s)\n", "Difference in "+measures[k], wording.Plural(r.Deals, "deal"), s.Name, linkFrom(folder, plot))
		} else {
			printPlot(w, &all[k])
		}
		if n := all[k].LeftOut; n > 0 {
			fmt.Fprintf(w, "\n%s left out, which have no value for any way.\n", wording.Plural(int(n), "deal"))
		}
	}
	fmt.Fprintf(w, "\nRepeat it to the byte: `secondpass experiment repeat %s`. The experiment file:\n\n```\n%s```\n", quoted(pathFrom(folder, file)), r.Experiment)
}

// printMeasure is the ways and the comparisons of one measure as tables.
func printMeasure(w io.Writer, f *experiment.Findings) {
	s := f.Of
	fmt.Fprintf(w, "\n| way | player | %s |\n| --- | --- | --- |\n", markdownCell(s.Measure.String()))
	for _, st := range f.Ways {
		of := ""
		if st.Measure != s.Measure {
			of = " (" + st.Measure.String() + ")"
		}
		fmt.Fprintf(w, "| %s%s | `%s` | %s |\n", markdownCell(st.Way), of, st.Player, wording.ExperimentValue(st.Measure, st.Value))
	}
	for _, c := range f.Comparisons {
		if c.Inside != nil {
			fmt.Fprintf(w, "| inside: %s | %s | %s |\n", s.Split, wording.Plural(c.Inside.N, "deal"), wording.ExperimentValue(s.Measure, *c.Inside))
			fmt.Fprintf(w, "| outside | %s | %s |\n", wording.Plural(c.Outside.N, "deal"), wording.ExperimentValue(s.Measure, *c.Outside))
		}
	}
	fmt.Fprintf(w, "\nClaim: %s%s.\n\n| difference | in %s | verdict |\n| --- | --- | --- |\n", s.ClaimText(), wording.ExperimentAgainst(f), wording.ExperimentUnit(s.Measure))
	for _, c := range f.Comparisons {
		fmt.Fprintf(w, "| %s less %s | %s | **%s**; %s |\n", markdownCell(c.Way), markdownCell(c.Against), wording.ExperimentDifference(s.Measure, c.Difference), c.Verdict, wording.ExperimentNote(&c))
	}
	for i := range f.Comparisons {
		if own := wording.ExperimentOwnDifference(&f.Comparisons[i]); own != "" {
			fmt.Fprintf(w, "\n%s less %s: %s\n", f.Comparisons[i].Way, f.Comparisons[i].Against, own)
		}
	}
}

// plotWidth is the number of columns of a plot of differences.
const plotWidth = 61

// printPlot draws the intervals of the differences on one scale around 0: the interval, the estimate (o), none (|) and the
// effect of the claim (:).
func printPlot(w io.Writer, f *experiment.Findings) {
	s, all := f.Of, f.Comparisons
	reach := s.Claim.Effect
	for _, c := range all {
		if !c.Difference.Bounded() {
			return
		}
		reach = max(reach, -c.Difference.Low, c.Difference.High)
	}
	reach *= 1.05
	fmt.Fprintf(w, "\n```\n")
	effect := s.Claim.Effect
	if s.Claim.Less {
		effect = -effect
	}
	for _, c := range all {
		fmt.Fprintf(w, "%s  %s\n", plotLine(c.Difference, effect, reach), compared(s, &c))
	}
	scale := experiment.Amount(1)
	if s.Measure.Share() {
		scale = 100
	}
	left, right := wording.Plus(-reach*scale, 3), wording.Plus(reach*scale, 3)
	fmt.Fprintf(w, "%s%s%s\n", left, centre("0", plotWidth-len(left)-len(right), plotWidth/2-len(left)), right)
	fmt.Fprintf(w, "o estimate, = 95 %% interval, | no difference, : the smallest that matters; in %s\n```\n", wording.ExperimentUnit(s.Measure))
}

// compared names a comparison beside its plot.
func compared(s *experiment.Experiment, c *experiment.Comparison) string {
	if s.AllPairs {
		return c.Way + " less " + c.Against
	}
	return c.Way
}

// centre is a mark at a column of a field of blanks.
func centre(mark string, width, at int) string {
	line := []byte(strings.Repeat(" ", max(width, 1)))
	if 0 <= at && at < len(line) {
		line[at] = mark[0]
	}
	return string(line)
}

func plotLine(i stat.Interval[experiment.Amount], effect, reach experiment.Amount) string {
	line := []byte(strings.Repeat(" ", plotWidth))
	at := func(x experiment.Amount) int { return max(0, min(plotWidth-1, int((x/reach+1)/2*(plotWidth-1)+0.5))) }
	line[at(0)] = '|'
	line[at(effect)] = ':'
	for x := at(i.Low); x <= at(i.High); x++ {
		if line[x] == ' ' {
			line[x] = '='
		}
	}
	line[at(i.Value)] = 'o'
	return string(line)
}

// pathFrom is a file as it is called in a folder, with slashes; as it stands where there is no way from one to the other.
func pathFrom(folder, file string) string {
	from, err := filepath.Abs(folder)
	to, bad := filepath.Abs(file)
	if err == nil && bad == nil {
		if way, err := filepath.Rel(from, to); err == nil {
			return filepath.ToSlash(way)
		}
	}
	return filepath.ToSlash(file)
}

// linkFrom is that as an address.
func linkFrom(folder, file string) string { return (&url.URL{Path: pathFrom(folder, file)}).String() }

// quoted is an argument as it is typed.
func quoted(argument string) string {
	if strings.ContainsAny(argument, " '$&();") {
		return fmt.Sprintf("%q", argument)
	}
	return argument
}
