package sim

import (
	"cmp"
	"context"
	"math/bits"
	"slices"

	"secondpass/internal/stat"
)

// Race compares candidates for one decision by simulated games. All candidates meet the same games
// (game number g has the same tiles and the same lots for each), so that their differences are those of
// pairs.
//
// First sequential halving: in each of log2 K rounds the candidates still in play get equally many
// new games, then the worse half falls out, until no more than Finalists are left. Source: Z. Karnin, T. Koren,
// O. Somekh, Almost optimal exploration in multi-armed bandits, ICML 2013, with common games added.
// Then the finalists play fresh games, since those that brought them there flatter the winner, and only
// these give the figures and the intervals, which stay valid however often one looks.
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
	// Scores are whole numbers so that sums are exact.
	Worker func() func(candidate int, game uint64) (score int, err error)
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
	// Scores are those of each candidate: of fresh games for finalists once there are any, else of the
	// rounds it was in.
	Scores []stat.IntMoments
	// Final says which candidates are in the last round. Gaps has for each of these its difference to the
	// best of them, best less it, from the fresh games.
	Final []bool
	Gaps  []stat.IntMoments
	// Played is the number of games so far over all candidates.
	Played int
}

// Apart says whether a finalist is shown to be worse than the best one: the interval of their
// difference, valid under peeking and tuned for so many games, leaves out 0.
func (s *Standings) Apart(candidate, games int) bool {
	return candidate != s.Order[0] && s.Gaps[candidate].N > 0 && stat.AsymptoticCS(&s.Gaps[candidate], games).Low > 0
}

// raceRun is a race under way.
type raceRun struct {
	Race
	alive  []int
	rounds []stat.IntMoments // scores of the halving rounds
	finals []stat.IntMoments // scores of the fresh games
	pairs  [][]stat.IntMoments
	played int
	game   int // the next game number
}

// Run runs the race until its games are played, the finalists are all apart, or ctx ends. The result
// depends on nothing but the race, unless ctx cut it short.
func (r Race) Run(ctx context.Context) (Standings, error) {
	run := raceRun{Race: r, rounds: make([]stat.IntMoments, r.Candidates), finals: make([]stat.IntMoments, r.Candidates)}
	for c := range r.Candidates {
		run.alive = append(run.alive, c)
	}
	if err := run.halve(ctx); err != nil {
		return Standings{}, err
	}
	err := run.final(ctx)
	return run.standings(), err
}

// halve plays the rounds of sequential halving with half of the games.
func (r *raceRun) halve(ctx context.Context) error {
	rounds := bits.Len(uint((len(r.alive) - 1) / Finalists))
	for range rounds {
		each := max(2, r.Games/2/rounds/len(r.alive))
		scores, played, err := r.play(ctx, each)
		if err != nil {
			return err
		}
		for i, c := range r.alive {
			r.rounds[c].Merge(scores.moments[i])
		}
		if played < each {
			return nil // stopped: what there is ranks the candidates
		}
		r.cut(max(Finalists, (len(r.alive)+1)/2))
		if r.Watch != nil {
			r.Watch(r.standings())
		}
	}
	return nil
}

// cut keeps the best n and those that never fall out.
func (r *raceRun) cut(n int) {
	rank := r.ranks()
	slices.SortStableFunc(r.alive, func(a, b int) int { return cmp.Compare(rank[b], rank[a]) })
	kept := r.alive[:min(n, len(r.alive))]
	for _, c := range r.alive[len(kept):] {
		if slices.Contains(r.Keep, c) {
			kept = append(kept, c)
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
func (r *raceRun) final(ctx context.Context) error {
	n := len(r.alive)
	r.pairs = make([][]stat.IntMoments, n)
	for i := range r.pairs {
		r.pairs[i] = make([]stat.IntMoments, n)
	}
	each := max(r.Games-r.played, r.Games/4) / n
	each = max(each, leastFinal)
	for look := range looks {
		part := each*(look+1)/looks - each*look/looks
		scores, played, err := r.play(ctx, part)
		if err != nil {
			return err
		}
		for i, c := range r.alive {
			r.finals[c].Merge(scores.moments[i])
			for j := range r.alive {
				r.pairs[i][j].Merge(scores.pairs[i][j])
			}
		}
		s := r.standings()
		if r.Watch != nil {
			r.Watch(s)
		}
		if played < part || r.settled(&s) {
			return nil
		}
	}
	return nil
}

// settled says that every finalist is shown to be worse than the best, so that more games would
// change nothing.
func (r *raceRun) settled(s *Standings) bool {
	for _, c := range r.alive {
		if c != s.Order[0] && !s.Apart(c, r.Games/2/len(r.alive)) {
			return false
		}
	}
	return true
}

// raceScores are the scores of the candidates in play, by their place, and of every two of them.
type raceScores struct {
	moments []stat.IntMoments
	pairs   [][]stat.IntMoments // first less second
}

func newRaceScores(n int) *raceScores {
	s := &raceScores{moments: make([]stat.IntMoments, n), pairs: make([][]stat.IntMoments, n)}
	for i := range s.pairs {
		s.pairs[i] = make([]stat.IntMoments, n)
	}
	return s
}

// Merge adds the games that follow.
func (s *raceScores) Merge(next *raceScores) {
	for i := range s.moments {
		s.moments[i].Merge(next.moments[i])
		for j := range s.pairs[i] {
			s.pairs[i][j].Merge(next.pairs[i][j])
		}
	}
}

// pairsUpTo is the number of candidates up to which pairs are counted.
const pairsUpTo = 8

// play plays each of the next games for every candidate in play.
func (r *raceRun) play(ctx context.Context, each int) (*raceScores, int, error) {
	first := r.game
	scores := newRaceScores(len(r.alive))
	played, err := runShards(ctx, max(1, shardOf(each)), 0, each, scores, func() func(Shard) (*raceScores, error) {
		one := r.Worker()
		values := make([]int, len(r.alive))
		return func(s Shard) (*raceScores, error) {
			part := newRaceScores(len(r.alive))
			for g := s.First; g < s.First+s.Count; g++ {
				for i, c := range r.alive {
					v, err := one(c, uint64(first+g))
					if err != nil {
						return nil, err
					}
					values[i] = v
				}
				part.add(values)
			}
			return part, nil
		}
	}, nil)
	r.game += each
	r.played += played * len(r.alive)
	return scores, played, err
}

// shardOf gives each core several shards even of few games.
func shardOf(games int) int { return min(ShardGames, (games+7)/8) }

func (s *raceScores) add(values []int) {
	for i, v := range values {
		s.moments[i].Add(v)
		if len(values) <= pairsUpTo {
			for j, w := range values {
				s.pairs[i][j].Add(v - w)
			}
		}
	}
}

func (r *raceRun) standings() Standings {
	s := Standings{Scores: slices.Clone(r.rounds), Final: make([]bool, r.Candidates), Gaps: make([]stat.IntMoments, r.Candidates), Played: r.played}
	for _, c := range r.alive {
		s.Final[c] = r.pairs != nil
		if r.finals[c].N > 0 {
			s.Scores[c] = r.finals[c]
		}
	}
	for c := range r.Candidates {
		s.Order = append(s.Order, c)
	}
	inPlay := func(c int) int {
		if slices.Contains(r.alive, c) {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(s.Order, func(a, b int) int {
		return cmp.Or(cmp.Compare(inPlay(a), inPlay(b)), cmp.Compare(s.Scores[b].Mean(), s.Scores[a].Mean()))
	})
	if r.pairs != nil {
		best := slices.Index(r.alive, s.Order[0])
		for i, c := range r.alive {
			s.Gaps[c] = r.pairs[best][i]
		}
	}
	return s
}
