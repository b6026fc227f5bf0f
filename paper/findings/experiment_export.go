package findings

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"

	"secondpass/engine/stat"
	"secondpass/research/experiment"
)

// ExperimentAnswer is the figures of a result as JSON has them.
type ExperimentAnswer struct {
	Experiment string `json:"experiment"`
	Asks       string `json:"asks"`
	Card       string `json:"card"`
	Seed       uint64 `json:"seed"`
	Deals      int    `json:"deals"`
	Of         int    `json:"of"`
	Ended      string `json:"ended"`
	Program    string `json:"program"`
	Population string `json:"population"`
	Seat       string `json:"seat"`
	Others     string `json:"others"`
	ExperimentMeasure
	// Also are the further measures of the same games.
	Also []ExperimentMeasure `json:"also,omitempty"`
}

// ExperimentMeasure is what a result shows of one measure.
type ExperimentMeasure struct {
	Measure     string                 `json:"measure"`
	Unit        string                 `json:"unit"`
	Split       string                 `json:"split,omitempty"`
	Claim       string                 `json:"claim"`
	Effect      experiment.Amount      `json:"effect"`
	Ways        []ExperimentWay        `json:"ways"`
	Comparisons []ExperimentComparison `json:"comparisons"`
	// Verdict is that of a result with one comparison; with several, each has its own.
	Verdict string `json:"verdict,omitempty"`
	LeftOut int64  `json:"left_out"`
}

// ExperimentWay is one way of a ExperimentAnswer.
type ExperimentWay struct {
	Way       string                           `json:"way"`
	Player    string                           `json:"player"`
	Measure   string                           `json:"measure"`
	Value     stat.Interval[experiment.Amount] `json:"value"`
	Histogram stat.Histogram                   `json:"histogram,omitempty"`
	WonWith   map[string]int64                 `json:"won_with,omitempty"`
	// Own is what the seat itself won, beside a measure of others.
	Own *ExperimentOwn `json:"own,omitempty"`
}

// ExperimentOwn is what the studied seat itself won in a way, or won otherwise than in the first; of a difference Rest is that in
// the share which the others win of the games that the seat does not win, and Explains says that none is shown there.
type ExperimentOwn struct {
	Wins     stat.Interval[experiment.Amount]  `json:"wins"`
	Points   stat.Interval[experiment.Amount]  `json:"points"`
	Rest     *stat.Interval[experiment.Amount] `json:"rest,omitempty"`
	Explains bool                              `json:"explains,omitempty"`
}

func ownOf(o *experiment.Own) *ExperimentOwn {
	if o == nil {
		return nil
	}
	return &ExperimentOwn{o.Wins, o.Points, o.Rest, o.Explains}
}

// ExperimentComparison is one comparison of a ExperimentAnswer.
type ExperimentComparison struct {
	Way        string                            `json:"way"`
	Against    string                            `json:"against"`
	Difference stat.Interval[experiment.Amount]  `json:"difference"`
	Differ     int                               `json:"differ,omitempty"`
	Inside     *stat.Interval[experiment.Amount] `json:"inside,omitempty"`
	Outside    *stat.Interval[experiment.Amount] `json:"outside,omitempty"`
	Verdict    string                            `json:"verdict"`
	Note       string                            `json:"note"`
	Own        *ExperimentOwn                    `json:"own,omitempty"`
}

// AnswerOf is the figures of a result.
func AnswerOf(r *experiment.Result) ExperimentAnswer {
	s, all := r.Of(), r.Findings()
	a := ExperimentAnswer{
		Experiment: s.Title(), Asks: s.Asks, Card: r.Card.Name, Seed: r.Settings.Seed, Deals: r.Deals, Of: r.Settings.Deals, Ended: string(r.Ended),
		Program: r.Program, Population: s.Population.String(), Seat: s.Seat, Others: s.Others, ExperimentMeasure: measureOf(r, &all[0]),
	}
	for _, f := range all[1:] {
		a.Also = append(a.Also, measureOf(r, &f))
	}
	return a
}

func measureOf(r *experiment.Result, f *experiment.Findings) ExperimentMeasure {
	s := f.Of
	a := ExperimentMeasure{
		Measure: s.Measure.String(), Unit: s.Measure.Unit(), Claim: s.ClaimText(), Effect: s.Claim.Effect,
		Ways: []ExperimentWay{}, Comparisons: []ExperimentComparison{}, LeftOut: f.LeftOut,
	}
	if f.Here == 1 {
		a.Verdict = f.Comparisons[0].Verdict.String()
	}
	if s.Split != nil {
		a.Split = s.Split.String()
	}
	for _, st := range f.Ways {
		way := ExperimentWay{Way: st.Way, Player: st.Player, Measure: st.Measure.String(), Value: st.Value, Histogram: st.Histogram, Own: ownOf(st.Own)}
		for i, n := range st.WonWith {
			if way.WonWith == nil {
				way.WonWith = map[string]int64{}
			}
			way.WonWith[r.On().Sections[i]] = n
		}
		a.Ways = append(a.Ways, way)
	}
	for _, c := range f.Comparisons {
		a.Comparisons = append(a.Comparisons, ExperimentComparison{c.Way, c.Against, c.Difference, c.Differ, c.Inside, c.Outside, c.Verdict.String(), c.Note.String(), ownOf(c.Own)})
	}
	return a
}

// WriteExperimentCSV writes a line for each figure: means, differences, and how many games had which value or section. Ends of
// intervals that are not known yet are empty.
func WriteExperimentCSV(out io.Writer, r *experiment.Result) error {
	w := csv.NewWriter(out)
	a := AnswerOf(r)
	row := func(figure, way, against, at string, i stat.Interval[experiment.Amount], verdict, note string) {
		low, high := "", ""
		if i.Bounded() {
			low, high = csvNumber(i.Low), csvNumber(i.High)
		}
		_ = w.Write([]string{a.Experiment, a.Card, strconv.FormatUint(a.Seed, 10), figure, way, against, at, csvNumber(i.Value), low, high, strconv.Itoa(i.N), verdict, note})
	}
	_ = w.Write(strings.Split("experiment,card,seed,figure,way,against,at,value,low,high,n,verdict,note", ","))
	count := func(figure, way, at string, n, of int) {
		_ = w.Write([]string{a.Experiment, a.Card, strconv.FormatUint(a.Seed, 10), figure, way, "", at, strconv.Itoa(n), "", "", strconv.Itoa(of), "", ""})
	}
	// Where there are several measures, their counts are told apart by the measure before the value.
	at := func(m ExperimentMeasure, of string) string {
		if len(a.Also) > 0 {
			return m.Measure + ": " + of
		}
		return of
	}
	for _, m := range append([]ExperimentMeasure{a.ExperimentMeasure}, a.Also...) {
		for _, way := range m.Ways {
			row("mean", way.Way, "", way.Measure, way.Value, "", "")
			if way.Own != nil {
				row("own wins", way.Way, "", "win", way.Own.Wins, "", "")
				row("own net points", way.Way, "", "points", way.Own.Points, "", "")
			}
		}
		for _, c := range m.Comparisons {
			if c.Inside != nil {
				row("inside", c.Way, "", m.Measure, *c.Inside, "", "")
				row("outside", c.Against, "", m.Measure, *c.Outside, "", "")
			}
			row("difference", c.Way, c.Against, m.Measure, c.Difference, c.Verdict, c.Note)
			if c.Own != nil {
				row("difference in own wins", c.Way, c.Against, "win", c.Own.Wins, "", "")
				row("difference in own net points", c.Way, c.Against, "points", c.Own.Points, "", "")
			}
		}
		for _, way := range m.Ways {
			for v, n := range way.Histogram {
				count("games by value", way.Way, at(m, strconv.Itoa(v)), int(n), way.Value.N)
			}
			for _, section := range r.On().Sections {
				if n, played := way.WonWith[section]; played {
					count("games won by section", way.Way, at(m, section), int(n), way.Value.N)
				}
			}
		}
	}
	w.Flush()
	return w.Error()
}

func csvNumber(x experiment.Amount) string { return strconv.FormatFloat(float64(x), 'g', -1, 64) }
