package experiment

import (
	"secondpass/engine/stat"
)

// Tally is what the deals of an experiment add up to: whole numbers, whose size does not grow with the number of deals.
type Tally struct {
	Ways []WayTally `json:"ways"`
	// Pairs are, for every way but the first, the differences to it, over the deals that have a value for both.
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

// PairTally is the differences between one way and the first.
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
	t := &Tally{Ways: make([]WayTally, len(s.Ways)), Pairs: make([]PairTally, len(s.Ways)-1)}
	for i := range t.Ways {
		if s.measure(i).Of.row().play {
			t.Ways[i].WonWith = make([]int64, sections)
		}
		t.Ways[i].Own = ownTally(s.measure(i))
		if i > 0 && t.Ways[0].Own != nil {
			t.Pairs[i-1].Own = ownTally(s.measure(i))
		}
	}
	return t
}

// Merge adds the deals that follow.
func (t *Tally) Merge(next *Tally) {
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
	if w.split != nil {
		t.addSplit(w)
		return
	}
	first, firstOK := 0, false
	none := true
	for i := range w.gauges {
		p := &w.played[w.line[i]]
		if p.left {
			continue
		}
		value, ok := w.gauges[i].of(p)
		if i == 0 {
			first, firstOK = value, ok
		}
		if !ok {
			continue
		}
		none = false
		t.addValue(w, i, value)
		if i > 0 && firstOK {
			t.Pairs[i-1].add(value - first)
			if own := t.Pairs[i-1].Own; own != nil {
				won, points := p.own()
				wonFirst, pointsFirst := w.played[w.line[0]].own()
				own.add(value-first, won-wonFirst, points-pointsFirst)
			}
		}
	}
	if none {
		t.LeftOut++
	}
}

// splitOf is the measure of a split experiment's game and the group that it is in; ok is false where it is in none.
func (w *worker) splitOf(p *played) (value int, inside, ok bool) {
	value, ok = w.gauges[0].of(p)
	at, known := w.split.of(p)
	ok = ok && known && !p.left
	if w.among != nil {
		n, known := w.among.of(p)
		ok = ok && known && w.experiment.Among.Holds(n)
	}
	b := w.experiment.Split
	return value, b.Holds(at), ok
}

func (t *Tally) addSplit(w *worker) {
	value, inside, ok := w.splitOf(&w.played[0])
	if !ok {
		t.LeftOut++
		return
	}
	t.addValue(w, 0, value)
	if inside {
		t.Inside.Add(value)
	} else {
		t.Outside.Add(value)
	}
}

func (t *Tally) addValue(w *worker, i, value int) {
	way, p := &t.Ways[i], &w.played[w.line[i]]
	way.Value.Add(value)
	if w.gauges[i].Of != Points && 0 <= value && value <= mostBars {
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
