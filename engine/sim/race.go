package sim

import (
	"cmp"
	"context"
	"math/bits"
	"slices"

	"secondpass/engine/stat"
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
	// Final says which candidates have played fresh games. Means has their mean scores and Behind their
	// differences to the best of them, best less it, both from these games and with intervals that stay valid under
	// peeking.
	Final         []bool
	Means, Behind []stat.Interval
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

// Apart says whether a finalist is shown to be worse than the best one: the interval of their
// difference leaves out 0.
func (s *Standings) Apart(candidate int) bool {
	return candidate != s.Order[0] && s.Final[candidate] && s.Behind[candidate].Low > 0
}

// raceRun is a race under way.
type raceRun struct {
	Race
	alive  []int
	rounds []stat.IntMoments // scores of the halving rounds
	finals []stat.IntMoments // scores of the fresh games
	pairs  [][]stat.IntMoments
	each   int // the fresh games planned for each finalist
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
	for range rounds {
		each := max(2, r.Games/2/rounds/len(r.alive))
		scores, played, err := r.play(ctx, each, false)
		if err != nil {
			return 0, err
		}
		for i, c := range r.alive {
			r.rounds[c].Merge(scores.moments[i])
		}
		if played < each {
			return Cut, nil // what there is ranks the candidates
		}
		r.cut(max(Finalists, (len(r.alive)+1)/2))
		if r.Watch != nil {
			r.Watch(r.standings())
		}
	}
	return 0, nil
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
func (r *raceRun) final(ctx context.Context) (RaceEnd, error) {
	n := len(r.alive)
	r.pairs = make([][]stat.IntMoments, n)
	for i := range r.pairs {
		r.pairs[i] = make([]stat.IntMoments, n)
	}
	r.each = max(max(r.Games-r.played, r.Games/4)/n, leastFinal)
	for look := range looks {
		part := r.each*(look+1)/looks - r.each*look/looks
		scores, played, err := r.play(ctx, part, true)
		if err != nil {
			return 0, err
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

// raceScores are the scores of the candidates in play, by their place, and of every two of them.
type raceScores struct {
	moments []stat.IntMoments
	pairs   [][]stat.IntMoments // first less second
}

// newRaceScores counts n candidates, and their pairs if asked to.
func newRaceScores(n int, pairs bool) *raceScores {
	s := &raceScores{moments: make([]stat.IntMoments, n)}
	if pairs {
		s.pairs = make([][]stat.IntMoments, n)
		for i := range s.pairs {
			s.pairs[i] = make([]stat.IntMoments, n)
		}
	}
	return s
}

// Merge adds the games that follow.
func (s *raceScores) Merge(next *raceScores) {
	for i := range s.moments {
		s.moments[i].Merge(next.moments[i])
	}
	for i := range s.pairs {
		for j := range s.pairs[i] {
			s.pairs[i][j].Merge(next.pairs[i][j])
		}
	}
}

// play plays each of the next games for every candidate in play, and counts pairs if asked to.
func (r *raceRun) play(ctx context.Context, each int, pairs bool) (*raceScores, int, error) {
	first := r.game
	scores := newRaceScores(len(r.alive), pairs)
	played, err := runShards(ctx, max(1, shardOf(each)), 0, each, scores, func() func(Shard) (*raceScores, error) {
		one := r.Worker()
		values := make([]int, len(r.alive))
		return func(s Shard) (*raceScores, error) {
			part := newRaceScores(len(r.alive), pairs)
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
	}
	for i := range s.pairs {
		for j, w := range values {
			s.pairs[i][j].Add(values[i] - w)
		}
	}
}

func (r *raceRun) standings() Standings {
	k := r.Candidates
	s := Standings{Scores: slices.Clone(r.rounds), Final: make([]bool, k), Means: make([]stat.Interval, k), Behind: make([]stat.Interval, k), Played: r.played}
	inPlay := make([]bool, k)
	for _, c := range r.alive {
		inPlay[c] = true
		if r.finals[c].N > 0 {
			s.Final[c], s.Scores[c] = true, r.finals[c]
			s.Means[c] = stat.AsymptoticCS(&r.finals[c], r.each)
		}
	}
	for c := range k {
		s.Order = append(s.Order, c)
	}
	slices.SortStableFunc(s.Order, func(a, b int) int {
		if inPlay[a] != inPlay[b] {
			if inPlay[a] {
				return -1
			}
			return 1
		}
		return cmp.Compare(s.Scores[b].Mean(), s.Scores[a].Mean())
	})
	best := slices.Index(r.alive, s.Order[0])
	for i, c := range r.alive {
		if s.Final[c] && c != s.Order[0] {
			s.Behind[c] = stat.AsymptoticCS(&r.pairs[best][i], r.each)
		}
	}
	return s
}
