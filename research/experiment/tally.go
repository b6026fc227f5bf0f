package experiment

import (
	"secondpass/engine/stat"
)

// Tally is what the deals of an experiment add up to: whole numbers, whose size does not grow with the number of deals.
type Tally struct {
	MeasureTally
	// Also are those of the further measures.
	Also []*MeasureTally `json:"also,omitempty"`
}

// MeasureTally is what one measure adds up to.
type MeasureTally struct {
	Ways []WayTally `json:"ways"`
	// Pairs are the differences of the ways that are compared, over the deals that have a value for both: of every way but the
	// first to it, and where all are compared then of the later ones to the second, and so on.
	Pairs []PairTally `json:"pairs"`
	// Inside and Outside are the two groups of a split experiment.
	Inside  stat.IntMoments[Amount] `json:"inside"`
	Outside stat.IntMoments[Amount] `json:"outside"`
	// LeftOut is the deals without a value: outside the band of among, without a gift, or without a win where turns count.
	LeftOut int64 `json:"left_out"`
}

// WayTally is what one way's games add up to.
type WayTally struct {
	Value stat.IntMoments[Amount] `json:"value"`
	// Histogram counts the games by the value where that is a small number: element i those with the value i.
	Histogram stat.Histogram `json:"histogram,omitempty"`
	// WonWith counts the games won by the section of the hand, where games are played to their end.
	WonWith []int64 `json:"won_with,omitempty"`
	// Own is beside a measure of others; nil else, and in results of earlier programs.
	Own *OwnTally `json:"own,omitempty"`
}

// PairTally is the differences between two ways.
type PairTally struct {
	Less stat.IntMoments[Amount] `json:"less"`
	// Differ is the number of deals on which the two differ.
	Differ int64 `json:"differ"`
	// Own is that of both measures, where both are of others.
	Own *OwnTally `json:"own,omitempty"`
}

// mostBars is the largest value that a histogram holds.
const mostBars = 160

func newTally(s *Experiment, sections int) *Tally {
	t := &Tally{MeasureTally: *newMeasureTally(s, 0, sections)}
	for k := range s.Also {
		t.Also = append(t.Also, newMeasureTally(s, k+1, sections))
	}
	return t
}

// newMeasureTally is that of one measure.
func newMeasureTally(s *Experiment, measure, sections int) *MeasureTally {
	one, contrasts, plays := s.only(measure), s.contrasts(), s.plays()
	t := &MeasureTally{Ways: make([]WayTally, len(s.Ways)), Pairs: make([]PairTally, len(contrasts))}
	for i := range t.Ways {
		if one.measure(i).Of.row().play {
			t.Ways[i].WonWith = make([]int64, sections)
		}
		t.Ways[i].Own = ownTally(one.measure(i), plays)
	}
	for i, c := range contrasts {
		if t.Ways[c.against].Own != nil {
			t.Pairs[i].Own = ownTally(one.measure(c.way), plays)
		}
	}
	return t
}

// Merge adds the deals that follow.
func (t *Tally) Merge(next *Tally) {
	t.merge(&next.MeasureTally)
	for i := range t.Also {
		t.Also[i].merge(next.Also[i])
	}
}

func (t *MeasureTally) merge(next *MeasureTally) {
	for i := range t.Ways {
		w, n := &t.Ways[i], &next.Ways[i]
		w.Value.Merge(n.Value)
		w.Histogram.Merge(n.Histogram)
		for s := range w.WonWith {
			w.WonWith[s] += n.WonWith[s]
		}
		w.Own.merge(n.Own)
	}
	for i := range t.Pairs {
		t.Pairs[i].Less.Merge(next.Pairs[i].Less)
		t.Pairs[i].Differ += next.Pairs[i].Differ
		t.Pairs[i].Own.merge(next.Pairs[i].Own)
	}
	t.Inside.Merge(next.Inside)
	t.Outside.Merge(next.Outside)
	t.LeftOut += next.LeftOut
}

// add adds one deal that a worker has played.
func (t *Tally) add(w *worker) {
	t.addMeasure(w, w.gauges[0])
	for i := range t.Also {
		t.Also[i].addMeasure(w, w.gauges[i+1])
	}
}

// addMeasure adds one measure of the deal, with what is measured of each way.
func (t *MeasureTally) addMeasure(w *worker, gauges []gauge) {
	if w.split != nil {
		t.addSplit(w, gauges)
		return
	}
	none := true
	for i := range gauges {
		p := &w.played[w.line[i]]
		w.values[i], w.has[i] = 0, false
		if !p.left {
			w.values[i], w.has[i] = gauges[i].of(p)
		}
		if w.has[i] {
			none = false
			t.addValue(w, gauges, i, w.values[i])
		}
	}
	if none {
		t.LeftOut++
	}
	for i, c := range w.contrasts {
		if !w.has[c.way] || !w.has[c.against] {
			continue
		}
		less := w.values[c.way] - w.values[c.against]
		t.Pairs[i].add(less)
		if own := t.Pairs[i].Own; own != nil {
			won, points := w.played[w.line[c.way]].own()
			wonOther, pointsOther := w.played[w.line[c.against]].own()
			own.add(less, won-wonOther, points-pointsOther)
		}
	}
}

// splitOf is a measure of a split experiment's game and the group that it is in; ok is false where it is in none.
func (w *worker) splitOf(measure *gauge, p *played) (value int, inside, ok bool) {
	value, ok = measure.of(p)
	at, known := w.split.of(p)
	ok = ok && known && !p.left
	if w.among != nil {
		n, known := w.among.of(p)
		ok = ok && known && w.experiment.Among.Holds(n)
	}
	b := w.experiment.Split
	return value, b.Holds(at), ok
}

func (t *MeasureTally) addSplit(w *worker, gauges []gauge) {
	value, inside, ok := w.splitOf(&gauges[0], &w.played[0])
	if !ok {
		t.LeftOut++
		return
	}
	t.addValue(w, gauges, 0, value)
	if inside {
		t.Inside.Add(value)
	} else {
		t.Outside.Add(value)
	}
}

func (t *MeasureTally) addValue(w *worker, gauges []gauge, i, value int) {
	way, p := &t.Ways[i], &w.played[w.line[i]]
	way.Value.Add(value)
	if gauges[i].Of != Points && 0 <= value && value <= mostBars {
		way.Histogram.Add(value)
	}
	if way.Own != nil {
		won, points := p.own()
		way.Own.add(value, won, points)
	}
	if way.WonWith != nil && p.wins(p.seat) {
		way.WonWith[w.card.Hands[p.hand].Section]++
	}
}

func (p *PairTally) add(less int) {
	p.Less.Add(less)
	if less != 0 {
		p.Differ++
	}
}
