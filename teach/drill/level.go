package drill

import (
	"context"
	"math"

	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
)

// levelGames is how many whole games of the best choice and of the cheapest wrong one set the level of a key that is made by short
// games.
const levelGames = 256

// level brings the chances of a key that was made by short games to those of whole games, as advice has them: the mean of the best
// choice and the cheapest wrong one becomes what whole games of the two come to, and the costs, which short games tell far more
// precisely, stay. ok is false where whole games show that this wrong answer is better than the best: such a key would teach what
// advice denies. Keys that are made by whole games stay as they are.
func (b *bench) level(ctx context.Context, d *Drill, k *Key) (ok bool, err error) {
	if d.Ask().Whole() {
		return true, nil
	}
	ahead, err := b.aheadOf(d.Position.Seat)
	if err != nil {
		return false, err
	}
	seed := keySeed(k.Seed, d.Origin)
	both := []int{k.Best()}
	if wrong, there := k.cheapest(); there {
		both = append(both, wrong)
	}
	tally, mean := sim.NewValueTally(len(both)), sim.Value{}
	games := make([]sim.Whole, len(both))
	for g := range uint64(levelGames) {
		if err := ctx.Err(); err != nil {
			return false, err
		}
		var all sim.Whole
		for i, choice := range both {
			if games[i], err = ahead.Whole(&d.Position.View, d.Choices[choice].Action, seed, g); err != nil {
				return false, err
			}
			all.Quick += games[i].Quick
			all.Result += games[i].Result
		}
		n := sim.Score(len(games))
		mean.Add(sim.Whole{Quick: all.Quick / n, Result: all.Result / n})
		tally.Add(games)
	}
	k.lift(both, mean.Chance())
	return len(both) == 1 || tally.Less(0, 1).High >= 0, nil
}

// lift sets the mean of the chances of some choices, and moves all by as much. What short games may be off for one choice beside the others is in the intervals.
func (k *Key) lift(of []int, level stat.Interval[unit.Chance]) {
	mean := unit.Chance(0)
	for _, i := range of {
		mean += k.Answers[i].Chance.Value / unit.Chance(len(of))
	}
	for i := range k.Answers {
		short := k.Answers[i].Chance
		off := level.Value - mean
		at := stat.Interval[unit.Chance]{Value: short.Value + off, N: level.N}
		at.Low = at.Value - hypot(level.Value-level.Low, short.Value-short.Low)
		at.High = at.Value + hypot(level.High-level.Value, short.High-short.Value)
		k.Answers[i].Chance = stat.Doubted(at, sim.QuickDoubtOfTwo).Within(0, 1)
	}
	k.Whole = level.N
}

func hypot(a, b unit.Chance) unit.Chance { return unit.Chance(math.Hypot(float64(a), float64(b))) }
