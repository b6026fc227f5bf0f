package sim

import (
	"context"
	"math"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// Whole is one game, played to its end for one decision.
type Whole struct {
	// Quick is the estimate of the result, made on its way where the passing was over; the result where none was made.
	Quick Score
	// Result is Sure for a game won and 0 else, Points the net points.
	Result Score
	Points int
}

// WholeOf is a game that a seat took part in without an estimate.
func WholeOf(r table.Result, seat charleston.Seat) Whole {
	w := Whole{Points: r.Net[seat]}
	if r.Ending.Won() && r.Winner == seat {
		w.Result = Sure
	}
	w.Quick = w.Result
	return w
}

// Value is the games 0 to n-1 of one decision, added up, so that it is a function of what is valued, the seed and n. As JSON
// it can be kept.
//
// Its chance is (1-w) times the mean estimate plus w times the share of games won, w = n / (n + QuickCounts): the
// estimate counts as so many games, so that few games have its precision and many games its part no more. Source: the
// composite of a direct and a synthetic estimate of R. E. Fay and R. A. Herriot, J. Amer. Statist. Assoc. 74 (1979) 269-277.
// The interval has the spread of the games and what the estimate is granted to be off, (1-w) times QuickDoubt.
//
// The estimate alone as a control variate, which is what w = 1 and a mean over more estimates come to, gains nothing here:
// the squared correlation with the result of the same game is 0.01 to 0.03.
type Value struct {
	// Scores are estimate and result of each game.
	Scores stat.Joint[millionths]          `json:"scores"`
	Points stat.IntMoments[unit.NetPoints] `json:"points"`
}

const (
	// QuickCounts is as how many whole games the quick estimate counts: as many as leave a share of about one in four as
	// uncertain as QuickDoubt.
	QuickCounts = 100
	// QuickDoubt is a standard deviation of what the estimate is off for a decision, QuickDoubtOfTwo of what it is off for
	// the difference of two, as chances: half as much again as was measured at the first right for a decision, since other
	// steps and tables were not, and as much for two; see docs/judgement.md.
	QuickDoubt, QuickDoubtOfTwo = 0.045, 0.015
)

// weight is that of the results, and doubt the share of what the estimate is off that is left.
func (v *Value) weight() float64 {
	n := float64(v.Scores.N)
	return n / (n + QuickCounts)
}

// doubt is the part of what the estimate is granted to be off that is left; 0 where none was made.
func (v *Value) doubt() float64 {
	if v.Scores.XX == v.Scores.XY && v.Scores.YY == v.Scores.XY {
		return 0
	}
	return 1 - v.weight()
}

// Add takes in the next game, Merge the games that follow.
func (v *Value) Add(one Whole) {
	v.Scores.Add(int(one.Quick), int(one.Result))
	v.Points.Add(one.Points)
}
func (v *Value) Merge(next *Value) {
	v.Scores.Merge(next.Scores)
	v.Points.Merge(next.Points)
}

// Count is the number of games.
func (v *Value) Count() int { return int(v.Scores.N) }

// Chance is the chance to win, with an interval for a number of games fixed in advance.
func (v *Value) Chance() stat.Interval[unit.Chance] {
	if v.Scores.N == 0 {
		return stat.Interval[unit.Chance]{High: 1}
	}
	doubt := v.doubt()
	if doubt == 0 {
		return v.Won()
	}
	i := stat.MeanT[millionths](v.Scores.Mixed(v.weight()))
	return stat.Doubted(asChance(i), doubt*QuickDoubt).Within(0, 1)
}

// Watched is that with an interval that stays valid under peeking, narrowest near nOpt games. Where the scores show no
// spread, or are too few, it holds for any scores.
func (v *Value) Watched(nOpt int) stat.Interval[unit.Chance] {
	if v.Scores.N == 0 {
		return v.Chance()
	}
	if v.doubt() == 0 {
		return stat.BernoulliCS(v.won(), v.Count(), nOpt)
	}
	mixed := v.Scores.Mixed(v.weight())
	i := stat.AsymptoticCS[millionths](mixed, nOpt)
	if !i.Bounded() {
		i = stat.BoundedCSOf[millionths](mixed, float64(Sure), v.Count(), 1)
	}
	return stat.Doubted(asChance(i), v.doubt()*QuickDoubt).Within(0, 1)
}

// Won is the share of games won, Net the mean net points.
func (v *Value) Won() stat.Interval[unit.Chance] {
	return stat.Wilson(v.won(), v.Count())
}
func (v *Value) won() int                           { return int(v.Scores.Y / int64(Sure)) }
func (v *Value) Net() stat.Interval[unit.NetPoints] { return stat.MeanT[unit.NetPoints](v.Points) }

// ValueTally is the games of several decisions on the same games.
type ValueTally struct {
	Each []Value
	// Pairs are, game by game, the scores of decision i less those of each j > i, row after row.
	Pairs [][]stat.Joint[millionths]
}

// NewValueTally is an empty tally of so many decisions.
func NewValueTally(decisions int) *ValueTally {
	t := &ValueTally{Each: make([]Value, decisions)}
	for i := range decisions {
		t.Pairs = append(t.Pairs, make([]stat.Joint[millionths], decisions-i-1))
	}
	return t
}

// Add takes in one game: a trial of every decision.
func (t *ValueTally) Add(games []Whole) {
	for i, one := range games {
		t.Each[i].Add(one)
		for j, other := range games[i+1:] {
			t.Pairs[i][j].Add(int(one.Quick-other.Quick), int(one.Result-other.Result))
		}
	}
}

// Merge adds the games that follow.
func (t *ValueTally) Merge(next *ValueTally) {
	for i := range t.Each {
		t.Each[i].Merge(&next.Each[i])
		for j := range t.Pairs[i] {
			t.Pairs[i][j].Merge(next.Pairs[i][j])
		}
	}
}

// less is the scores of decision i less those of another, j.
func (t *ValueTally) less(i, j int) stat.Joint[millionths] {
	if i > j {
		return t.less(j, i).Negated()
	}
	return t.Pairs[i][j-i-1]
}

// Less is the chance of decision i less that of another, j, on the same games, with an interval for a number of games fixed
// in advance.
func (t *ValueTally) Less(i, j int) stat.Interval[unit.ChanceDifference] {
	return t.difference(i, j, stat.MeanT[millionths])
}

// WatchedLess is that with an interval that stays valid under peeking, narrowest near nOpt games, for one of several
// differences that are looked at together.
func (t *ValueTally) WatchedLess(i, j, nOpt, several int) stat.Interval[unit.ChanceDifference] {
	return t.difference(i, j, func(s stat.Sample) stat.Interval[millionths] {
		if i := stat.AsymptoticCSOf[millionths](s, nOpt, several); i.Bounded() {
			return i
		}
		return stat.BoundedCSOf[millionths](s, 2*float64(Sure), s.Count(), several)
	})
}

func (t *ValueTally) difference(i, j int, of func(stat.Sample) stat.Interval[millionths]) stat.Interval[unit.ChanceDifference] {
	each := &t.Each[i]
	d := asDifference(of(t.less(i, j).Mixed(each.weight())))
	return stat.Doubted(d, math.Max(each.doubt(), t.Each[j].doubt())*QuickDoubtOfTwo).Within(-1, 1)
}

// Try plays game number g of one decision.
type Try func(w *Ahead, g uint64) (Whole, error)

// Add plays the games of one decision from those that were played on, up to number games-1. A stopped run keeps the games
// it has.
func (l *Lookahead) Add(ctx context.Context, into *Value, games int, try Try) error {
	from := into.Count()
	if from >= games {
		return nil
	}
	_, err := runShards(ctx, shardOf(games-from, 1), 0, games-from, into, func() func(Shard) (*Value, error) {
		w := l.Worker()
		return func(s Shard) (*Value, error) {
			part := &Value{}
			for g := s.First; g < s.First+s.Count; g++ {
				one, err := try(w, uint64(from+g))
				if err != nil {
					return nil, err
				}
				part.Add(one)
			}
			return part, nil
		}
	}, nil)
	return err
}
