package experiment

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// Result is an experiment and the deals played so far, with all that they depend on. Fields are for reading. Its size does not grow
// with the number of deals.
type Result struct {
	Format  string `json:"format"`
	Version int    `json:"version"`
	// Program is the program that began it.
	Program  string   `json:"program"`
	Settings Settings `json:"settings"`
	Card     CardText `json:"card"`
	// Tuning is what strong players go by.
	Tuning player.Tuning `json:"tuning"`
	// Experiment is the experiment as [Experiment.Text] writes it.
	Experiment string `json:"experiment"`
	// Deals is the number of deals played, Ended why there are no more.
	Deals int    `json:"deals"`
	Ended Ended  `json:"ended"`
	Tally *Tally `json:"tally"`

	experiment *Experiment
	card       *card.Card
}

// Settings are the numbers that a run was started with.
type Settings struct {
	Seed uint64 `json:"seed"`
	// Deals is the most deals to play. Tuned is the number of deals for which the intervals are narrowest: what Deals was
	// at the start.
	Deals int `json:"deals"`
	Tuned int `json:"tuned"`
}

// CardText is the card in full.
type CardText struct {
	Name        string `json:"name"`
	Fingerprint string `json:"fingerprint"`
	Text        string `json:"text"`
}

// Ended says why a run has no more deals.
type Ended string

const (
	NotBegun    Ended = "not begun"
	Interrupted Ended = "interrupted"
	AllPlayed   Ended = "all deals played"
	AtVerdict   Ended = "every comparison came to a verdict"
)

const (
	resultFormat = "secondpass experiment result"
	// earlierFormat is what files say that were written when experiments were called studies; the rest is the same.
	earlierFormat = "secondpass study result"
	// ResultVersion is the version of the result file that Bytes writes and ReadResult takes.
	ResultVersion = 1
)

// Start begins a result. deals 0 takes the experiment's own number. The experiment is checked.
func Start(s *Experiment, c *card.Card, t player.Tuning, seed uint64, deals int, program string) (*Result, error) {
	if err := s.Check(c); err != nil {
		return nil, err
	}
	if deals == 0 {
		deals = s.Deals
	}
	r := &Result{
		Format: resultFormat, Version: ResultVersion, Program: program,
		Settings: Settings{Seed: seed, Deals: deals, Tuned: deals},
		Card:     CardText{c.Name, player.Fingerprint(c), c.Source}, Tuning: t,
		Experiment: s.Text(), Ended: NotBegun, Tally: newTally(s, len(c.Sections)),
		experiment: s, card: c,
	}
	return r, nil
}

// Of is the experiment, On the card.
func (r *Result) Of() *Experiment { return r.experiment }
func (r *Result) On() *card.Card  { return r.card }

// Run plays deals until there are as many as Settings.Deals, or every comparison has a verdict and the experiment wants no more
// then, or ctx ends, or watch, which may be nil, says so. watch is called every 64 deals, from one goroutine at a time; it
// may read the result. Stopped anywhere and run again, the result becomes the same as in one go.
func (r *Result) Run(ctx context.Context, watch func() (stop bool)) error {
	if r.Ended = r.end(); r.Ended == AtVerdict || r.Ended == AllPlayed {
		return nil
	}
	p, err := prepare(r.experiment, r.card, r.Tuning, r.Settings.Seed)
	if err != nil {
		return err
	}
	if _, err := p.newWorker(); err != nil { // here it can still be said
		return err
	}
	// A result that ended within a shard is brought to the end of that shard first, so that one looks at the same places.
	r.Deals, err = sim.Run(ctx, r.Deals, r.Settings.Deals, r.Tally, p.shards, func(played int) bool {
		r.Deals = played
		r.Ended = r.end()
		return watch != nil && watch() || r.Ended == AtVerdict
	})
	r.Ended = r.end()
	return err
}

func (r *Result) end() Ended {
	switch {
	case r.Deals == 0:
		return NotBegun
	case r.experiment.UntilVerdict && r.decided():
		return AtVerdict
	case r.Deals >= r.Settings.Deals:
		return AllPlayed
	}
	return Interrupted
}

// decided says whether every comparison has a verdict.
func (r *Result) decided() bool {
	for k := range r.experiment.measures() {
		if slices.ContainsFunc(r.comparisons(k), func(c Comparison) bool { return c.Verdict == stat.NotShown }) {
			return false
		}
	}
	return true
}

// Extend asks for more deals than the result was started for, or fewer.
func (r *Result) Extend(deals int) error {
	if deals < r.Deals || deals < 1 || deals > maxDeals {
		return fmt.Errorf("%d deals: %d are played already; a number from there to %d is right", deals, r.Deals, maxDeals)
	}
	r.Settings.Deals = deals
	r.Ended = r.end()
	return nil
}

func (p *setup) shards() func(sim.Shard) (*Tally, error) {
	w, err := p.newWorker()
	return func(s sim.Shard) (*Tally, error) {
		if err != nil {
			return nil, err
		}
		t := newTally(p.experiment, len(p.card.Sections))
		for n := s.First; n < s.First+s.Count; n++ {
			if err := w.play(n); err != nil {
				return nil, err
			}
			t.add(w)
		}
		return t, nil
	}
}

// Again is the experiment of a result before its first deal, to be played to as many deals and held against it by
// [Result.Same]. It carries the name of the program that began the result: another version may play it again.
func (r *Result) Again() (*Result, error) {
	again, err := Start(r.experiment, r.card, r.Tuning, r.Settings.Seed, r.Deals, r.Program)
	if err != nil {
		return nil, err
	}
	again.Settings.Tuned = r.Settings.Tuned
	return again, nil
}

// Same says whether what was played again has the bytes of the result, the number of deals asked for aside, and what the seat
// itself won, where an earlier program did not write that.
func (r *Result) Same(again *Result) bool {
	as := *again
	as.Settings = r.Settings
	if !r.Tally.hasOwn() {
		as.Tally = as.Tally.withoutOwn()
	}
	as.Ended = as.end()
	return bytes.Equal(as.Bytes(), r.Bytes())
}

// Bytes is the result as a file.
func (r *Result) Bytes() []byte {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	if err := enc.Encode(r); err != nil {
		panic(err) // strings and whole numbers always have a JSON form
	}
	return b.Bytes()
}

// ReadResult reads a result file and checks it. file names it in messages.
func ReadResult(file string, data []byte) (*Result, error) {
	var read struct {
		Result
		Study string `json:"study"` // where files of the earlier format have the experiment
	}
	r := &read.Result
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&read); err != nil {
		return nil, fmt.Errorf("%s is no result of an experiment: %w; right would be a file that experiment run has written", file, exercise.JSONError(data, err))
	}
	if r.Format == earlierFormat {
		r.Format, r.Experiment = resultFormat, read.Study
	}
	if r.Format != resultFormat || r.Version != ResultVersion {
		return nil, fmt.Errorf("%s: format %q, version %d; this program reads %q, version %d", file, r.Format, r.Version, resultFormat, ResultVersion)
	}
	if err := r.Tuning.Params.Check(); err != nil {
		return nil, fmt.Errorf("%s: the tuning: %w", file, err)
	}
	var err error
	r.experiment, r.card, err = Read(file+" (its experiment)", []byte(r.Experiment), func(set tile.Set) (*card.Card, error) {
		c, _, err := card.Read(file+" (its card)", []byte(r.Card.Text), set)
		return c, err
	})
	if err != nil {
		return nil, err
	}
	r.Experiment = r.experiment.Text() // an earlier program had another word for it
	if err := r.check(); err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	return r, nil
}

// check says where the numbers of a result cannot be.
func (r *Result) check() error {
	switch want := newTally(r.experiment, len(r.card.Sections)); {
	case player.Fingerprint(r.card) != r.Card.Fingerprint:
		return fmt.Errorf("the card has the fingerprint %s, not %s: its text was changed", player.Fingerprint(r.card), r.Card.Fingerprint)
	case r.Settings.Deals < 1 || r.Settings.Deals > maxDeals || r.Settings.Tuned < 1 || r.Deals < 0 || r.Deals > r.Settings.Deals:
		return fmt.Errorf("%d deals of %d, intervals for %d: numbers that cannot be", r.Deals, r.Settings.Deals, r.Settings.Tuned)
	case r.Tally == nil || len(r.Tally.Also) != len(want.Also):
		return fmt.Errorf("the tally is not that of %d measures", r.experiment.measures())
	}
	for k := range r.experiment.measures() {
		if err := r.checkTally(k); err != nil {
			return err
		}
	}
	if r.Ended != r.end() {
		return fmt.Errorf("it ended %q, which does not go with its numbers (%q)", r.Ended, r.end())
	}
	return nil
}

// checkTally checks the numbers of one measure.
func (r *Result) checkTally(measure int) error {
	e, t := r.experiment.only(measure), r.tally(measure)
	want := newMeasureTally(r.experiment, measure, len(r.card.Sections))
	if t == nil || len(t.Ways) != len(want.Ways) || len(t.Pairs) != len(want.Pairs) {
		return fmt.Errorf("the tally is not that of %d ways", len(want.Ways))
	}
	sums := []stat.IntMoments[Amount]{t.Inside, t.Outside}
	for i := range t.Ways {
		w := &t.Ways[i]
		sums = append(append(sums, w.Value), w.Own.sums()...)
		if len(w.WonWith) != len(want.Ways[i].WonWith) || len(w.Histogram) > mostBars+1 {
			return fmt.Errorf("the tally of way %d is not that of this card", i+1)
		}
		if e.measure(i).Share() && w.Value.Sum != w.Value.SumSq || !counts(w.Histogram, w.Value.N) || !counts(w.WonWith, w.Value.N) {
			return fmt.Errorf("the tally of way %d has more or less than there can be", i+1)
		}
	}
	for _, p := range t.Pairs {
		sums = append(append(sums, p.Less), p.Own.sums()...)
		if p.Differ < 0 || p.Differ > p.Less.N {
			return fmt.Errorf("the tally has %d deals that differ among %d", p.Differ, p.Less.N)
		}
	}
	for _, s := range sums {
		if s.N < 0 || s.N > int64(r.Deals) {
			return fmt.Errorf("the tally has %d values of %d deals", s.N, r.Deals)
		}
		// No numbers have squares that add up to less than the square of their sum by their number.
		if float64(s.SumSq)*float64(s.N) < float64(s.Sum)*float64(s.Sum)*(1-1e-9) || s.N == 0 && s.Sum|s.SumSq != 0 {
			return fmt.Errorf("the tally has sums that no %d values have", s.N)
		}
	}
	return nil
}

// counts says whether whole numbers are counts of parts of n games.
func counts(parts []int64, n int64) bool {
	for _, c := range parts {
		if c < 0 || c > n {
			return false
		}
		n -= c
	}
	return true
}
