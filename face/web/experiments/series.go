package experiments

import (
	"fmt"
	"net/http"
	"regexp"
	"strconv"
	"strings"
	"sync"

	"secondpass/desk"
	"secondpass/engine/stat"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/findings"
	"secondpass/paper/wording"
	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// seriesPart is all results of the series that a result is of: one table, one picture.
type seriesPart struct {
	Path, Name, Caption string
	Tables              []seriesTable
	Plots               []view.PlotView
	// Active says that some of it is played or waits, Over that nothing is left to be played.
	Active, Over bool
	Progress     string
}

// seriesTable is the comparisons of a series in one measure.
type seriesTable struct {
	Measure, Claim, Unit, Scale string
	Rows                        []seriesRow
}

type seriesRow struct {
	Cell, Path, What, Deals string
	Here                    bool
	Verdict, Note           string
	view.Figure
}

// drawnCards keeps the cards that a series names by how they are drawn, so that a file is checked quickly as it is typed.
type drawnCards struct {
	mu    sync.Mutex
	cards map[string]*card.Card
}

// mostDrawn bounds the cards kept, and those of one series that take a second each.
const mostDrawn = 16

func (d *drawnCards) card(name string, set tile.Set) (*card.Card, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	key := fmt.Sprint(name, set)
	if c := d.cards[key]; c != nil {
		return c, nil
	}
	c, err := desk.Drawn(name, set)
	if err != nil {
		return nil, err
	}
	if len(d.cards) >= mostDrawn {
		clear(d.cards)
	}
	d.cards[key] = c
	return c, nil
}

// readSeries reads a series; cardName is the card where it names none.
func (s *Area) readSeries(text, cardName string) (*experiment.Series, error) {
	drawn := map[string]bool{}
	return experiment.ReadSeries("experiment", []byte(text), func(name string, set tile.Set) (*card.Card, error) {
		switch {
		case name == "":
			return address.Card(s.desk, cardName, set)
		case !desk.IsDrawn(name):
			return address.Card(s.desk, name, set)
		}
		if drawn[fmt.Sprint(name, set)] = true; len(drawn) > mostDrawn {
			return nil, fmt.Errorf("the series has more than %d cards that are to be drawn; secondpass experiment run plays it at the command line", mostDrawn)
		}
		return s.drawn.card(name, set)
	})
}

// beginSeries makes the results of a series, keeps them, and starts them one after the other.
func (s *Area) beginSeries(w http.ResponseWriter, r *http.Request, all *experiment.Series, deals int, refuse func(string) error) error {
	seed, err := page.SeedOf(r.PostForm.Get("seed"))
	if err != nil {
		return refuse(view.Sentence(err))
	}
	results := make([]*experiment.Result, len(all.Cells))
	for i, cell := range all.Cells {
		if results[i], err = s.desk.StartExperiment(cell.Experiment, cell.Card, seed, deals); err != nil {
			return refuse(view.Sentence(err))
		}
	}
	names, err := s.shelf.seriesNames(all, seed)
	if err != nil {
		return err
	}
	for i, name := range names {
		if err := s.shelf.results.Write(name, results[i]); err != nil {
			return err
		}
	}
	for i, name := range names {
		if err := s.shelf.run(name, results[i]); err != nil {
			return err
		}
	}
	return page.SeeOther(w, r, experimentPath(names[0]))
}

// seriesNames are free names for the results of a series. They are told from those of another by what stands around number and values.
func (sh *shelf) seriesNames(all *experiment.Series, seed uint64) ([]string, error) {
	entries, err := sh.results.List()
	if err != nil {
		return nil, err
	}
	taken := map[string]bool{}
	for _, e := range entries {
		taken[e.Name] = true
	}
	for again := 1; ; again++ {
		free, names := true, make([]string, len(all.Cells))
		for i, cell := range all.Cells {
			names[i] = fmt.Sprintf("%s-%02d-%s-seed-%d", plainWords(all.Name), i+1, plainWords(strings.Join(cell.Values, " ")), seed)
			if again > 1 {
				names[i] += "-" + strconv.Itoa(again)
			}
			free = free && !taken[names[i]]
		}
		if free {
			return names, nil
		}
	}
}

// plainWords is a text as a part of the name of a result.
func plainWords(text string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9') }), "-")
}

var cellName = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^(.+)-([0-9][0-9])-.*-seed-([0-9]+(?:-[0-9]+)?)$`) })

// member is one result of a series.
type member struct {
	name   string
	result *experiment.Result
}

// series is the results of the series that a result is of, in their order; none where it is of no series.
func (sh *shelf) series(name string, r *experiment.Result) ([]member, error) {
	mine := cellName().FindStringSubmatch(name)
	if r.Of().Cell == "" || mine == nil {
		return nil, nil
	}
	entries, err := sh.results.List()
	if err != nil {
		return nil, err
	}
	byNumber := map[int]member{}
	for _, e := range entries {
		m := cellName().FindStringSubmatch(e.Name)
		if m == nil || m[1] != mine[1] || m[3] != mine[3] {
			continue
		}
		of, err := sh.results.Read(e.Name)
		if err != nil || of.Of().Cell == "" || of.Of().Name != r.Of().Name {
			continue
		}
		number, _ := strconv.Atoi(m[2])
		byNumber[number] = member{e.Name, of}
	}
	var all []member
	for n := range len(entries) + 100 {
		if m, there := byNumber[n]; there {
			all = append(all, m)
		}
	}
	return all, nil
}

// seriesPart is how the series of a result stands, nil where it is of none.
func (s *Area) seriesPart(name string, r *experiment.Result) (*seriesPart, error) {
	all, err := s.shelf.series(name, r)
	if err != nil || len(all) == 0 {
		return nil, err
	}
	p := &seriesPart{Path: experimentPath(name), Name: r.Of().Name, Over: true}
	played, asked := 0, 0
	results := resultsOf(all)
	for _, m := range all {
		played, asked = played+m.result.Deals, asked+m.result.Settings.Deals
		p.Active = p.Active || s.shelf.long.Now(experimentKey(m.name)).Active()
		p.Over = p.Over && (m.result.Ended == experiment.AllPlayed || m.result.Ended == experiment.AtVerdict)
	}
	p.Progress = fmt.Sprintf("%d of %s", played, wording.Plural(asked, "deal"))
	first := results[0].Findings()
	p.Caption = fmt.Sprintf("%s of one question, seed %d. 95 %% intervals, valid however often one looks, for all %d comparisons together.",
		wording.Plural(len(all), "experiment"), results[0].Settings.Seed, first[0].Together)
	for k := range first {
		p.Tables = append(p.Tables, seriesTableOf(name, all, k))
	}
	if plot, err := findings.SeriesPlot(results); err == nil && played > 0 { // results that other programs left there may not fit each other
		p.Plots = append(p.Plots, view.DrawPlot(plot, p.Path))
	}
	return p, nil
}

// seriesTableOf is the table of the k-th measure of a series, all its bars on one scale.
func seriesTableOf(name string, all []member, k int) seriesTable {
	of := all[0].result.Findings()[k].Of
	t := seriesTable{Measure: of.Measure.String(), Claim: view.Minus(of.ClaimText()), Unit: wording.ExperimentUnit(of.Measure)}
	factor := scaleFactor(of.Measure)
	effect := experiment.Amount(findings.Effect(of) / factor)
	var differences []stat.Interval[experiment.Amount]
	for _, m := range all {
		for _, c := range m.result.Findings()[k].Comparisons {
			differences = append(differences, c.Difference)
		}
	}
	sc := scaleOf(factor, effect, differences)
	t.Scale = sc.Words()
	for _, m := range all {
		f := m.result.Findings()[k]
		for i := range f.Comparisons {
			c := &f.Comparisons[i]
			row := seriesRow{Cell: m.result.Of().Cell, Path: experimentPath(m.name), Here: m.name == name, Deals: wording.Plural(m.result.Deals, "deal"),
				Verdict: verdictNow(m.result, c.Verdict), Note: wording.ExperimentNote(c)}
			if len(f.Comparisons) > 1 {
				row.What = c.Way + " less " + c.Against
			}
			row.Figure = differenceFigure(sc, of.Measure, c.Difference, effect)
			t.Rows = append(t.Rows, row)
		}
	}
	return t
}

// withSeries adds the picture over the series of a result to its own.
func (sh *shelf) withSeries(plots []findings.Plot, name string, r *experiment.Result) ([]findings.Plot, error) {
	all, err := sh.series(name, r)
	if err != nil || len(all) == 0 {
		return plots, err
	}
	plot, err := findings.SeriesPlot(resultsOf(all))
	if err != nil {
		return plots, nil
	}
	return append(plots, plot), nil
}

func resultsOf(all []member) []*experiment.Result {
	var results []*experiment.Result
	for _, m := range all {
		results = append(results, m.result)
	}
	return results
}

// steerSeries stops all of a series or goes on with what is left of it.
func (s *Area) steerSeries(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	name := r.PathValue("name")
	result, err := s.shelf.read(name)
	if err != nil {
		return err
	}
	all, err := s.shelf.series(name, result)
	if err != nil {
		return err
	}
	for _, m := range all {
		switch active := s.shelf.long.Now(experimentKey(m.name)).Active(); {
		case r.PostForm.Get("act") == "stop":
			s.shelf.long.End(experimentKey(m.name))
		case !active && m.result.Ended != experiment.AllPlayed && m.result.Ended != experiment.AtVerdict:
			if err := s.shelf.run(m.name, m.result); err != nil {
				return err
			}
		}
	}
	return page.SeeOther(w, r, experimentPath(name))
}

// liveSeries is how the series of a result stands, asked for while it is played.
func (s *Area) liveSeries(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("name")
	result, err := s.shelf.read(name)
	if err != nil {
		return err
	}
	p, err := s.seriesPart(name, result)
	if err == nil && p == nil {
		err = page.NotFound("The result %s is of no series.", name)
	}
	if err != nil {
		return err
	}
	return s.part(w, "experiment", "experiment-series", p)
}
