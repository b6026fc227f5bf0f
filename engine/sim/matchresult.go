package sim

import (
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/charleston"
)

// Standing is how one listed seat of a match did.
type Standing struct {
	// WinShare is its share of all games, 0..1, Points its mean net points a game.
	WinShare stat.Interval[unit.Chance]
	Points   stat.Interval[unit.NetPoints]
	// WinShareLess and PointsLess are its figures less those of the first listed seat on the same deals.
	WinShareLess stat.Interval[unit.ChanceDifference]
	PointsLess   stat.Interval[unit.NetPoints]
}

// MatchResult words a tally in shares and points a game. Its intervals come from the deals, each of which
// is a block of four games; their N counts games.
type MatchResult struct {
	Tally *MatchTally
	// Watched is, for a match that could end by what it showed, the number of deals it was meant for: the
	// intervals then stay valid under peeking. 0 is a match of a number of deals fixed in advance.
	Watched int
}

// Standings are those of the listed seats.
func (r MatchResult) Standings() (s [charleston.Seats]Standing) {
	t := r.Tally
	for i := range s {
		s[i] = Standing{
			WinShare:     r.share(t.Wins[i]),
			Points:       perGame[unit.NetPoints](r, t.Points[i], 1),
			WinShareLess: perGame[unit.ChanceDifference](r, t.WinsLess[i], 1),
			PointsLess:   perGame[unit.NetPoints](r, t.PointsLess[i], 1),
		}
	}
	return s
}

// WallGames is the share of games that nobody won, 0..1.
func (r MatchResult) WallGames() stat.Interval[unit.Chance] { return r.share(r.Tally.Wall) }

// Lead is the first listed seat's win share less the mean of the three others', -1..1, and
// PointLead the same in points a game.
func (r MatchResult) Lead() stat.Interval[unit.ChanceDifference] {
	return perGame[unit.ChanceDifference](r, r.Tally.Lead, rest)
}
func (r MatchResult) PointLead() stat.Interval[unit.NetPoints] {
	return perGame[unit.NetPoints](r, r.Tally.PointLead, rest)
}

// rest is the number of seats that the first is set against.
const rest = charleston.Seats - 1

// perGame turns sums over deals into a mean a game, divided by a further number.
func perGame[U, V unit.Unit](r MatchResult, m stat.IntMoments[V], divisor int) stat.Interval[U] {
	i := stat.MeanT[U](m)
	if r.Watched > 0 {
		i = stat.AsymptoticCS[U](m, r.Watched)
	}
	i = stat.Over[U](i, float64(Rotations*divisor))
	i.N *= Rotations
	return i
}

// share is the share of games, 0..1, of a count over deals. Where all deals have the same count nothing is known of
// the spread, and each deal is taken for one observation of a share, with Wilson's interval.
func (r MatchResult) share(m stat.IntMoments[unit.Count]) stat.Interval[unit.Chance] {
	i := perGame[unit.Chance](r, m, 1)
	if r.Watched == 0 && m.Variance() == 0 {
		w := stat.Wilson(int(float64(float64(i.Value)*float64(m.Count()))+0.5), m.Count())
		i.Low, i.High = min(w.Low, i.Value), max(w.High, i.Value)
	}
	return i.Within(0, 1)
}

// Ratio is the first listed seat's win share by the mean of the others', with the interval of [stat.RatioOfMeans] over the
// deals; ok is false where one of them is 0 or there are fewer than two deals.
func (r MatchResult) Ratio() (ratio stat.Interval[unit.Ratio], ok bool) {
	first, others := r.Tally.Wins[0], r.Tally.Others
	covariance := (float64(rest*rest*first.Variance()) + others.Variance() - r.Tally.Lead.Variance()) / (2 * rest) // since Lead = 3 first - others
	ratio, ok = stat.RatioOfMeans(first, others, covariance, rest)
	ratio.N *= Rotations
	return ratio, ok
}

// Test asks, while the match goes on, whether the first listed seat's win share is above the mean of the
// others' by effect (0..1) or not at all, as [stat.GSPRT] does on the deals.
func (t *MatchTally) Test(effect unit.ChanceDifference) (ratio float64, v stat.Verdict) {
	return stat.GSPRT(t.Lead, 0, float64(effect)*Rotations*rest)
}
