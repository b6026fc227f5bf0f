package sim

import (
	"cmp"
	"context"
	"math/bits"
	"slices"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
)

// Race compares candidates for one decision by simulated games. All candidates meet the same games
// (game number g has the same tiles and the same lots for each), so that their differences are those of
// pairs.
//
// First sequential halving: in each of about log2(K / Finalists) rounds the candidates still in play get equally many
// new games, then the worse half falls out, until no more than Finalists are left. Source: Z. Karnin, T. Koren,
// O. Somekh, Almost optimal exploration in multi-armed bandits, ICML 2013, with common games added.
// Then the finalists play fresh games, since those that brought them there flatter the winner, and only
// these give the figures and the intervals, which stay valid however often one looks. The best of a few finalists is
// still picked by the games that give its figure, which flatters it a little.
type Race struct {
	Candidates int
	// Prior is what a quick look makes of each candidate, in proportion: the best has 1. In the rounds
	// of halving it counts as priorGames games; the figures are without it. nil is no prior.
	Prior []float64
	// Keep are candidates that never fall out: those that the user named.
	Keep []int
	// Games is the number of games to play in all, over all candidates. Each candidate gets two at least
	// and each finalist 128, so that it may be more.
	Games int
	// Worker makes, once a core, the function that plays one game for one candidate and returns its score.
	Worker func() func(candidate int, game uint64) (Score, error)
	// Watch, which may be nil, is told the standings so far after each round and now and then during
	// the last.
	Watch func(Standings)
}

// Finalists is the number of candidates that play for the figures.
const Finalists = 4

// Standings are the candidates as far as a race has come.
type Standings struct {
	// Order lists the candidates, best first: finalists before those that fell out, each by its mean.
	Order []int
	// Final says which candidates have played fresh games, Fell after which round of halving, counted from 1, the others
	// fell out; 0 is a candidate in play.
	Final []bool
	Fell  []int
	// Chances are their mean scores: of fresh games for finalists once there are any, with intervals that stay valid under
	// peeking, else of the rounds they were in, for the number of games they have; anything from 0 to 1 without games.
	Chances []stat.Interval[unit.Chance]
	// Behind is, of finalists, the best one's chance less theirs on the same fresh games, with an interval that stays valid
	// under peeking.
	Behind []stat.Interval[unit.ChanceDifference]
	// Played is the number of games so far over all candidates.
	Played int
	End    RaceEnd
}

// RaceEnd says how a race ended; 0 while it goes on.
type RaceEnd int

const (
	// PlayedOut: all games were played.
	PlayedOut RaceEnd = 1 + iota
	// Settled: every other finalist is shown to be worse than the best.
	Settled
	// Cut: the context ended it.
	Cut
)

// Even says whether a candidate is not shown to be worse than the best one. In a race that was cut short that is so of all
// that were in play, unless the fresh games show otherwise; in one that goes on, of those that have fresh games.
func (s *Standings) Even(candidate int) bool {
	if candidate == s.Order[0] {
		return true
	}
	if !s.Final[candidate] {
		return s.End == Cut && s.Fell[candidate] == 0
	}
	return !s.Apart(candidate)
}

// Apart says whether a finalist is shown to be worse than the best one: the interval of their
// difference leaves out 0.
func (s *Standings) Apart(candidate int) bool {
	return candidate != s.Order[0] && s.Final[candidate] && s.Behind[candidate].Low > 0
}

// raceRun is a race under way.
type raceRun struct {
	Race
	alive  []int
	fell   []int
	rounds []stat.IntMoments // scores of the halving rounds
	finals *ScoreTally       // scores of the fresh games of those in play, by their place; nil before
	each   int               // the fresh games planned for each finalist
	played int
	game   int // the next game number
}

// Run runs the race until its games are played, the finalists are all apart, or ctx ends. The result
// depends on nothing but the race, unless ctx cut it short.
func (r Race) Run(ctx context.Context) (Standings, error) {
	run := raceRun{Race: r, rounds: make([]stat.IntMoments, r.Candidates), fell: make([]int, r.Candidates)}
	for c := range r.Candidates {
		run.alive = append(run.alive, c)
	}
	end, err := run.halve(ctx)
	if err == nil && end != Cut {
		end, err = run.final(ctx)
	}
	s := run.standings()
	s.End = end
	return s, err
}

// halve plays the rounds of sequential halving with half of the games.
func (r *raceRun) halve(ctx context.Context) (RaceEnd, error) {
	rounds := bits.Len(uint((len(r.alive) - 1) / Finalists))
	for round := range rounds {
		each := max(2, r.Games/2/rounds/len(r.alive))
		scores := newRoundScores(len(r.alive))
		played, err := playAll(ctx, r, each, scores, newRoundScores)
		if err != nil {
			return 0, err
		}
		for i, c := range r.alive {
			r.rounds[c].Merge(scores.Each[i])
		}
		if played < each {
			return Cut, nil // what there is ranks the candidates
		}
		r.cut(round+1, max(Finalists, (len(r.alive)+1)/2))
		if r.Watch != nil {
			r.Watch(r.standings())
		}
	}
	return 0, nil
}

// cut keeps the best n and those that never fall out; the others fall out after a round.
func (r *raceRun) cut(round, n int) {
	rank := r.ranks()
	slices.SortStableFunc(r.alive, func(a, b int) int { return cmp.Compare(rank[b], rank[a]) })
	kept := r.alive[:min(n, len(r.alive))]
	for _, c := range r.alive[len(kept):] {
		if slices.Contains(r.Keep, c) {
			kept = append(kept, c)
		} else {
			r.fell[c] = round
		}
	}
	r.alive = slices.Clone(kept)
}

// priorGames is the number of games that a prior counts for: about as many as tell two candidates apart
// that a quick look does (our choice).
const priorGames = 16

// ranks is what the candidates in play are ranked by in the rounds: their mean, drawn towards the prior.
func (r *raceRun) ranks() []float64 {
	rank := make([]float64, r.Candidates)
	var mean, prior float64
	for _, c := range r.alive {
		rank[c] = r.rounds[c].Mean()
		if r.Prior != nil {
			mean, prior = mean+rank[c], prior+r.Prior[c]
		}
	}
	if prior == 0 {
		return rank
	}
	for _, c := range r.alive {
		n := float64(r.rounds[c].N)
		rank[c] = (n*rank[c] + priorGames*r.Prior[c]*mean/prior) / (n + priorGames)
	}
	return rank
}

const (
	// looks is how often the last round is looked at.
	looks = 8
	// leastFinal is the fewest fresh games of a finalist: from so many on an interval can be given.
	leastFinal = 128
)

// final plays fresh games for the finalists: what is left of the games, and a quarter of them or a
// few at least, where the rounds took more than their half.
func (r *raceRun) final(ctx context.Context) (RaceEnd, error) {
	n := len(r.alive)
	r.finals = NewScoreTally(n)
	r.each = max(max(r.Games-r.played, r.Games/4)/n, leastFinal)
	for look := range looks {
		part := r.each*(look+1)/looks - r.each*look/looks
		played, err := playAll(ctx, r, part, r.finals, NewScoreTally)
		if err != nil {
			return 0, err
		}
		s := r.standings()
		if r.Watch != nil {
			r.Watch(s)
		}
		switch {
		case played < part:
			return Cut, nil
		case r.settled(&s):
			return Settled, nil
		}
	}
	return PlayedOut, nil
}

// settled says that every finalist is shown to be worse than the best, so that more games would
// change nothing.
func (r *raceRun) settled(s *Standings) bool {
	for _, c := range r.alive {
		if c != s.Order[0] && !s.Apart(c) {
			return false
		}
	}
	return true
}

// roundScores are the scores of the candidates in play, by their place; without their pairs, since there may be many.
type roundScores struct{ Each []stat.IntMoments }

func newRoundScores(n int) *roundScores { return &roundScores{make([]stat.IntMoments, n)} }

// Merge adds the games that follow.
func (s *roundScores) Merge(next *roundScores) {
	for i := range s.Each {
		s.Each[i].Merge(next.Each[i])
	}
}

// Add takes in one game.
func (s *roundScores) Add(scores []Score) {
	for i, v := range scores {
		s.Each[i].Add(int(v))
	}
}

// scoring is what scores of games are added to.
type scoring[T any] interface {
	Result[T]
	Add([]Score)
}

// playAll plays each of the next games for every candidate in play and adds their scores to a tally.
func playAll[T scoring[T]](ctx context.Context, r *raceRun, each int, into T, empty func(candidates int) T) (int, error) {
	first := r.game
	played, err := runShards(ctx, shardOf(each, len(r.alive)), 0, each, into, func() func(Shard) (T, error) {
		one := r.Worker()
		scores := make([]Score, len(r.alive))
		return func(s Shard) (T, error) {
			part := empty(len(r.alive))
			for g := s.First; g < s.First+s.Count; g++ {
				for i, c := range r.alive {
					if ctx.Err() != nil {
						return part, ctx.Err()
					}
					var err error
					if scores[i], err = one(c, uint64(first+g)); err != nil {
						return part, err
					}
				}
				part.Add(scores)
			}
			return part, nil
		}
	}, nil)
	r.game += each
	r.played += played * len(r.alive)
	return played, err
}

// shardOf gives each core several shards even of few games, and lets a stop lose little where many candidates play each.
func shardOf(games, candidates int) int { return max(1, min(ShardGames/candidates, (games+7)/8)) }

func (r *raceRun) standings() Standings {
	k := r.Candidates
	s := Standings{Final: make([]bool, k), Fell: slices.Clone(r.fell), Chances: make([]stat.Interval[unit.Chance], k), Behind: make([]stat.Interval[unit.ChanceDifference], k), Played: r.played}
	scores, inPlay := slices.Clone(r.rounds), make([]bool, k)
	for place, c := range r.alive {
		inPlay[c] = true
		if r.finals != nil && r.finals.Count() > 0 {
			s.Final[c], scores[c] = true, r.finals.Scores.Each[place]
		}
	}
	for c := range k {
		s.Order = append(s.Order, c)
		switch {
		case s.Final[c]:
			s.Chances[c] = watchedChance(scores[c], r.each)
		case scores[c].N == 0:
			s.Chances[c].High = 1
		default:
			s.Chances[c] = meanChance(scores[c])
		}
	}
	slices.SortStableFunc(s.Order, func(a, b int) int {
		if inPlay[a] != inPlay[b] {
			if inPlay[a] {
				return -1
			}
			return 1
		}
		return cmp.Compare(scores[b].Mean(), scores[a].Mean())
	})
	best := slices.Index(r.alive, s.Order[0])
	for place, c := range r.alive {
		if s.Final[c] && place != best {
			s.Behind[c], _ = r.finals.WatchedLess(best, place, r.each)
		}
	}
	return s
}
