package experiments

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"secondpass/engine/stat"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/research/experiment"
)

// printExperimentsPage puts results together as Markdown: a table of verdicts, then each experiment with its figures, a plot of its
// differences, and how to repeat it.
func printExperimentsPage(w io.Writer, results []*experiment.Result, files []string) {
	fmt.Fprintf(w, "# Experiments\n\nRules of thumb put to the test by simulated players. Each is played on the same deals and walls for every way of\n"+
		"deciding. Intervals hold with a chance of 95 %% however often one looked. **holds**: the difference is at least the smallest\n"+
		"one that matters. **does not hold**: it is smaller, or the other way. **not shown**: neither, with these deals.\n"+
		"[Experiment files](experiment-files.md) says how to read, write and repeat an experiment.\n\n")
	fmt.Fprintf(w, "| experiment | question | deals | verdict |\n| --- | --- | --- | --- |\n")
	for _, r := range results {
		f := r.Findings()
		fmt.Fprintf(w, "| [%s](#%s) | %s | %d | %s |\n", markdownCell(r.Of().Name), slug(r.Of().Name), markdownCell(r.Of().Asks), r.Deals, f.Verdict)
	}
	for i, r := range results {
		printExperimentSection(w, r, files[i])
	}
}

// slug is a heading as an address has it: letters and digits, hyphens for the rest.
func slug(name string) string {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9') })
	return strings.Join(words, "-")
}

// markdownCell is text in a cell of a table.
func markdownCell(text string) string { return strings.ReplaceAll(text, "|", `\|`) }

func printExperimentSection(w io.Writer, r *experiment.Result, file string) {
	s, f := r.Of(), r.Findings()
	fmt.Fprintf(w, "\n## %s\n\n", s.Name)
	if s.Asks != "" {
		fmt.Fprintf(w, "%s\n\n", s.Asks)
	}
	fmt.Fprintf(w, "Card %s, %s (%s), seed %d. Deals: %s; %s; others %s. Measure: %s.%s%s\n\n",
		r.Card.Name, wording.Plural(r.Deals, "deal"), r.Ended, r.Settings.Seed, wording.ExperimentPopulation(s), wording.ExperimentSeat(s), s.Others, s.Measure, wording.ExperimentPairing(s), wording.ByHouse(s.House))
	fmt.Fprintf(w, "| way | player | %s |\n| --- | --- | --- |\n", markdownCell(s.Measure.String()))
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
	fmt.Fprintf(w, "\nClaim: %s%s.\n\n| difference | in %s | verdict |\n| --- | --- | --- |\n", s.ClaimText(), wording.ExperimentAgainst(s), wording.ExperimentUnit(s.Measure))
	for _, c := range f.Comparisons {
		fmt.Fprintf(w, "| %s less %s | %s | **%s**; %s |\n", markdownCell(c.Way), markdownCell(c.Against), wording.ExperimentDifference(s.Measure, c.Difference), c.Verdict, c.Note)
	}
	if plot := plotBeside(file); command.FileExists(plot) {
		fmt.Fprintf(w, "\n![%s, %s of %s](%s)\n", "Difference in "+s.Measure.String(), wording.Plural(r.Deals, "deal"), s.Name, plotLink(plot))
	} else {
		printPlot(w, s, f.Comparisons)
	}
	if n := r.Tally.LeftOut; n > 0 {
		fmt.Fprintf(w, "\n%s left out, which have no value for any way.\n", wording.Plural(int(n), "deal"))
	}
	fmt.Fprintf(w, "\nRepeat it to the byte: `secondpass experiment repeat %s`. The experiment file:\n\n```\n%s```\n", filepath.Base(file), r.Experiment)
}

// plotWidth is the number of columns of a plot of differences.
const plotWidth = 61

// printPlot draws the intervals of the differences on one scale around 0: the interval, the estimate (o), none (|) and the
// effect of the claim (:).
func printPlot(w io.Writer, s *experiment.Experiment, all []experiment.Comparison) {
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
		fmt.Fprintf(w, "%s  %s\n", plotLine(c.Difference, effect, reach), c.Way)
	}
	scale := experiment.Amount(1)
	if s.Measure.Share() {
		scale = 100
	}
	left, right := wording.Plus(-reach*scale, 3), wording.Plus(reach*scale, 3)
	fmt.Fprintf(w, "%s%s%s\n", left, centre("0", plotWidth-len(left)-len(right), plotWidth/2-len(left)), right)
	fmt.Fprintf(w, "o estimate, = 95 %% interval, | no difference, : the smallest that matters; in %s\n```\n", wording.ExperimentUnit(s.Measure))
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
