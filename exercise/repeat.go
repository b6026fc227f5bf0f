package exercise

import (
	"context"
	"fmt"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/charleston"
)

// measure is a whole number taken at the end of a route.
type measure int

const (
	spareBest measure = iota
	sparePlan
	options
	away
	measures
)

// Repeated is what a repeat found: each aim for itself, and every two of them on the same tiles.
type Repeated struct {
	Games int    `json:"games"`
	Asked int    `json:"asked"`
	Seed  uint64 `json:"seed"`
	// Aims are in the order asked for, Pairs (0,1), (0,2), (1,2) and so on.
	Aims  []AimResult  `json:"aims"`
	Pairs []PairResult `json:"pairs"`
}

// AimResult is the outcome of one aim over all games. Means are by Student's t, shares by Wilson.
type AimResult struct {
	Aim string `json:"aim"`
	Figures[unit.Chance]
	// Histogram counts the games by the spares of the nearest hand, from 0 on.
	Histogram stat.Histogram `json:"histogram"`
}

// PairResult is the second aim less the first on the same incoming tiles.
// Differences of the shares are by Newcombe's method for pairs.
type PairResult struct {
	First  string `json:"first"`
	Second string `json:"second"`
	Figures[unit.ChanceDifference]
}

// Figures are what is measured at the end of the passing, or differences of it; C is what its shares are, chances or
// differences of them.
type Figures[C unit.Chance | unit.ChanceDifference] struct {
	// Spare tiles at the end, mean number: of the nearest hand of the card, and of the plan.
	SpareBest stat.Interval[unit.Tiles] `json:"spare_best"`
	SparePlan stat.Interval[unit.Tiles] `json:"spare_plan"`
	// Clean is the share of games, 0..1, that ended with four spares or fewer.
	CleanBest stat.Interval[C] `json:"clean_best"`
	CleanPlan stat.Interval[C] `json:"clean_plan"`
	// Options is the mean number of hands, Away of tiles to the nearest hand of the card.
	Options stat.Interval[unit.Count] `json:"options"`
	Away    stat.Interval[unit.Tiles] `json:"away"`
}

// figures makes means of what each measure's sums are, and takes the shares as they are.
func figures[C unit.Chance | unit.ChanceDifference](sums func(measure) stat.IntMoments[float64], cleanBest, cleanPlan stat.Interval[C]) Figures[C] {
	return Figures[C]{
		SpareBest: stat.MeanT[unit.Tiles](sums(spareBest)), SparePlan: stat.MeanT[unit.Tiles](sums(sparePlan)),
		CleanBest: cleanBest, CleanPlan: cleanPlan,
		Options: stat.MeanT[unit.Count](sums(options)), Away: stat.MeanT[unit.Tiles](sums(away)),
	}
}

// tally adds up the measures of all aims, game by game.
type tally struct {
	Sums       [measures]*stat.Paired[float64] // each in the unit of its measure
	Clean      [2]*stat.Paired[unit.Count]     // 1 where the Charleston is clean, by spareBest, sparePlan
	Histograms []stat.Histogram
	values     []int
}

func newTally(aims int) *tally {
	t := &tally{Histograms: make([]stat.Histogram, aims), values: make([]int, aims)}
	for m := range t.Sums {
		t.Sums[m] = stat.NewPaired[float64](aims)
	}
	for m := range t.Clean {
		t.Clean[m] = stat.NewPaired[unit.Count](aims)
	}
	return t
}

// Merge adds the games of another tally over the same aims.
func (t *tally) Merge(next *tally) {
	for m := range t.Sums {
		t.Sums[m].Merge(next.Sums[m])
	}
	for m := range t.Clean {
		t.Clean[m].Merge(next.Clean[m])
	}
	for i := range t.Histograms {
		t.Histograms[i].Merge(next.Histograms[i])
	}
}

// add counts one game: the measures of every aim.
func (t *tally) add(outcomes [][measures]int) {
	for m := range t.Sums {
		for i := range outcomes {
			t.values[i] = outcomes[i][m]
		}
		t.Sums[m].Add(t.values)
	}
	for m := range t.Clean {
		for i := range outcomes {
			t.values[i] = 0
			if outcomes[i][m] <= CleanSpares {
				t.values[i] = 1
			}
		}
		t.Clean[m].Add(t.values)
	}
	for i := range outcomes {
		t.Histograms[i].Add(outcomes[i][spareBest])
	}
}

// Repeat walks the deal along every aim over fresh incoming tiles, the same ones for all aims in a
// game, and adds up how it ends. Game n draws its tiles from the exercise's seed and n. A stopped
// run keeps the games it has; Games says how many. progress may be nil.
func (e *Exercise) Repeat(ctx context.Context, aims [][]string, games int, progress func(done int)) (*Repeated, error) {
	if e.Incoming != MockPasses {
		return nil, fmt.Errorf("incoming tiles are %q in this exercise; only mock passes can be drawn afresh", e.Incoming)
	}
	for _, aim := range aims {
		if _, err := Hands(e.Card, aim); err != nil {
			return nil, err
		}
	}
	total := newTally(len(aims))
	played, err := sim.Run(ctx, 0, games, total, func() func(sim.Shard) (*tally, error) {
		w := newRepeater(e, aims)
		return w.play
	}, func(played int) bool {
		if progress != nil {
			progress(played)
		}
		return false
	})
	if err != nil {
		return nil, err
	}
	return total.results(e.Seed, aims, games, played), nil
}

// repeater is what one core needs to play the games of a repeat.
type repeater struct {
	e           *Exercise
	players     []*player.Steady
	accountants []*Accountant
	outcomes    [][measures]int
}

func newRepeater(e *Exercise, aims [][]string) *repeater {
	w := &repeater{e: e, outcomes: make([][measures]int, len(aims))}
	for _, aim := range aims {
		hands, _ := Hands(e.Card, aim)              // Repeat has checked the names
		accountant, _ := NewAccountant(e.Card, aim) // likewise
		w.players = append(w.players, player.NewSteady(e.Card, prepared.Of(e.Card).Aimed(hands)))
		w.accountants = append(w.accountants, accountant)
	}
	return w
}

func (w *repeater) play(s sim.Shard) (*tally, error) {
	t := newTally(len(w.players))
	for game := s.First; game < s.First+s.Count; game++ {
		mock, err := charleston.DrawMock(w.e.Deal, w.e.Set, sim.Stream(w.e.Seed, uint64(game), "repeat"))
		if err != nil {
			return nil, err
		}
		for i, p := range w.players {
			solo := charleston.NewSolo(w.e.Seat, w.e.Deal, w.e.House.Passing, &mock)
			if err := player.Walk(&solo, p); err != nil {
				return nil, err
			}
			a := w.accountants[i].Account(solo.Rack())
			w.outcomes[i] = [measures]int{a.SpareBest.Size(), a.SparePlan.Size(), a.Options, a.Nearest.Away}
		}
		t.add(w.outcomes)
	}
	return t, nil
}

func (t *tally) results(seed uint64, aims [][]string, asked, played int) *Repeated {
	r := &Repeated{Games: played, Asked: asked, Seed: seed}
	for a := range aims {
		share := func(m measure) stat.Interval[unit.Chance] { return stat.Wilson(int(t.Clean[m].Each[a].Sum), played) }
		r.Aims = append(r.Aims, AimResult{
			Aim:       AimText(aims[a]),
			Figures:   figures(func(m measure) stat.IntMoments[float64] { return t.Sums[m].Each[a] }, share(spareBest), share(sparePlan)),
			Histogram: t.Histograms[a],
		})
		for b := a + 1; b < len(aims); b++ {
			less := func(m measure) stat.Interval[unit.ChanceDifference] {
				both, onlyB, onlyA, neither := t.Clean[m].Shares(b, a)
				return stat.PairedProportions(both, onlyB, onlyA, neither)
			}
			r.Pairs = append(r.Pairs, PairResult{
				First: AimText(aims[a]), Second: AimText(aims[b]),
				Figures: figures(func(m measure) stat.IntMoments[float64] { return t.Sums[m].Less(b, a) }, less(spareBest), less(sparePlan)),
			})
		}
	}
	return r
}
