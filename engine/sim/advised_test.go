package sim

import (
	"context"
	"flag"
	"strings"
	"testing"
	"time"

	"secondpass/engine/player"
	"secondpass/engine/stat"
	"secondpass/rules/charleston"
)

var (
	advisedGames = flag.Int("advisedgames", 0, "deals in which TestAdvised looks what an advised player gains")
	advisedWalls = flag.Int("advisedwalls", 16, "times that each is played out, the wall shuffled anew")
	advisedKinds = flag.String("advisedkinds", "passing,discards,claims", "the kinds of decision of which it is looked what they gain")
)

// The same seed gives the same games, whoever plays on which core, and without a budget it is the strong player. With
// -advisedgames 1000 it is printed what each kind of decision gains.
func TestAdvised(t *testing.T) {
	l := staged(t, false)
	games := 100
	if *advisedGames > 100 {
		games = BeliefGames
	}
	kit, err := advisedBy(context.Background(), l.Game, l.Judge, 1, AdvisedBudget{Passing: 4, Discards: 4, Claims: 4}, games)
	if err != nil {
		t.Fatal(err)
	}
	none := *kit
	none.AdvisedBudget = AdvisedBudget{}
	play := func(own player.Player, n uint64) Outcome {
		tables := Tables{Game: l.Game, Players: [charleston.Seats]player.Player{l.Judge.New(), own, l.Judge.New(), l.Judge.New()}}
		o, err := tables.Play(9, n)
		if err != nil {
			t.Fatal(err)
		}
		return o
	}
	same := kit.New()
	for n := range uint64(8) {
		if one, two := play(same, n), play(kit.New(), n); one != two {
			t.Errorf("game %d: %+v and %+v", n, one, two)
		}
		if one, two := play(none.New(), n), play(l.Judge.New(), n); one != two {
			t.Errorf("game %d with no budget: %+v, with a strong player %+v", n, one, two)
		}
	}
	budgets := map[string]AdvisedBudget{"passing": AdvisedGames, "discards": {Discards: 24}, "claims": {Claims: 32}}
	if *advisedGames > 0 {
		for name := range strings.SplitSeq(*advisedKinds, ",") {
			some := *kit
			some.AdvisedBudget = budgets[name]
			gains(t, l, &some, name)
		}
	}
}

// gains sets one advised player among three strong ones, in each seat in turn, and compares with the same deals in which a strong one
// sits there. Each table is played out several times with its wall shuffled, the same walls for both: nearly all that differs by chance
// is in the wall.
func gains(t *testing.T, l *Lookahead, kit *AdvisedKit, name string) {
	began := time.Now()
	pairs := &advisedPairs{}
	if _, err := runShards(context.Background(), 4, 0, *advisedGames, pairs, func() func(Shard) (*advisedPairs, error) {
		plain, other := Tables{Game: l.Game}, Tables{Game: l.Game}
		for seat := range plain.Players {
			plain.Players[seat] = l.Judge.New()
		}
		own := kit.New()
		return func(s Shard) (*advisedPairs, error) {
			part := &advisedPairs{}
			for n := s.First; n < s.First+s.Count; n++ {
				seat := charleston.Seat(n % charleston.Seats)
				other.Players = plain.Players
				other.Players[seat] = own
				without, err := plain.playedOut(seat, uint64(n))
				if err != nil {
					return nil, err
				}
				with, err := other.playedOut(seat, uint64(n))
				if err != nil {
					return nil, err
				}
				part.list = append(part.list, tableShare{with.wins - without.wins, with.net - without.net})
			}
			return part, nil
		}
	}, nil); err != nil {
		t.Fatal(err)
	}
	var wins, net stat.Moments
	verdict, after, otherwise := stat.NotShown, 0, 0
	for i, d := range pairs.list {
		wins.Add(d.wins)
		net.Add(d.net)
		otherwise += boolInt(d != tableShare{})
		if _, v := stat.GSPRT(wins, 0, advisedMatters); verdict == stat.NotShown && i%ShardGames == ShardGames-1 {
			verdict, after = v, i+1
		}
	}
	w, p := stat.MeanT[points](wins), stat.MeanT[points](net)
	t.Logf("%s: %d deals, %d go otherwise, %v each; wins %+.2f (%+.2f to %+.2f) percentage points, net points %+.2f (%+.2f to %+.2f); more wins: %v after %d deals",
		name, len(pairs.list), otherwise, (time.Since(began) / time.Duration(*advisedGames)).Round(time.Millisecond), 100*w.Value, 100*w.Low, 100*w.High, p.Value, p.Low, p.High, verdict, after)
}

// advisedMatters is the gain against none that the sequential test tells apart: one percentage point.
const advisedMatters = 0.01

// tableShare is what a seat has of a table on average: games won, and net points.
type tableShare struct{ wins, net float64 }

// playedOut passes in game n and plays out several times.
func (t *Tables) playedOut(seat charleston.Seat, n uint64) (share tableShare, err error) {
	_, state, ok, err := t.passed(Stream(*stageSeed, n, "deal"), Stream(*stageSeed, n, "lots"))
	if !ok || err != nil {
		return share, err
	}
	racks, wall := bare(&state)
	for g := range uint64(*advisedWalls) {
		g += n * uint64(*advisedWalls)
		walls := Stream(*stageSeed, g, "walls")
		walls.Shuffle(len(wall), func(i, j int) { wall[i], wall[j] = wall[j], wall[i] })
		s := state
		if err := s.Redeal(seat, &racks, wall); err != nil {
			return share, err
		}
		for _, p := range t.Players {
			p.Begin(walls)
		}
		var o Outcome
		if err := t.Finish(&s, &o); err != nil {
			return share, err
		}
		each := 1 / float64(*advisedWalls)
		share.wins += each * float64(boolInt(o.Result.Ending.Won() && o.Result.Winner == seat))
		share.net += each * float64(o.Result.Net[seat])
	}
	return share, nil
}

// advisedPairs is what games with an advised player bring more than the same games without.
type advisedPairs struct{ list []tableShare }

// Merge adds the games that follow.
func (p *advisedPairs) Merge(next *advisedPairs) { p.list = append(p.list, next.list...) }
