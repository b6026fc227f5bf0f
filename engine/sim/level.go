package sim

import (
	"context"
	"fmt"
	"hash/fnv"
	"math"

	"secondpass/engine/player"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Level brings the quick estimate for a rack after the passes to the chance to win of whole games, for one card, house,
// tuning and table: 1/(1+exp(-(A + Spread ln worth))). It is a value that can be kept as JSON; the same arguments give the
// same level on every machine of a kind.
type Level struct {
	// First is A where the passing ended without the second Charleston, Second where it was held: a rack of the same worth
	// wins less often then, since the others' racks have grown too.
	First  float64 `json:"first"`
	Second float64 `json:"second"`
	Spread float64 `json:"spread"`
	// Games is the number of games that it was fitted to, Seats that of the racks, Seed the seed of the games.
	Games int    `json:"games"`
	Seats int    `json:"seats"`
	Seed  uint64 `json:"seed"`
}

// Chance is the chance to win, 0..1, of a seat whose passing is over, with a rack of 13 or 14 tiles. own lends its
// working memory.
func (l *Level) Chance(own *player.Strong, v *charleston.View) float64 {
	return l.chance(own.Worth(v.Rack), v.Second())
}

func (l *Level) chance(worth float64, second bool) float64 {
	return player.Calibration{A: *l.of(second), B: l.Spread}.Chance(worth)
}

// of is the level of a passing with or without the second Charleston.
func (l *Level) of(second bool) *float64 {
	if second {
		return &l.Second
	}
	return &l.First
}

// TableSeed is the seed of the games by which a table is come to know, for a level and for beliefs: the same for the same
// hands, tiles, house rules, values of the strong player and description of the others on every machine, and another one
// for another version of the strong player.
func TableSeed(c *card.Card, rules house.Passing, params player.Params, others string) uint64 {
	h := fnv.New64a()
	fmt.Fprintf(h, "%d %s %v %v %v %q", player.Version, player.Fingerprint(c), tile.Rack(c.Set), rules, params, others) // a hash never fails to write
	return h.Sum64()
}

const (
	// LevelGames and AlikeGames are the numbers of games to which a level is fitted, a second or two of work: where one
	// seat of a game counts, and where four players are alike, so that all do.
	LevelGames = 64 * ShardGames
	AlikeGames = 24 * ShardGames
	// levelLeast is the fewest racks for which a level of their own is fitted: fewer share that of all.
	levelLeast = 200
)

// FitLevel plays games in which a strong player of a kit meets three others, in each seat in turn, and fits the level to
// how its racks did, by maximum likelihood. others is nil for three more of the kit: then all four seats count.
func FitLevel(ctx context.Context, g *table.Game, kit *player.StrongKit, others func() player.Player, seed uint64) (*Level, error) {
	games := LevelGames
	if others == nil {
		games = AlikeGames
	}
	dealt, played, err := worths(ctx, g, kit, others, seed, games)
	if err != nil {
		return nil, err
	}
	if played < games {
		return nil, fmt.Errorf("the level of the quick estimate was not worked out: stopped after %d of %d games: %w", played, games, context.Cause(ctx))
	}
	l := &Level{Games: games, Seats: len(dealt), Seed: seed}
	l.fit(dealt)
	return l, nil
}

// noise is the part of a likelihood that differs with the last digits of logarithms, which are not the same on all processors.
const noise = 1e-12

// fit fits levels and spread by Newton's method, its steps shortened where they do not lead uphill. Near the top the likelihood cannot
// tell what leads uphill, and Newton's steps can: they are taken whole where they lead down by no more than noise.
func (l *Level) fit(dealt []Dealt) {
	second := 0
	for _, d := range dealt {
		second += boolInt(d.Second)
	}
	apart := second >= levelLeast && len(dealt)-second >= levelLeast
	logs := make([]float64, len(dealt))
	for i, d := range dealt {
		logs[i] = math.Log(max(d.Worth, player.LeastWorth))
	}
	at := l.slope(dealt, logs, apart)
	for range 100 {
		first, other, spread := at.step()
		from := *l
		size := 1.0
		for ; size > 1e-6; size /= 2 {
			l.First, l.Second, l.Spread = from.First+float64(size*first), from.Second+float64(size*other), from.Spread+float64(size*spread)
			if next := l.slope(dealt, logs, apart); next.likelihood >= at.likelihood+at.likelihood*noise {
				at = next
				break
			}
		}
		if size*(math.Abs(first)+math.Abs(other)+math.Abs(spread)) < 1e-10 {
			break
		}
	}
	if !apart {
		l.Second = l.First
	}
	l.First, l.Second, l.Spread = rounded(l.First), rounded(l.Second), rounded(l.Spread)
}

// rounded is a fitted constant without the digits in which processors differ, far below what games tell of it.
func rounded(x float64) float64 { return math.Round(x*1e9) / 1e9 }

// slope is the logarithm of the likelihood of a level, with its derivatives by the two levels and the spread.
type slope struct {
	likelihood            float64
	level, curve, crossed [2]float64
	spread, spreadCurve   float64
}

// slope works it out. One seat at a worth of one, half of which won, is added for each level, and half the square of the
// spread taken off, so that the fit always exists.
func (l *Level) slope(dealt []Dealt, logs []float64, apart bool) slope {
	s := slope{likelihood: -l.Spread * l.Spread / 2, spread: -l.Spread, spreadCurve: 1}
	add := func(group int, a, x, won, n float64) {
		z := a + float64(l.Spread*x)
		p := 1 / (1 + math.Exp(-z))
		s.likelihood += float64(won*z) - float64(n*math.Log1p(math.Exp(-math.Abs(z)))) - float64(n*max(z, 0))
		s.level[group] += won - float64(n*p)
		s.spread += float64((won - float64(n*p)) * x)
		w := float64(n * p * (1 - p))
		s.curve[group] += w
		s.crossed[group] += float64(w * x)
		s.spreadCurve += float64(w * x * x)
	}
	for i := range dealt {
		group := boolInt(dealt[i].Second && apart)
		add(group, *l.of(group == 1), logs[i], float64(boolInt(dealt[i].Won)), 1)
	}
	add(0, l.First, 0, 0.5, 1)
	add(1, l.Second, 0, 0.5, 1)
	return s
}

// step is Newton's.
func (s *slope) step() (first, second, spread float64) {
	rest, curve := s.spread, s.spreadCurve
	for g := range s.level {
		rest -= s.crossed[g] * s.level[g] / s.curve[g]
		curve -= s.crossed[g] * s.crossed[g] / s.curve[g]
	}
	spread = rest / curve
	return (s.level[0] - float64(s.crossed[0]*spread)) / s.curve[0], (s.level[1] - float64(s.crossed[1]*spread)) / s.curve[1], spread
}
