package experiment

import (
	"math"

	"secondpass/engine/stat"
)

// Findings are what a result shows of one measure.
type Findings struct {
	// Of is the experiment as if it had this measure alone.
	Of *Experiment
	// Ways are in the order of the experiment. Comparisons are those of every way with the first, then, where all are compared, of
	// the later ones with the second, and so on; one for a split.
	Ways        []Standing
	Comparisons []Comparison
	// Here is the number of comparisons of all measures; Together that of a whole series where it is of one: the intervals of the
	// differences hold for so many together.
	Here, Together int
	// LeftOut is the number of deals without a value.
	LeftOut int64
}

// Standing is one way for itself.
type Standing struct {
	Way, Player string
	Measure     Measure
	// Value is the mean of the measure (0..1 for a share) with an interval that stays valid under peeking.
	Value stat.Interval[Amount]
	// Histogram counts games by value, WonWith games won by section of the card; either may be nil.
	Histogram stat.Histogram
	WonWith   []int64
	// Own is what the seat itself won, for a measure of others; else nil.
	Own *Own
}

// Comparison is one way set against another, or the deals inside a split against those outside.
type Comparison struct {
	Way, Against string
	// Difference is the way's mean less that of the other, in the unit of the measure, with an interval that stays valid
	// under peeking, for all comparisons of the experiment together. Its N counts deals.
	Difference stat.Interval[Amount]
	// Differ is the number of deals on which the two differ, 0 for a split.
	Differ  int
	Verdict stat.Verdict
	Note    Note
	// Inside and Outside are the two sides of a split.
	Inside, Outside *stat.Interval[Amount]
	// Own is what the seat itself did otherwise, for a measure of others; else nil.
	Own *Own
}

// Note says more than the verdict.
type Note uint8

const (
	// Unclear: the interval of the difference holds 0.
	Unclear Note = iota
	// Shown: there is a difference in the claimed direction.
	Shown
	// Opposite: there is a difference in the other direction.
	Opposite
	// Even: the interval lies within the effect on both sides: no difference that matters.
	Even
)

// String is the note in words.
func (n Note) String() string {
	return [...]string{
		"no difference shown",
		"there is a difference this way",
		"there is a difference the other way",
		"no difference that matters",
	}[n]
}

// leastDiffering is the number of pairs that differ from which the normal approximation is trusted; with fewer the interval
// uses nothing but the span of the measure. Our choice: what differs so rarely is lopsided, see stat.AsymptoticCS.
const leastDiffering = 50

// verdict is what an interval of the difference says of a claim.
func (c Claim) verdict(d stat.Interval[Amount]) (stat.Verdict, Note) {
	low, high := d.Low, d.High
	if c.Less {
		low, high = -d.High, -d.Low
	}
	v, n := stat.NotShown, Unclear
	switch {
	case d.N == 0:
	case low >= c.Effect:
		v = stat.Holds
	case high < c.Effect:
		v = stat.DoesNotHold
	}
	switch {
	case d.N == 0:
	case low > 0:
		n = Shown
	case high < 0:
		n = Opposite
	case low > -c.Effect && high < c.Effect:
		n = Even
	}
	return v, n
}

// Findings are what the result shows of each measure.
func (r *Result) Findings() []Findings {
	var all []Findings
	for k := range r.experiment.measures() {
		all = append(all, r.findings(k))
	}
	return all
}

// together is for how many comparisons the intervals of the differences hold.
func (r *Result) together() int { return r.experiment.comparisons() * max(1, r.experiment.Together) }

// tally is that of a measure.
func (r *Result) tally(measure int) *MeasureTally {
	if measure == 0 {
		return &r.Tally.MeasureTally
	}
	return r.Tally.Also[measure-1]
}

func (r *Result) findings(measure int) Findings {
	s, t := r.experiment.only(measure), r.tally(measure)
	f := Findings{Of: s, Comparisons: r.comparisons(measure), Here: r.experiment.comparisons(), Together: r.together(), LeftOut: t.LeftOut}
	for i := range s.Ways {
		way, m := &t.Ways[i], s.measure(i)
		f.Ways = append(f.Ways, Standing{Way: s.Ways[i].Name, Player: s.Ways[i].Player, Measure: m,
			Value: r.mean(way.Value, m), Histogram: way.Histogram, WonWith: way.WonWith, Own: r.own(way.Own)})
	}
	if s.Split != nil {
		c := &f.Comparisons[0]
		inside, outside := r.mean(t.Inside, s.Measure), r.mean(t.Outside, s.Measure)
		c.Inside, c.Outside = &inside, &outside
	}
	return f
}

// comparisons are the differences in a measure and their verdicts.
func (r *Result) comparisons(measure int) []Comparison {
	s, t := r.experiment.only(measure), r.tally(measure)
	if s.Split != nil {
		return []Comparison{r.splitComparison(s, t)}
	}
	var all []Comparison
	for i, of := range s.contrasts() {
		p := &t.Pairs[i]
		c := Comparison{Way: s.Ways[of.way].Name, Against: s.Ways[of.against].Name, Differ: int(p.Differ), Difference: r.difference(p, s.measure(of.way), s.measure(of.against))}
		c.Verdict, c.Note = s.Claim.verdict(c.Difference)
		c.Own = r.ownDifference(s.measure(of.way), p.Own, t.Ways[of.against].Own, t.Ways[of.way].Own, c.Difference)
		all = append(all, c)
	}
	return all
}

// difference is the paired difference of two ways, with its interval: all of them hold together by the inequality of Bonferroni
// (O. J. Dunn, Multiple comparisons among means, Journal of the American Statistical Association 56, 1961), whatever hangs together.
func (r *Result) difference(p *PairTally, way, against Measure) stat.Interval[Amount] {
	several := r.together()
	if p.Differ >= leastDiffering {
		if d := stat.AsymptoticCSOf[Amount](p.Less, r.Settings.Tuned, several); d.Bounded() {
			return d
		}
	}
	a, b := newGauge(against, r.card), newGauge(way, r.card)
	less, more := a.span(r.card), b.span(r.card)
	d := stat.BoundedCSOf[Amount](p.Less, less+more, r.Settings.Tuned, several)
	if !d.Bounded() { // no deal counts
		return d
	}
	return d.Within(Amount(-less), Amount(more))
}

// mean is one way's mean, valid under peeking.
func (r *Result) mean(m stat.IntMoments[Amount], of Measure) stat.Interval[Amount] {
	if of.Share() {
		return stat.As[Amount](stat.BernoulliCS(int(m.Sum), m.Count(), r.Settings.Tuned))
	}
	if i := stat.AsymptoticCS[Amount](m, r.Settings.Tuned); i.Bounded() {
		return i
	}
	g := newGauge(of, r.card)
	i := stat.BoundedCSOf[Amount](m, g.span(r.card), r.Settings.Tuned, 1)
	if of.Of == Points {
		return i
	}
	return i.Within(0, Amount(math.Inf(1)))
}

func (r *Result) splitComparison(e *Experiment, t *MeasureTally) Comparison {
	in, out := &t.Inside, &t.Outside
	c := Comparison{Way: "inside: " + e.Split.String(), Against: "outside"}
	s := stat.Independent{First: in, Second: out}
	c.Difference = stat.Unknown(Amount(s.Mean()), s.Count())
	if min(in.Count(), out.Count()) >= leastGroup && in.Variance() > 0 && out.Variance() > 0 {
		c.Difference = stat.AsymptoticCSOf[Amount](s, r.Settings.Tuned, r.together())
	}
	c.Verdict, c.Note = e.Claim.verdict(c.Difference)
	return c
}

// leastGroup is the number of deals that each side of a split needs before a difference is spoken of. Our choice, as that of
// stat.AsymptoticCS.
const leastGroup = 128
