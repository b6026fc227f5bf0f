package sim

import (
	"context"

	"secondpass/engine/stat"
	"secondpass/rules/charleston"
)

// WholeScores are whole games for several decisions, each entry that of one decision; all met the
// same games.
type WholeScores struct {
	// Wins counts 1 for a game won and 0 else; Points are net points.
	Wins, Points []stat.IntMoments
	// Bias is the short estimate less the result of the same game, in millionths.
	Bias []stat.IntMoments
}

func newWholeScores(n int) *WholeScores {
	return &WholeScores{Wins: make([]stat.IntMoments, n), Points: make([]stat.IntMoments, n), Bias: make([]stat.IntMoments, n)}
}

// Merge adds the games that follow.
func (w *WholeScores) Merge(next *WholeScores) {
	for i := range w.Wins {
		w.Wins[i].Merge(next.Wins[i])
		w.Points[i].Merge(next.Points[i])
		w.Bias[i].Merge(next.Bias[i])
	}
}

// WholeGames plays each of a number of games to its end for every decision, and the same games short.
// A stopped run keeps the games it has; played says how many.
func (l *Lookahead) WholeGames(ctx context.Context, v charleston.View, actions []charleston.Action, seed uint64, games int) (total *WholeScores, played int, err error) {
	total = newWholeScores(len(actions))
	played, err = runShards(ctx, shardOf(games), 0, games, total, func() func(Shard) (*WholeScores, error) {
		w := l.Worker()
		return func(s Shard) (*WholeScores, error) {
			part := newWholeScores(len(actions))
			for g := s.First; g < s.First+s.Count; g++ {
				for i, a := range actions {
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
	w.Wins[i].Add(won)
	w.Points[i].Add(r.Net[v.Seat])
	w.Bias[i].Add(short - won*Million)
	return nil
}

// shortScores is a sum of scores as a Result.
type shortScores struct{ stat.IntMoments }

// Merge adds the games that follow.
func (s *shortScores) Merge(next *shortScores) { s.IntMoments.Merge(next.IntMoments) }

// ShortGames plays short games for one decision; scores are estimated chances in millionths.
func (l *Lookahead) ShortGames(ctx context.Context, v charleston.View, a charleston.Action, seed uint64, games int) (*stat.IntMoments, error) {
	return l.Scores(ctx, games, func(w *Ahead, g uint64) (int, error) { return w.Short(&v, a, seed, g) })
}

// NextGames plays games for one decision up to the seat's next one, see [Ahead.Next]; scores are
// estimated chances in millionths.
func (l *Lookahead) NextGames(ctx context.Context, v charleston.View, a charleston.Action, seed uint64, games int) (*stat.IntMoments, error) {
	return l.Scores(ctx, games, func(w *Ahead, g uint64) (int, error) { return w.Next(&v, a, seed, g) })
}

// Scores adds up what a function makes of games 0 to games-1; a stopped run keeps the games it has.
func (l *Lookahead) Scores(ctx context.Context, games int, play func(w *Ahead, g uint64) (int, error)) (*stat.IntMoments, error) {
	total := &shortScores{}
	_, err := runShards(ctx, shardOf(games), 0, games, total, func() func(Shard) (*shortScores, error) {
		w := l.Worker()
		return func(s Shard) (*shortScores, error) {
			part := &shortScores{}
			for g := s.First; g < s.First+s.Count; g++ {
				score, err := play(w, uint64(g))
				if err != nil {
					return nil, err
				}
				part.Add(score)
			}
			return part, nil
		}
	}, nil)
	return &total.IntMoments, err
}
