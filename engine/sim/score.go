package sim

import (
	"secondpass/engine/stat"
	"secondpass/engine/unit"
)

// Score is a chance to win in whole millionths, so that sums over games are exact on any number of cores. What games bring
// leaves this package as chances.
type Score int

// Sure is the score of a game won.
const Sure Score = 1_000_000

// scoreOf is a chance as a score.
func scoreOf(chance float64) Score { return Score(chance * float64(Sure)) }

// millionths is the unit of sums of scores.
type millionths float64

func asChance(i stat.Interval[millionths]) stat.Interval[unit.Chance] {
	return stat.Over[unit.Chance](i, float64(Sure)).Within(0, 1)
}

func asDifference(i stat.Interval[millionths]) stat.Interval[unit.ChanceDifference] {
	return stat.Over[unit.ChanceDifference](i, float64(Sure)).Within(-1, 1)
}

// ScoreTally is the scores of several candidates on the same games.
type ScoreTally struct {
	Scores *stat.Paired[millionths]
	values []int // of one game, while it is added
}

// NewScoreTally is an empty tally of so many candidates.
func NewScoreTally(candidates int) *ScoreTally {
	return &ScoreTally{Scores: stat.NewPaired[millionths](candidates)}
}

// Add takes in one game: a score for every candidate.
func (t *ScoreTally) Add(scores []Score) {
	t.values = t.values[:0]
	for _, s := range scores {
		t.values = append(t.values, int(s))
	}
	t.Scores.Add(t.values)
}

// Merge adds the games that follow.
func (t *ScoreTally) Merge(next *ScoreTally) { t.Scores.Merge(next.Scores) }

// Candidates is their number.
func (t *ScoreTally) Candidates() int { return len(t.Scores.Each) }

// Count is the number of games.
func (t *ScoreTally) Count() int { return t.Scores.Count() }

// Best is the candidate with the highest mean, the first of several.
func (t *ScoreTally) Best() int {
	best := 0
	for i := range t.Scores.Each {
		if t.Scores.Each[i].Sum > t.Scores.Each[best].Sum {
			best = i
		}
	}
	return best
}

// Cost is candidate best's mean chance less candidate i's, with the standard error of that difference.
func (t *ScoreTally) Cost(best, i int) (cost, se unit.ChanceDifference) {
	less := t.Scores.Less(best, i)
	return unit.ChanceDifference(less.Mean() / float64(Sure)), unit.ChanceDifference(less.SE() / float64(Sure))
}

// Watched is the mean chance of a candidate with an interval that stays valid under peeking, narrowest near nOpt games; ok
// is false where nothing varied, or too little was played, and the interval is that of any chance.
func (t *ScoreTally) Watched(i, nOpt int) (chance stat.Interval[unit.Chance], ok bool) {
	all := stat.AsymptoticCS[millionths](t.Scores.Each[i], nOpt)
	return asChance(all), all.Bounded()
}

// WatchedLess is the same of candidate i less candidate j, game by game.
func (t *ScoreTally) WatchedLess(i, j, nOpt int) (difference stat.Interval[unit.ChanceDifference], ok bool) {
	all := stat.AsymptoticCS[millionths](t.Scores.Less(i, j), nOpt)
	return asDifference(all), all.Bounded()
}
