package cli

import (
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"secondpass/internal/stat"
	"secondpass/internal/wording"
	"secondpass/study"
)

type studyShowCmd struct {
	Result string `arg:"" help:"Result file."`
}

// Run shows a result.
func (c *studyShowCmd) Run(g *Globals) error {
	r, err := readResult(c.Result)
	if err != nil {
		return err
	}
	return g.showStudy(r)
}

func (g *Globals) showStudy(r *study.Result) error {
	if g.JSON {
		return writeJSON(g.stdout, studyJSON(r))
	}
	printStudy(g.stdout, r)
	return nil
}

// printVerdictLine says in a line what a study came to.
func (g *Globals) printVerdictLine(r *study.Result, name string) {
	if g.JSON {
		_ = writeJSON(g.stdout, studyJSON(r)) // the writer remembers its error
		return
	}
	f := r.Findings()
	fmt.Fprintf(g.stdout, "%-22s %s\n", name, wrap(fmt.Sprintf("%s (%s): %s", f.Verdict, wording.Plural(r.Deals, "deal"), r.Of().Asks), pageWidth, 23))
}

// studyValue is the mean of a measure with its interval.
func studyValue(m study.Measure, i stat.Interval) string {
	if m.Share() {
		return wording.Share(i)
	}
	return wording.Mean(i)
}

// studyDifference is a difference of two means of a measure with its interval.
func studyDifference(m study.Measure, i stat.Interval) string {
	if m.Share() {
		return wording.FineChancePoints(i)
	}
	if !i.Bounded() {
		return wording.Plus(i.Value, 3) + " (too few games)"
	}
	return fmt.Sprintf("%s (%s to %s)", wording.Plus(i.Value, 3), wording.Plus(i.Low, 3), wording.Plus(i.High, 3))
}

// studyUnit is the unit of that.
func studyUnit(m study.Measure) string {
	if m.Share() {
		return "points of a hundred"
	}
	return m.Unit()
}

func populationText(s *study.Study) string {
	if p := s.Population.String(); p != "" {
		return p
	}
	return "all deals"
}

func seatText(s *study.Study) string {
	if s.Seat == study.Everywhere {
		return "the seat goes round"
	}
	return "seat " + s.Seat
}

func printStudy(w io.Writer, r *study.Result) {
	s, f := r.Of(), r.Findings()
	fmt.Fprintf(w, "%s\n", wrap("Study "+s.Name, pageWidth, 2))
	if s.Asks != "" {
		fmt.Fprintf(w, "%s\n", wrap(s.Asks, pageWidth, 2))
	}
	fmt.Fprintf(w, "%s\n", wrap(fmt.Sprintf("Card %s, %s of %d (%s), seed %d. 95 %% intervals in brackets, valid however often one looks.",
		r.Card.Name, wording.Plural(r.Deals, "deal"), r.Settings.Deals, r.Ended, r.Settings.Seed), pageWidth, 2))
	fmt.Fprintf(w, "%s\n\n", wrap(fmt.Sprintf("Deals: %s; %s; others %s.%s", populationText(s), seatText(s), s.Others, pairingText(s)), pageWidth, 2))
	fmt.Fprintf(w, "%s\n", wrap(fmt.Sprintf("Measure: %s (%s)", s.Measure, s.Measure.Unit()), pageWidth, 2))
	for _, st := range f.Ways {
		fmt.Fprintf(w, "  %-30s %s\n", clip(st.Way, 30), studyValue(st.Measure, st.Value))
	}
	fmt.Fprintf(w, "\n%s\n", wrap("Claim: "+s.ClaimText()+against(s), pageWidth, 2))
	for i := range f.Comparisons {
		printComparison(w, s, &f.Comparisons[i])
	}
	if n := r.Tally.LeftOut; n > 0 {
		fmt.Fprintf(w, "\n%s left out, which have no value for any way.\n", wording.Plural(int(n), "deal"))
	}
	printWonWith(w, r, f.Ways)
}

func against(s *study.Study) string {
	switch {
	case s.Split != nil:
		return fmt.Sprintf(" where %s than elsewhere (deals are sorted, not paired)", s.Split)
	case len(s.Ways) > 2:
		return fmt.Sprintf(" than %s; the intervals hold for all %d comparisons together", s.Ways[0].Name, len(s.Ways)-1)
	}
	return " than " + s.Ways[0].Name
}

func pairingText(s *study.Study) string {
	switch s.Pairing {
	case study.SameDeal:
		return " The same deals for every way, walls of their own."
	case study.NoPairing:
		return " Deals of their own for every way."
	}
	return ""
}

func printComparison(w io.Writer, s *study.Study, c *study.Comparison) {
	if c.Inside != nil {
		fmt.Fprintf(w, "  %-30s %s, %s\n", clip("inside", 30), studyValue(s.Measure, *c.Inside), wording.Plural(c.Inside.N, "deal"))
		fmt.Fprintf(w, "  %-30s %s, %s\n", clip("outside", 30), studyValue(s.Measure, *c.Outside), wording.Plural(c.Outside.N, "deal"))
		fmt.Fprintf(w, "  %-30s %s %s\n", "inside less outside", studyDifference(s.Measure, c.Difference), studyUnit(s.Measure))
	} else {
		fmt.Fprintf(w, "  %-30s %s %s\n", clip(c.Way, 30), studyDifference(s.Measure, c.Difference), studyUnit(s.Measure))
		fmt.Fprintf(w, "  %-30s differs on %d of %s\n", "", c.Differ, wording.Plural(c.Difference.N, "deal"))
	}
	fmt.Fprintf(w, "  %-30s %s; %s\n", "", c.Verdict, c.Note)
}

// printWonWith is the sections of the hands won with, where games were played out.
func printWonWith(w io.Writer, r *study.Result, ways []study.Standing) {
	var played []study.Standing
	for _, st := range ways {
		if st.WonWith != nil {
			played = append(played, st)
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
		fmt.Fprintf(w, "  %s\n", wrap(fmt.Sprintf("%s (%s): %s", st.Way, wording.Plural(int(total), "win"), strings.Join(parts, ", ")), pageWidth, 4))
	}
}

type studyAnswer struct {
	Study       string                `json:"study"`
	Asks        string                `json:"asks"`
	Card        string                `json:"card"`
	Seed        uint64                `json:"seed"`
	Deals       int                   `json:"deals"`
	Of          int                   `json:"of"`
	Ended       string                `json:"ended"`
	Program     string                `json:"program"`
	Population  string                `json:"population"`
	Seat        string                `json:"seat"`
	Others      string                `json:"others"`
	Measure     string                `json:"measure"`
	Unit        string                `json:"unit"`
	Split       string                `json:"split,omitempty"`
	Claim       string                `json:"claim"`
	Effect      float64               `json:"effect"`
	Ways        []studyWayAnswer      `json:"ways"`
	Comparisons []studyComparisonJSON `json:"comparisons"`
	Verdict     string                `json:"verdict"`
	LeftOut     int64                 `json:"left_out"`
}

type studyWayAnswer struct {
	Way       string           `json:"way"`
	Player    string           `json:"player"`
	Measure   string           `json:"measure"`
	Value     stat.Interval    `json:"value"`
	Histogram stat.Histogram   `json:"histogram,omitempty"`
	WonWith   map[string]int64 `json:"won_with,omitempty"`
}

type studyComparisonJSON struct {
	Way        string         `json:"way"`
	Against    string         `json:"against"`
	Difference stat.Interval  `json:"difference"`
	Differ     int            `json:"differ,omitempty"`
	Inside     *stat.Interval `json:"inside,omitempty"`
	Outside    *stat.Interval `json:"outside,omitempty"`
	Verdict    string         `json:"verdict"`
	Note       string         `json:"note"`
}

func studyJSON(r *study.Result) studyAnswer {
	s, f := r.Of(), r.Findings()
	a := studyAnswer{
		Study: s.Name, Asks: s.Asks, Card: r.Card.Name, Seed: r.Settings.Seed, Deals: r.Deals, Of: r.Settings.Deals, Ended: string(r.Ended),
		Program: r.Program, Population: s.Population.String(), Seat: s.Seat, Others: s.Others, Measure: s.Measure.String(), Unit: s.Measure.Unit(),
		Claim: s.ClaimText(), Effect: s.Claim.Effect, Ways: []studyWayAnswer{}, Comparisons: []studyComparisonJSON{},
		Verdict: f.Verdict.String(), LeftOut: r.Tally.LeftOut,
	}
	if s.Split != nil {
		a.Split = s.Split.String()
	}
	for _, st := range f.Ways {
		way := studyWayAnswer{Way: st.Way, Player: st.Player, Measure: st.Measure.String(), Value: st.Value, Histogram: st.Histogram}
		for i, n := range st.WonWith {
			if way.WonWith == nil {
				way.WonWith = map[string]int64{}
			}
			way.WonWith[r.On().Sections[i]] = n
		}
		a.Ways = append(a.Ways, way)
	}
	for _, c := range f.Comparisons {
		a.Comparisons = append(a.Comparisons, studyComparisonJSON{c.Way, c.Against, c.Difference, c.Differ, c.Inside, c.Outside, c.Verdict.String(), c.Note.String()})
	}
	return a
}

type studyExportCmd struct {
	Result string `arg:"" help:"Result file."`
	To     string `arg:"" optional:"" help:"New file to write; without it, or with -, standard output."`
	Format string `default:"csv" enum:"csv,json" help:"Form of the figures (csv, json)."`
}

// Run writes the figures of a result.
func (c *studyExportCmd) Run(g *Globals) error {
	r, err := readResult(c.Result)
	if err != nil {
		return err
	}
	write := func(w io.Writer) error { return writeStudyCSV(w, r) }
	if c.Format == "json" || g.JSON {
		write = func(w io.Writer) error { return writeJSON(w, studyJSON(r)) }
	}
	if c.To == "" || c.To == "-" {
		return write(g.stdout)
	}
	if _, err := os.Stat(c.To); err == nil {
		return fmt.Errorf("%s is there already; name a new file", c.To)
	}
	return writeNew(g, c.To, write)
}

// writeStudyCSV writes a line for each figure: means, differences, and how many games had which value or section. Ends of
// intervals that are not known yet are empty.
func writeStudyCSV(out io.Writer, r *study.Result) error {
	w := csv.NewWriter(out)
	a := studyJSON(r)
	row := func(figure, way, against, at string, i stat.Interval, verdict, note string) {
		low, high := "", ""
		if i.Bounded() {
			low, high = csvNumber(i.Low), csvNumber(i.High)
		}
		_ = w.Write([]string{a.Study, a.Card, strconv.FormatUint(a.Seed, 10), figure, way, against, at, csvNumber(i.Value), low, high, strconv.Itoa(i.N), verdict, note})
	}
	_ = w.Write(strings.Split("study,card,seed,figure,way,against,at,value,low,high,n,verdict,note", ","))
	for _, way := range a.Ways {
		row("mean", way.Way, "", way.Measure, way.Value, "", "")
	}
	for _, c := range a.Comparisons {
		if c.Inside != nil {
			row("inside", c.Way, "", a.Measure, *c.Inside, "", "")
			row("outside", c.Against, "", a.Measure, *c.Outside, "", "")
		}
		row("difference", c.Way, c.Against, a.Measure, c.Difference, c.Verdict, c.Note)
	}
	count := func(figure, way, at string, n, of int) {
		_ = w.Write([]string{a.Study, a.Card, strconv.FormatUint(a.Seed, 10), figure, way, "", at, strconv.Itoa(n), "", "", strconv.Itoa(of), "", ""})
	}
	for _, way := range a.Ways {
		for v, n := range way.Histogram {
			count("games by value", way.Way, strconv.Itoa(v), int(n), way.Value.N)
		}
		for _, section := range r.On().Sections {
			if n, played := way.WonWith[section]; played {
				count("games won by section", way.Way, section, int(n), way.Value.N)
			}
		}
	}
	w.Flush()
	if err := w.Error(); err != nil {
		return failure{err}
	}
	return nil
}

func csvNumber(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
