package exercise

import (
	"context"
	"fmt"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/sim"
	"secondpass/engine/stat"
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
	Figures
	// Histogram counts the games by the spares of the nearest hand, from 0 on.
	Histogram stat.Histogram `json:"histogram"`
}

// PairResult is the second aim less the first on the same incoming tiles.
// Differences of the shares are by Newcombe's method for pairs.
type PairResult struct {
	First  string `json:"first"`
	Second string `json:"second"`
	Figures
}

// Figures are what is measured at the end of the passing, or differences of it.
type Figures struct {
	// Spare tiles at the end, mean number: of the nearest hand of the card, and of the plan.
	SpareBest stat.Interval `json:"spare_best"`
	SparePlan stat.Interval `json:"spare_plan"`
	// Clean is the share of games, 0..1, that ended with four spares or fewer.
	CleanBest stat.Interval `json:"clean_best"`
	CleanPlan stat.Interval `json:"clean_plan"`
	// Options is the mean number of hands, Away of tiles to the nearest hand of the card.
	Options stat.Interval `json:"options"`
	Away    stat.Interval `json:"away"`
}

// figures makes means of sums over games, and takes the shares as they are.
func figures(sums *[measures]stat.IntMoments, cleanBest, cleanPlan stat.Interval) Figures {
	return Figures{
		SpareBest: stat.MeanT(&sums[spareBest]), SparePlan: stat.MeanT(&sums[sparePlan]),
		CleanBest: cleanBest, CleanPlan: cleanPlan,
		Options: stat.MeanT(&sums[options]), Away: stat.MeanT(&sums[away]),
	}
}

// tally adds up whole numbers, so that merging in any order gives the same.
type tally struct {
	Aims  []aimTally
	Pairs []pairTally
}

type aimTally struct {
	Sums      [measures]stat.IntMoments
	Clean     [2]int // by spareBest, sparePlan
	Histogram stat.Histogram
}

type pairTally struct {
	A, B  int
	Diffs [measures]stat.IntMoments
	// Both[m] counts the games by clean for both, first only, second only, neither.
	Both [2][4]int
}

func newTally(aims int) *tally {
	t := &tally{Aims: make([]aimTally, aims)}
	for a := range aims {
		for b := a + 1; b < aims; b++ {
			t.Pairs = append(t.Pairs, pairTally{A: a, B: b})
		}
	}
	return t
}

// Merge adds the games of another tally over the same aims.
func (t *tally) Merge(next *tally) {
	for i := range t.Aims {
		for m := range measures {
			t.Aims[i].Sums[m].Merge(next.Aims[i].Sums[m])
		}
		for m := range t.Aims[i].Clean {
			t.Aims[i].Clean[m] += next.Aims[i].Clean[m]
		}
		t.Aims[i].Histogram.Merge(next.Aims[i].Histogram)
	}
	for i := range t.Pairs {
		for m := range measures {
			t.Pairs[i].Diffs[m].Merge(next.Pairs[i].Diffs[m])
		}
		for m := range t.Pairs[i].Both {
			for c := range t.Pairs[i].Both[m] {
				t.Pairs[i].Both[m][c] += next.Pairs[i].Both[m][c]
			}
		}
	}
}

// add counts one game: the measures of every aim.
func (t *tally) add(outcomes [][measures]int) {
	for i := range t.Aims {
		for m, x := range outcomes[i] {
			t.Aims[i].Sums[m].Add(x)
		}
		for m := range t.Aims[i].Clean {
			if outcomes[i][m] <= CleanSpares {
				t.Aims[i].Clean[m]++
			}
		}
		t.Aims[i].Histogram.Add(outcomes[i][spareBest])
	}
	for i := range t.Pairs {
		p := &t.Pairs[i]
		for m := range measures {
			p.Diffs[m].Add(outcomes[p.B][m] - outcomes[p.A][m])
		}
		for m := range p.Both {
			cell := 0
			if outcomes[p.A][m] > CleanSpares {
				cell += 2
			}
			if outcomes[p.B][m] > CleanSpares {
				cell++
			}
			p.Both[m][cell]++
		}
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
	e        *Exercise
	players  []*player.Steady
	judges   []*Judge
	outcomes [][measures]int
}

func newRepeater(e *Exercise, aims [][]string) *repeater {
	w := &repeater{e: e, outcomes: make([][measures]int, len(aims))}
	for _, aim := range aims {
		hands, _ := Hands(e.Card, aim)    // Repeat has checked the names
		judge, _ := NewJudge(e.Card, aim) // likewise
		w.players = append(w.players, player.NewSteady(e.Card, prepared.Of(e.Card).Aimed(hands)))
		w.judges = append(w.judges, judge)
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
			a := w.judges[i].Account(solo.Rack())
			w.outcomes[i] = [measures]int{a.SpareBest.Size(), a.SparePlan.Size(), a.Options, a.Nearest.Away}
		}
		t.add(w.outcomes)
	}
	return t, nil
}

func (t *tally) results(seed uint64, aims [][]string, asked, played int) *Repeated {
	r := &Repeated{Games: played, Asked: asked, Seed: seed}
	for i, a := range t.Aims {
		r.Aims = append(r.Aims, AimResult{
			Aim:       AimText(aims[i]),
			Figures:   figures(&a.Sums, stat.Wilson(a.Clean[spareBest], played), stat.Wilson(a.Clean[sparePlan], played)),
			Histogram: a.Histogram,
		})
	}
	for _, p := range t.Pairs {
		// Newcombe's difference is first less second; ours is second less first, hence the order of the cells.
		clean := func(m measure) stat.Interval {
			return stat.PairedProportions(p.Both[m][0], p.Both[m][2], p.Both[m][1], p.Both[m][3])
		}
		r.Pairs = append(r.Pairs, PairResult{
			First: AimText(aims[p.A]), Second: AimText(aims[p.B]),
			Figures: figures(&p.Diffs, clean(spareBest), clean(sparePlan)),
		})
	}
	return r
}
