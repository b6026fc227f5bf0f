package sim

import (
	"context"
	"flag"
	"fmt"
	"math"
	"testing"

	"secondpass/engine/player"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

var (
	positions = flag.Int("positions", 32, "positions a stage of TestPredictedIsTrue")
	playouts  = flag.Int("playouts", 24, "games played on from each of them, predicted and true")
	stageSeed = flag.Uint64("stageseed", 31, "seed of TestPredictedIsTrue")
	uniform   = flag.Bool("uniform", false, "in TestPredictedIsTrue, lay out uniformly what a seat does not see")
)

// TestPredictedIsTrue compares, at the first own turn of a seat at several stages of the play, its share of wins with
// what it does not see laid out, against that with the true racks and the wall shuffled, which is unbiased. One position
// a game, all seats in turn, four strong players.
func TestPredictedIsTrue(t *testing.T) {
	c := card.Practice()
	tuning, _ := player.TuningFor(c)
	kit := player.NewStrongKit(c, nil, tuning)
	game := table.NewGame(c, house.Usual)
	newPlayer := func() player.Player { return kit.New() }
	l := &Lookahead{Game: game, Judge: kit}
	for seat := range l.Players {
		l.Players[seat] = newPlayer
	}
	if !*uniform {
		var err error
		if l.Beliefs, err = Believe(context.Background(), game, kit, newPlayer, 1, BeliefGames); err != nil {
			t.Fatal(err)
		}
	}
	for _, stage := range []int{afterPassing, 99, 80, 60, 40} {
		gap := &gaps{}
		if _, err := Run(context.Background(), 0, *positions, gap, func() func(Shard) (*gaps, error) {
			w := l.Worker()
			return func(s Shard) (*gaps, error) {
				part := &gaps{}
				for n := s.First; n < s.First+s.Count; n++ {
					predicted, truly, ok, err := w.predict(uint64(n), stage)
					if err != nil {
						return nil, err
					}
					if ok {
						part.list = append(part.list, predicted-truly)
						part.predicted += predicted
						part.truly += truly
					}
				}
				return part, nil
			}
		}, nil); err != nil {
			t.Fatal(err)
		}
		mean, half := gap.mean()
		n := float64(len(gap.list))
		where := fmt.Sprintf("wall %d or less", stage)
		if stage == afterPassing {
			where = "after the passing"
		}
		t.Logf("%s: predicted %.1f, true %.1f %%, predicted less true %+.1f +- %.1f points over %.0f positions", where, 100*gap.predicted/n, 100*gap.truly/n, 100*mean, 100*half, n)
		// Uniform layouts are off by 15 to 29 points.
		if limit := 0.02 + 1.5*half; math.Abs(mean) > limit {
			t.Errorf("%s: predicted less true is %+.1f points, outside +-%.1f", where, 100*mean, 100*limit)
		}
	}
}

// afterPassing is the stage before the first turn, as [Ahead.Out] plays on from it.
const afterPassing = 100

// gaps is predicted less true by position.
type gaps struct {
	list             []float64
	predicted, truly float64
}

// Merge adds the positions that follow.
func (g *gaps) Merge(next *gaps) {
	g.list = append(g.list, next.list...)
	g.predicted += next.predicted
	g.truly += next.truly
}

// mean is the mean and half the width of its 95 % interval.
func (g *gaps) mean() (mean, half float64) {
	n := float64(len(g.list))
	for _, x := range g.list {
		mean += x / n
	}
	sq := 0.0
	for _, x := range g.list {
		sq += (x - mean) * (x - mean)
	}
	return mean, 1.96 * math.Sqrt(sq/(n-1)/n)
}

// predict plays game n up to the first turn of a seat at a stage and says which share of the games played on from there
// the seat wins: predicted, and truly. ok is false where the game ends before.
func (a *Ahead) predict(n uint64, stage int) (predicted, truly float64, ok bool, err error) {
	seat := charleston.Seat(n % charleston.Seats)
	if stage == afterPassing {
		return a.predictOut(n, seat)
	}
	state, err := a.upTo(*stageSeed, n, func(s *table.State) bool {
		return s.Phase() == table.Discarding && s.Turn() == seat && s.View(seat).WallLeft() <= stage
	})
	if err != nil || state.Phase() == table.Over {
		return 0, 0, false, err
	}
	would := a.DecidePlay(&state, seat)
	racks, wall := bare(&state)
	won := func(r table.Result) float64 { return float64(boolInt(r.Ending.Won() && r.Winner == seat)) }
	for g := range uint64(*playouts) {
		r, err := a.Play(&state, would, *stageSeed+1, g)
		if err != nil {
			return 0, 0, false, err
		}
		predicted += won(r) / float64(*playouts)
		s := state
		rng := Stream(*stageSeed+2, g<<32|n, "wall")
		rng.Shuffle(len(wall), func(i, j int) { wall[i], wall[j] = wall[j], wall[i] })
		if err := s.Redeal(seat, &racks, wall); err != nil {
			return 0, 0, false, err
		}
		if err := s.Apply(would); err != nil {
			return 0, 0, false, err
		}
		var o Outcome
		if err := a.tables.Finish(&s, &o); err != nil {
			return 0, 0, false, err
		}
		truly += won(o.Result) / float64(*playouts)
	}
	return predicted, truly, true, nil
}

// predictOut is predict at the end of the passing of game n.
func (a *Ahead) predictOut(n uint64, seat charleston.Seat) (predicted, truly float64, ok bool, err error) {
	var view charleston.View
	state, err := a.passed(*stageSeed, n, func(s *charleston.State) { view = s.View(seat) })
	if err != nil {
		return 0, 0, false, err
	}
	racks, wall := bare(&state)
	won := func(r table.Result) float64 {
		return float64(boolInt(r.Ending.Won() && r.Winner == seat)) / float64(*playouts)
	}
	for g := range uint64(*playouts) {
		r, err := a.Out(&view, *stageSeed+1, g)
		if err != nil {
			return 0, 0, false, err
		}
		predicted += won(r)
		rng := Stream(*stageSeed+2, g<<32|n, "wall")
		rng.Shuffle(len(wall), func(i, j int) { wall[i], wall[j] = wall[j], wall[i] })
		s, err := a.l.Game.Start(racks, wall)
		if err != nil {
			return 0, 0, false, err
		}
		var o Outcome
		if err := a.tables.Finish(&s, &o); err != nil {
			return 0, 0, false, err
		}
		truly += won(o.Result)
	}
	return predicted, truly, true, nil
}

// upTo plays game n until something is reached, or to its end.
func (a *Ahead) upTo(seed, n uint64, reached func(*table.State) bool) (table.State, error) {
	state, err := a.passed(seed, n, func(*charleston.State) {})
	var o Outcome
	for err == nil && state.Phase() != table.Over && !reached(&state) {
		err = a.tables.step(&state, &o)
	}
	return state, err
}

// passed plays game n up to the end of the passing, which is shown to look, and begins the play.
func (a *Ahead) passed(seed, n uint64, look func(*charleston.State)) (table.State, error) {
	racks, wall := table.Deal(a.l.Game.Set(), Stream(seed, n, "deal"))
	lots := Stream(seed, n, "lots")
	for _, p := range a.tables.Players {
		p.Begin(lots)
	}
	passing, err := charleston.Start(racks, house.Usual.Passing, a.l.Game.Set())
	if err != nil {
		return table.State{}, err
	}
	var o Outcome
	if err := a.tables.Pass(&passing, lots, &o); err != nil {
		return table.State{}, err
	}
	look(&passing)
	for seat := range racks {
		racks[seat] = passing.Rack(charleston.Seat(seat))
	}
	return a.l.Game.Start(racks, wall)
}

// bare is the concealed tiles of all seats and the tiles left in the wall.
func bare(s *table.State) (racks [charleston.Seats]tile.Rack, wall []tile.Kind) {
	for seat := range charleston.Seat(charleston.Seats) {
		racks[seat] = s.View(seat).Rack()
	}
	left := s.View(0).Unseen()
	for seat := charleston.Seat(1); seat < charleston.Seats; seat++ {
		left = left.Minus(racks[seat])
	}
	return racks, left.Tiles()
}
