package sim

import (
	"cmp"
	"context"
	"math"
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
// new games; then those that are shown to be worse fall out, and of the rest the worse half rests, until no more than
// Finalists play on. Source: Z. Karnin, T. Koren, O. Somekh, Almost optimal exploration in multi-armed bandits, ICML 2013,
// with common games added. Resting says nothing against a candidate: games go where they help most, and one that rests is
// not told apart from the best.
//
// Then the finalists play fresh games, since those that brought them there flatter the winner, and only
// these give the figures and the intervals, which stay valid however often one looks. The best of a few finalists is
// still picked by the games that give its figure, which flatters it a little.
//
// With a chance of 95 % no candidate that is as good as the best is ever called apart, in all rounds and looks together.
type Race struct {
	Candidates int
	// Prior is what a quick look makes of each candidate, in proportion: the best has 1. In the rounds
	// of halving it counts as priorGames games; the figures are without it. nil is no prior.
	Prior []float64
	// Keep are candidates that never fall out nor rest: those that the user named.
	Keep []int
	// Games is the number of games of the rounds, over all candidates. Each candidate gets two a round at least, so that it
	// may be more. Each is the number of fresh games of each finalist, 128 at least, of all where there are no rounds.
	Games, Each int
	// Least is the fewest fresh games of each finalist, of which there are no fewer then even where fewer settle it.
	Least int
	// Finalists is how many play for the figures, with those kept; 0 is Finalists.
	Finalists int
	// Fixed is for two finalists of whom nobody watches the figures: all fresh games are played, and the intervals are those
	// for a number of games fixed in advance.
	Fixed bool
	// Worker makes, once a core, the function that plays one game of the rounds for one candidate and returns its score;
	// Final that for the fresh games, which are numbered from 0 anew.
	Worker func() func(candidate int, game uint64) (Score, error)
	Final  func() func(candidate int, game uint64) (Whole, error)
	// Margin is what scores of the rounds may be off for the difference of two candidates: one falls out only if it is shown
	// to be worse by more.
	Margin unit.Chance
	// Watch, which may be nil, is told the standings so far after each round and now and then during
	// the last.
	Watch func(Standings)
}

// Finalists is the number of candidates that play for the figures where nothing is said.
const Finalists = 4

// Standings are the candidates as far as a race has come.
type Standings struct {
	// Order lists the candidates, best first: those in play by their mean, then those that rest, then those that fell out,
	// both by the round they reached.
	Order []int
	// Final says which candidates have played fresh games. Reached is the round of halving, counted from 1, up to which the
	// others played, 0 for a candidate in play; Fell says whether it was shown to be worse there.
	Final   []bool
	Reached []int
	Fell    []bool
	// Values are the fresh games of finalists, Chances what they come to, with intervals that stay valid under peeking;
	// anything from 0 to 1 without such games.
	Values  []Value
	Chances []stat.Interval[unit.Chance]
	// Rounds is the number of games that each candidate has played in the rounds.
	Rounds []int
	// Behind is, of finalists, the best one's chance less theirs on the same fresh games, with an interval that stays valid
	// under peeking.
	Behind []stat.Interval[unit.ChanceDifference]
	// Played is the number of games of the rounds so far over all candidates, Fresh that of fresh ones of each finalist.
	Played, Fresh int
	End           RaceEnd
}

// RaceEnd says how a race ended; 0 while it goes on.
type RaceEnd int

const (
	// PlayedOut: all games were played.
	PlayedOut RaceEnd = 1 + iota
	// Settled: every other candidate is shown to be worse than the best.
	Settled
	// Cut: the context ended it.
	Cut
)

// Even says whether a candidate is not shown to be worse than the best one.
func (s *Standings) Even(candidate int) bool { return !s.Fell[candidate] && !s.Apart(candidate) }

// Apart says whether a finalist is shown to be worse than the best one: the interval of their
// difference leaves out 0.
func (s *Standings) Apart(candidate int) bool {
	return candidate != s.Order[0] && s.Final[candidate] && s.Behind[candidate].Low > 0
}

// Other is the best finalist that is none of those kept, or the first of these where there is none.
func (s *Standings) Other(kept []int) int {
	for _, c := range s.Order {
		if s.Final[c] && !slices.Contains(kept, c) {
			return c
		}
	}
	return kept[0]
}

// raceRun is a race under way.
type raceRun struct {
	Race
	alive   []int
	leaders []int // those in play that the others are compared with, picked before the games
	reached []int
	fell    []bool
	rounds  []stat.IntMoments[millionths] // scores of the rounds
	short   []stat.IntMoments[millionths] // of the same games, what each candidate was short of the leaders, all of them added up
	finals  *ValueTally                   // the fresh games of those in play, by their place; nil before
	played  int
	game    int // the next game number of the rounds
}

// Run runs the race until its games are played, all but the best are shown to be worse, or ctx ends. The result
// depends on nothing but the race, unless ctx cut it short.
func (r Race) Run(ctx context.Context) (Standings, error) {
	k := r.Candidates
	if r.Finalists == 0 {
		r.Finalists = Finalists
	}
	r.Each = max(r.Each, r.Least, leastFinal)
	run := raceRun{Race: r, rounds: make([]stat.IntMoments[millionths], k), short: make([]stat.IntMoments[millionths], k), reached: make([]int, k), fell: make([]bool, k)}
	for c := range k {
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

// halve plays the rounds of sequential halving.
func (r *raceRun) halve(ctx context.Context) (RaceEnd, error) {
	rounds := bits.Len(uint((len(r.alive) - 1) / r.Finalists))
	for round := range rounds {
		if len(r.alive) <= r.Finalists {
			break // as many were shown to be worse
		}
		each := max(2, r.Games/rounds/len(r.alive))
		r.lead()
		scores := newRoundScores(len(r.alive), r.leaders)
		played, err := playAll(ctx, r.alive, r.Worker, r.game, each, scores, func(n int) *roundScores { return newRoundScores(n, r.leaders) })
		if err != nil {
			return 0, err
		}
		r.game += each
		r.played += played * len(r.alive)
		for i, c := range r.alive {
			r.rounds[c].Merge(scores.Each[i])
			r.short[c].Merge(scores.Short[i])
		}
		if played < each {
			return Cut, nil // what there is ranks the candidates
		}
		r.cut(round+1, max(r.Finalists, (len(r.alive)+1)/2))
		if r.Watch != nil {
			r.Watch(r.standings())
		}
	}
	return 0, nil
}

// leading is how many candidates those of a round are compared with: the mean of a few varies less than one, and whoever is
// best is no worse than the mean of any.
const leading = 4

// lead picks the leaders of the next round: places among those in play, by the games so far.
func (r *raceRun) lead() {
	rank := r.ranks()
	places := make([]int, len(r.alive))
	for i := range places {
		places[i] = i
	}
	slices.SortStableFunc(places, func(i, j int) int { return cmp.Compare(rank[r.alive[j]], rank[r.alive[i]]) })
	r.leaders = make([]int, leading)
	for i := range r.leaders {
		r.leaders[i] = places[i%len(places)]
	}
}

const (
	// families is how many kinds of statements share the chance of error: those of the rounds and those of the fresh games.
	families = 2
	// leastShown is the fewest games by which a candidate falls out: fewer say too little of how scores spread (our choice).
	leastShown = 16
)

// worse says whether the rounds show a candidate to be worse than the best: it is shown to be short of the mean of the
// leaders. They were picked before the games, so that no candidate that is as good as the best is short of them on average.
func (r *raceRun) worse(c int) bool {
	s := r.short[c]
	return s.Count() >= leastShown && stat.StudentCSOf[millionths](s, max(leastShown, r.Games/r.Candidates), families*r.Candidates).Low > millionths(Sure)*millionths(r.Margin)
}

// cut lets those fall out that are shown to be worse after a round, keeps the best n of the others in play and those that
// never fall out, and lets the rest rest.
func (r *raceRun) cut(round, n int) {
	rank := r.ranks()
	slices.SortStableFunc(r.alive, func(a, b int) int { return cmp.Compare(rank[b], rank[a]) })
	var kept []int
	for _, c := range r.alive {
		named := slices.Contains(r.Keep, c)
		if r.fell[c] = !named && r.worse(c); !r.fell[c] && (len(kept) < n || named) {
			kept = append(kept, c)
		} else {
			r.reached[c] = round
		}
	}
	r.alive = kept
}

// priorGames is the number of games that a prior counts for: about as many as tell two candidates apart
// that a quick look does (our choice).
const priorGames = 16

// ranks is what the candidates are ranked by in the rounds: their mean, drawn towards the prior.
func (r *raceRun) ranks() []float64 {
	rank := make([]float64, r.Candidates)
	for c := range rank {
		rank[c] = r.rounds[c].Mean()
	}
	if r.Prior == nil {
		return rank
	}
	var mean, prior float64
	for _, c := range r.alive {
		mean, prior = mean+rank[c], prior+r.Prior[c]
	}
	if mean == 0 || prior == 0 { // before the first games, too
		return slices.Clone(r.Prior)
	}
	for c := range rank {
		n := float64(r.rounds[c].N)
		rank[c] = (float64(n*rank[c]) + float64(priorGames*r.Prior[c]*mean/prior)) / (n + priorGames)
	}
	return rank
}

const (
	// looks is how often the fresh games are looked at.
	looks = 8
	// leastFinal is the fewest fresh games of a finalist: from so many on an interval can be given.
	leastFinal = 128
)

// final plays fresh games for the finalists.
func (r *raceRun) final(ctx context.Context) (RaceEnd, error) {
	r.finals = NewValueTally(len(r.alive))
	for look := range looks {
		first := r.Each * look / looks
		part := r.Each*(look+1)/looks - first
		played, err := playAll(ctx, r.alive, r.Final, first, part, r.finals, NewValueTally)
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
		case !r.Fixed && first+part >= r.Least && r.settled(&s):
			return Settled, nil
		}
	}
	return PlayedOut, nil
}

// settled says that every candidate but the best is shown to be worse, so that more games would change nothing.
func (r *raceRun) settled(s *Standings) bool {
	for c := range r.Candidates {
		if c != s.Order[0] && s.Even(c) {
			return false
		}
	}
	return true
}

// roundScores are the scores of the candidates in play, by their place, without their pairs, since there may be many; and
// what each is short of the leaders.
type roundScores struct {
	Each, Short []stat.IntMoments[millionths]
	leaders     []int
}

func newRoundScores(n int, leaders []int) *roundScores {
	return &roundScores{make([]stat.IntMoments[millionths], n), make([]stat.IntMoments[millionths], n), leaders}
}

// Merge adds the games that follow.
func (s *roundScores) Merge(next *roundScores) {
	for i := range s.Each {
		s.Each[i].Merge(next.Each[i])
		s.Short[i].Merge(next.Short[i])
	}
}

// Add takes in one game.
func (s *roundScores) Add(scores []Score) {
	led := 0
	for _, place := range s.leaders {
		led += int(scores[place])
	}
	for i, v := range scores {
		s.Each[i].Add(int(v))
		s.Short[i].Add((led - len(s.leaders)*int(v)) / max(1, len(s.leaders)))
	}
}

// adding is what scores of a game, one of each candidate, are added to.
type adding[R, S any] interface {
	Result[R]
	Add([]S)
}

// playAll plays games from number first on for every candidate in play and adds up what they bring.
func playAll[R adding[R, S], S any](ctx context.Context, alive []int, worker func() func(int, uint64) (S, error), first, games int, into R, empty func(candidates int) R) (played int, err error) {
	return runShards(ctx, shardOf(games, len(alive)), 0, games, into, func() func(Shard) (R, error) {
		one := worker()
		scores := make([]S, len(alive))
		return func(s Shard) (R, error) {
			part := empty(len(alive))
			for g := s.First; g < s.First+s.Count; g++ {
				for i, c := range alive {
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
}

// shardOf gives each core several shards even of few games, and lets a stop lose little where many candidates play each.
func shardOf(games, candidates int) int { return max(1, min(ShardGames/candidates, (games+7)/8)) }

func (r *raceRun) standings() Standings {
	k := r.Candidates
	s := Standings{Final: make([]bool, k), Reached: slices.Clone(r.reached), Fell: slices.Clone(r.fell), Values: make([]Value, k),
		Chances: make([]stat.Interval[unit.Chance], k), Rounds: make([]int, k), Behind: make([]stat.Interval[unit.ChanceDifference], k), Played: r.played}
	means := r.ranks()
	for c := range k {
		s.Order = append(s.Order, c)
		s.Rounds[c] = r.rounds[c].Count()
	}
	for place, c := range r.alive {
		if r.finals != nil && r.finals.Each[place].Count() > 0 {
			s.Final[c], s.Values[c], s.Fresh = true, r.finals.Each[place], r.finals.Each[place].Count()
		}
	}
	for c := range k {
		if s.Chances[c] = s.Values[c].Watched(r.Each); s.Final[c] {
			means[c] = float64(s.Chances[c].Value)
		}
	}
	slices.SortStableFunc(s.Order, func(a, b int) int {
		return cmp.Or(boolInt(s.Fell[a])-boolInt(s.Fell[b]), later(s.Reached[b])-later(s.Reached[a]), cmp.Compare(means[b], means[a]))
	})
	best, pairs := slices.Index(r.alive, s.Order[0]), len(r.alive)*(len(r.alive)-1)/2
	for place, c := range r.alive {
		if s.Final[c] && place != best {
			if s.Behind[c] = r.finals.WatchedLess(best, place, r.Each, families*pairs); r.Fixed {
				s.Behind[c] = r.finals.Less(best, place)
			}
		}
	}
	return s
}

// later orders rounds: 0, to be in play, is the latest.
func later(reached int) int {
	if reached == 0 {
		return math.MaxInt
	}
	return reached
}
