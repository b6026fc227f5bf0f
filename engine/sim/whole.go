package sim

import (
	"context"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// WholeScores are whole games for several decisions, which all met the same games.
type WholeScores struct {
	// WinSums counts 1 for a game won and 0 else, PointSums are net points, and BiasSums the short estimate less the result of the same
	// game, as scores; each by decision.
	WinSums, PointSums, BiasSums []stat.IntMoments
}

func newWholeScores(n int) *WholeScores {
	return &WholeScores{make([]stat.IntMoments, n), make([]stat.IntMoments, n), make([]stat.IntMoments, n)}
}

// Merge adds the games that follow.
func (w *WholeScores) Merge(next *WholeScores) {
	for i := range w.WinSums {
		w.WinSums[i].Merge(next.WinSums[i])
		w.PointSums[i].Merge(next.PointSums[i])
		w.BiasSums[i].Merge(next.BiasSums[i])
	}
}

// Won is the share of games that decision i won, Points its mean net points.
func (w *WholeScores) Won(i int) stat.Interval[unit.Chance] {
	return stat.Wilson(int(w.WinSums[i].Sum), w.WinSums[i].Count())
}
func (w *WholeScores) Points(i int) stat.Interval[unit.NetPoints] {
	return stat.MeanT[unit.NetPoints](w.PointSums[i])
}

// Bias is the mean of the short estimate of decision i less the result of the same game.
func (w *WholeScores) Bias(i int) stat.Interval[unit.ChanceDifference] {
	return asDifference(stat.MeanT[millionths](w.BiasSums[i]))
}

// WholeGames plays each of a number of games to its end for every decision, and the same games short.
// A stopped run keeps the games it has; played says how many.
func (l *Lookahead) WholeGames(ctx context.Context, v charleston.View, actions []charleston.Action, seed uint64, games int) (total *WholeScores, played int, err error) {
	total = newWholeScores(len(actions))
	played, err = runShards(ctx, shardOf(games, len(actions)), 0, games, total, func() func(Shard) (*WholeScores, error) {
		w := l.Worker()
		return func(s Shard) (*WholeScores, error) {
			part := newWholeScores(len(actions))
			for g := s.First; g < s.First+s.Count; g++ {
				for i, a := range actions {
					if ctx.Err() != nil {
						return nil, ctx.Err()
					}
					if err := part.add(w, i, &v, a, seed, uint64(g)); err != nil {
						return nil, err
					}
				}
			}
			return part, nil
		}
	}, nil)
	return total, played, err
}

func (w *WholeScores) add(ahead *Ahead, i int, v *charleston.View, a charleston.Action, seed, g uint64) error {
	short, err := ahead.Short(v, a, seed, g)
	if err != nil {
		return err
	}
	r, err := ahead.Whole(v, a, seed, g)
	if err != nil {
		return err
	}
	won := 0
	if r.Ending.Won() && r.Winner == v.Seat {
		won = 1
	}
	w.WinSums[i].Add(won)
	w.PointSums[i].Add(r.Net[v.Seat])
	w.BiasSums[i].Add(int(short) - won*int(Sure))
	return nil
}

// ShortGames plays short games for one decision; the mean is an estimated chance.
func (l *Lookahead) ShortGames(ctx context.Context, v charleston.View, a charleston.Action, seed uint64, games int) (stat.Interval[unit.Chance], error) {
	return l.Mean(ctx, games, func(w *Ahead, g uint64) (Score, error) { return w.Short(&v, a, seed, g) })
}

// NextGames plays games for one decision up to the seat's next one, see [Ahead.Next]; the mean is an estimated chance.
func (l *Lookahead) NextGames(ctx context.Context, v charleston.View, a charleston.Action, seed uint64, games int) (stat.Interval[unit.Chance], error) {
	return l.Mean(ctx, games, func(w *Ahead, g uint64) (Score, error) { return w.Next(&v, a, seed, g) })
}

// Mean is the mean of what a function makes of games 0 to games-1, as a chance; a stopped run keeps the games it has.
func (l *Lookahead) Mean(ctx context.Context, games int, play func(w *Ahead, g uint64) (Score, error)) (stat.Interval[unit.Chance], error) {
	total, err := l.sum(ctx, games, play)
	return meanChance(total), err
}

// Wins is the share of games that a seat wins, of games 0 to games-1 as a function plays them.
func (l *Lookahead) Wins(ctx context.Context, seat charleston.Seat, games int, play func(w *Ahead, g uint64) (table.Result, error)) (stat.Interval[unit.Chance], error) {
	total, err := l.sum(ctx, games, func(w *Ahead, g uint64) (Score, error) {
		r, err := play(w, g)
		if err != nil || !r.Ending.Won() || r.Winner != seat {
			return 0, err
		}
		return Sure, nil
	})
	return stat.Wilson(int(total.Sum/int64(Sure)), total.Count()), err
}

// sum adds up the scores of games.
func (l *Lookahead) sum(ctx context.Context, games int, play func(w *Ahead, g uint64) (Score, error)) (stat.IntMoments, error) {
	total := newRoundScores(1)
	_, err := runShards(ctx, shardOf(games, 1), 0, games, total, func() func(Shard) (*roundScores, error) {
		w := l.Worker()
		return func(s Shard) (*roundScores, error) {
			part := newRoundScores(1)
			for g := s.First; g < s.First+s.Count; g++ {
				score, err := play(w, uint64(g))
				if err != nil {
					return nil, err
				}
				part.Each[0].Add(int(score))
			}
			return part, nil
		}
	}, nil)
	return total.Each[0], err
}
