package experiments

import (
	"fmt"
	"math"
	"net/http"
	"strconv"
	"strings"

	"secondpass/engine/stat"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/findings"
	"secondpass/paper/wording"
	"secondpass/research/experiment"
	"secondpass/work/queue"
)

// experimentPage is a result.
type experimentPage struct {
	Name, Path, Title, Asks string
	Fields                  []experimentField
	Live                    experimentPart
	Text, Error             string
	File, Repeat            string
	Rerun                   string
	Series                  *seriesPart // of which it is one, or nil
}

type experimentField struct{ Name, Value string }

// experimentPart is what changes while one watches.
type experimentPart struct {
	queue.Shown
	experimentLook
	Path string
}

// experimentLook is how a result stands at one moment. It does not change afterwards.
type experimentLook struct {
	Deals, Of      int
	Count, Caption string
	// Pace is how quickly deals are played and how long the rest takes; "" where none are.
	Pace      string
	Over      bool // all deals are played, or every comparison came to a verdict
	Ended     experiment.Ended
	Measures  []measureLook
	Won       *countTable
	MoreDeals int
}

// measureLook is how one measure of it stands.
type measureLook struct {
	// Mark goes behind the ids of its parts on the page: "" for the first, -2 for the second. Of names the measure in headings where
	// there are several.
	Mark, Of      string
	Caption       string
	Claim         string
	Ways          []experimentRow
	WaysScale     string
	Measure, Unit string
	Sides         []experimentRow
	Less          []lessRow
	LessScale     string
	Effect        string
	Values        *countTable
	LeftOut       string
	Plots         []view.PlotView
}

// experimentRow is a way, or one side of a split, with its figure.
type experimentRow struct {
	Name, Player, Measure string
	N                     string
	view.Figure
}

// lessRow is a comparison with its verdict.
type lessRow struct {
	Way, Against  string
	Verdict, Note string
	Means         string
	Differ        string
	// Own is what the seat itself did otherwise, beside a measure of others.
	Own string
	view.Figure
}

// countTable is games by section of the hand won with, or by value of the measure.
type countTable struct {
	Head []string
	Rows []countRow
}

type countRow struct {
	Name  string
	Cells []string
}

// verdictNow is a verdict in words; where more deals may still tell, it says so.
func verdictNow(r *experiment.Result, v stat.Verdict) string {
	if v == stat.NotShown && r.Ended != experiment.AllPlayed {
		return "not shown yet"
	}
	return v.String()
}

// verdictsNow is a verdict for each comparison of a result, named where there are several.
func verdictsNow(r *experiment.Result) []string {
	var all []string
	for _, f := range r.Findings() {
		for i := range f.Comparisons {
			c := &f.Comparisons[i]
			text := verdictNow(r, c.Verdict)
			if f.Here > 1 {
				text = wording.ExperimentCompared(&f, c) + ": " + text
			}
			all = append(all, text)
		}
	}
	return all
}

// verdictMeans says what a verdict means for the claim.
func verdictMeans(v stat.Verdict) string {
	switch v {
	case stat.Holds:
		return "The difference is at least the smallest one that matters."
	case stat.DoesNotHold:
		return "Whatever difference there is, it is smaller than the smallest one that matters, or the other way."
	}
	return "These deals do not tell whether the difference is as large as the smallest one that matters."
}

// lookAt is how a result stands now; it reads the result, so nothing may play into it meanwhile.
func lookAt(name string, r *experiment.Result) *experimentLook {
	look := &experimentLook{
		Deals: r.Deals, Of: r.Settings.Deals, Ended: r.Ended, Over: r.Ended == experiment.AllPlayed || r.Ended == experiment.AtVerdict,
		Count:   fmt.Sprintf("%s of %s", strconv.Itoa(r.Deals), wording.Plural(r.Settings.Deals, "deal")),
		Caption: findings.Caption(r), MoreDeals: min(max(2*r.Settings.Deals, 1000), mostDeals),
	}
	for k, f := range r.Findings() {
		look.Measures = append(look.Measures, lookAtMeasure(name, r, k, &f))
		look.won(r, &f)
	}
	return look
}

func lookAtMeasure(name string, r *experiment.Result, k int, f *experiment.Findings) measureLook {
	s := f.Of
	look := measureLook{
		Caption: findings.Caption(r), Measure: s.Measure.String(), Unit: wording.ExperimentUnit(s.Measure),
		Claim: wording.Capital(view.Minus(s.ClaimText())) + view.Minus(wording.ExperimentAgainst(f)),
	}
	if len(r.Of().Also) > 0 {
		look.Of = ": " + look.Measure
	}
	if k > 0 {
		look.Mark = fmt.Sprintf("-%d", k+1)
	}
	look.ways(s, f)
	look.less(r, s, f)
	look.values(s, f)
	if n := f.LeftOut; n > 0 {
		look.LeftOut = wording.Capital(wording.Plural(int(n), "deal")) + " left out, which have no value for any way."
	}
	if r.Deals > 0 {
		for _, p := range findings.MeasurePlots(r, k, f) {
			look.Plots = append(look.Plots, view.DrawPlot(p, experimentPath(name)))
		}
	}
	return look
}

func scaleFactor(m experiment.Measure) float64 {
	if m.Share() {
		return 100
	}
	return 1
}

// valueFigure is the mean of a measure on a scale.
func valueFigure(s view.Scale[experiment.Amount], m experiment.Measure, i stat.Interval[experiment.Amount]) view.Figure {
	f := view.Figure{Value: "no deal yet"}
	if i.N == 0 {
		return f
	}
	f.Value, f.Bar = view.Minus(strconv.FormatFloat(s.Factor*float64(i.Value), 'f', digitsOf(m), 64)), s.Bar(i)
	if m.Share() {
		f.Value += " %"
	}
	f.Range = "too few deals"
	if i.Bounded() {
		f.Range = view.Minus(fmt.Sprintf("%.*f to %.*f", digitsOf(m), s.Factor*float64(i.Low), digitsOf(m), s.Factor*float64(i.High)))
	}
	return f
}

func digitsOf(m experiment.Measure) int {
	if m.Share() {
		return 1
	}
	return 2
}

func (look *measureLook) ways(s *experiment.Experiment, f *experiment.Findings) {
	var all []stat.Interval[experiment.Amount]
	for _, w := range f.Ways {
		if w.Value.N > 0 {
			all = append(all, w.Value)
		}
	}
	for _, c := range f.Comparisons {
		if c.Inside != nil && min(c.Inside.N, c.Outside.N) > 0 {
			all = append(all, *c.Inside, *c.Outside)
		}
	}
	sc := view.ScaleOf(scaleFactor(s.Measure), all...)
	look.WaysScale = sc.Words()
	for _, w := range f.Ways {
		row := experimentRow{Name: w.Way, Player: w.Player, N: wording.Plural(w.Value.N, "deal"), Figure: valueFigure(sc, s.Measure, w.Value)}
		if w.Measure != s.Measure {
			row.Measure = w.Measure.String()
		}
		look.Ways = append(look.Ways, row)
	}
	for _, c := range f.Comparisons {
		if c.Inside != nil {
			look.Sides = append(look.Sides,
				experimentRow{Name: c.Way, N: wording.Plural(c.Inside.N, "deal"), Figure: valueFigure(sc, s.Measure, *c.Inside)},
				experimentRow{Name: c.Against, N: wording.Plural(c.Outside.N, "deal"), Figure: valueFigure(sc, s.Measure, *c.Outside)})
		}
	}
}

// scaleOf is a scale for differences, with zero and the smallest effect that matters.
func scaleOf(factor float64, effect experiment.Amount, differences []stat.Interval[experiment.Amount]) view.Scale[experiment.Amount] {
	all := []stat.Interval[experiment.Amount]{{}, stat.Exact(effect, 1)}
	for _, d := range differences {
		if d.N > 0 {
			all = append(all, d)
		}
	}
	return view.ScaleOf(factor, all...)
}

// differenceFigure is a difference on a scale, with marks at zero and at the smallest effect that matters.
func differenceFigure(sc view.Scale[experiment.Amount], m experiment.Measure, d stat.Interval[experiment.Amount], effect experiment.Amount) view.Figure {
	f := view.Figure{Value: "no deal yet"}
	if d.N > 0 {
		f.Value, f.Range, _ = strings.Cut(view.Minus(wording.ExperimentDifference(m, d)), " ")
		f.Range = strings.Trim(f.Range, "()")
		f.Bar = sc.BarWith(d, 0, effect)
	}
	return f
}

// less fills in the comparisons, on a scale with zero and the smallest effect that matters.
func (look *measureLook) less(r *experiment.Result, s *experiment.Experiment, f *experiment.Findings) {
	factor := scaleFactor(s.Measure)
	effect := experiment.Amount(findings.Effect(s) / factor)
	var all []stat.Interval[experiment.Amount]
	for _, c := range f.Comparisons {
		all = append(all, c.Difference)
	}
	sc := scaleOf(factor, effect, all)
	look.LessScale, look.Effect = sc.Words(), view.Minus(s.ClaimText())
	for _, c := range f.Comparisons {
		row := lessRow{Way: c.Way, Against: c.Against, Verdict: verdictNow(r, c.Verdict), Note: wording.ExperimentNote(&c), Means: verdictMeans(c.Verdict), Own: view.Minus(wording.ExperimentOwnDifference(&c))}
		row.Figure = differenceFigure(sc, s.Measure, c.Difference, effect)
		if c.Inside == nil {
			row.Differ = fmt.Sprintf("differs on %s of %s", strconv.Itoa(c.Differ), wording.Plural(c.Difference.N, "deal"))
		}
		look.Less = append(look.Less, row)
	}
}

// won fills in the games won by section, where games were played to their end; they are the same for every measure of them.
func (look *experimentLook) won(r *experiment.Result, f *experiment.Findings) {
	if look.Won != nil {
		return
	}
	t := &countTable{Head: r.On().Sections}
	for _, w := range f.Ways {
		total := int64(0)
		for _, n := range w.WonWith {
			total += n
		}
		if total == 0 {
			continue
		}
		row := countRow{Name: fmt.Sprintf("%s, %s", w.Way, wording.Plural(int(total), "win"))}
		for _, n := range w.WonWith {
			row.Cells = append(row.Cells, fmt.Sprintf("%.1f", 100*float64(n)/float64(total)))
		}
		t.Rows = append(t.Rows, row)
	}
	if len(t.Rows) > 0 {
		look.Won = t
	}
}

// values fills in how often each way had each value, a row for each value.
func (look *measureLook) values(s *experiment.Experiment, f *experiment.Findings) {
	t := &countTable{}
	most := 0
	for _, w := range f.Ways {
		t.Head = append(t.Head, w.Way)
		most = max(most, len(w.Histogram))
	}
	for v := range most {
		row, any := countRow{Name: strconv.Itoa(v)}, false
		for _, w := range f.Ways {
			n := int64(0)
			if v < len(w.Histogram) {
				n = w.Histogram[v]
			}
			any = any || n > 0
			row.Cells = append(row.Cells, strconv.FormatInt(n, 10))
		}
		if any {
			t.Rows = append(t.Rows, row)
		}
	}
	if len(t.Rows) > 0 && !s.Measure.Share() {
		look.Values = t
	}
}

func (s *Area) showExperiment(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("name")
	result, err := s.shelf.read(name)
	if err != nil {
		return err
	}
	return s.renderExperiment(w, http.StatusOK, name, result, "")
}

func (s *Area) renderExperiment(w http.ResponseWriter, code int, name string, r *experiment.Result, said string) error {
	q := r.Of()
	p := experimentPage{Name: name, Path: experimentPath(name), Title: q.Title(), Asks: q.Asks, Text: r.Experiment, Error: said}
	measures := fmt.Sprintf("%s (%s)", q.Measure, q.Measure.Unit())
	for _, also := range q.Also {
		measures += fmt.Sprintf(", %s (%s)", also.Measure, also.Unit())
	}
	p.Fields = []experimentField{
		{"Measure", measures}, {"Deals", wording.ExperimentPopulation(q)}, {"Seat", wording.ExperimentSeat(q)},
		{"Others", q.Others}, {"Card", r.Card.Name}, {"Seed", strconv.FormatUint(r.Settings.Seed, 10)}, {"Begun by", r.Program},
	}
	if text := strings.TrimSpace(wording.ExperimentPairing(q)); text != "" {
		p.Fields = append(p.Fields, experimentField{"Pairing", text})
	}
	p.File = s.shelf.results.Where(name)
	p.Repeat = "secondpass experiment repeat " + shellWord(p.File)
	p.Rerun = fmt.Sprintf("secondpass experiment run %s --card %s --seed %d --deals %d", shellWord(plainFile(name)+experiment.Ext), shellWord(r.Card.Name), r.Settings.Seed, r.Settings.Deals)
	p.Live = s.experimentPart(name, s.shelf.long.Now(experimentKey(name)), r)
	var err error
	if p.Series, err = s.seriesPart(name, r); err != nil {
		return err
	}
	s.Render(w, code, "experiment", page.Page{Title: "Experiment: " + p.Title, Section: "Experiments", Data: p})
	return nil
}

// plainFile is the last part of a result's name.
func plainFile(name string) string { return name[strings.LastIndex(name, "/")+1:] }

// shellWord is a text as one word of a command line.
func shellWord(text string) string {
	if text != "" && !strings.ContainsFunc(text, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-_./", r))
	}) {
		return text
	}
	return "'" + strings.ReplaceAll(text, "'", `'\''`) + "'"
}

// experimentPart is how a result stands: what runs says, or else the file.
func (s *Area) experimentPart(name string, now queue.Shown, r *experiment.Result) experimentPart {
	p := experimentPart{Shown: now, Path: experimentPath(name)}
	if look, ok := now.Data.(*experimentLook); ok && now.Active() && now.Begun() {
		p.experimentLook = *look
	} else {
		p.experimentLook = *lookAt(name, r)
	}
	return p
}

// Percent is how far the deals are played.
func (p experimentPart) Percent() int {
	return int(math.Round(100 * float64(p.Deals) / float64(max(p.Of, 1))))
}

func (s *Area) liveExperiment(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("name")
	result, err := s.shelf.read(name)
	if err != nil {
		return err
	}
	j, err := s.shelf.long.Watched(experimentKey(name))
	if err != nil {
		return err
	}
	return page.Follow[queue.Shown](w, r, j, func(now queue.Shown) ([]byte, error) {
		p := experimentPart{Shown: now, Path: experimentPath(name)}
		if look, ok := now.Data.(*experimentLook); ok && (now.Begun() || !now.Active()) {
			p.experimentLook = *look
		} else {
			p.experimentLook = *lookAt(name, result)
		}
		return s.Text("experiment", "experiment-live", p)
	})
}
