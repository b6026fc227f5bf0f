package sim

import (
	"context"
	"flag"
	"testing"
	"time"

	"secondpass/engine/player"
	"secondpass/engine/stat"
	"secondpass/rules/charleston"
)

var advisedGames = flag.Int("advisedgames", 0, "games in which TestAdvised looks what an advised player gains")

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
	if *advisedGames > 0 {
		for name, budget := range map[string]AdvisedBudget{
			"passing":  {Passing: AdvisedGames.Passing},
			"discards": {Discards: 24},
			"claims":   {Claims: 32},
		} {
			some := *kit
			some.AdvisedBudget = budget
			gains(t, l, &some, name)
		}
	}
}

// gains sets one advised player among three strong ones, in each seat in turn, and compares with the same games in which a
// strong one sits there.
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
				without, err := plain.Play(*stageSeed, uint64(n))
				if err != nil {
					return nil, err
				}
				with, err := other.Play(*stageSeed, uint64(n))
				if err != nil {
					return nil, err
				}
				part.add(&with, &without, seat)
			}
			return part, nil
		}
	}, nil); err != nil {
		t.Fatal(err)
	}
	wins, points := stat.MeanT[points](pairs.Wins), stat.MeanT[points](pairs.Points)
	t.Logf("%s: %d games, %d go otherwise, %v each; wins %+.2f (%+.2f to %+.2f) percentage points, net points %+.2f (%+.2f to %+.2f)", name, pairs.Wins.Count(), pairs.Otherwise,
		(time.Since(began) / time.Duration(*advisedGames)).Round(time.Millisecond), 100*wins.Value, 100*wins.Low, 100*wins.High, points.Value, points.Low, points.High)
}

// advisedPairs is what games with an advised player bring more than the same games without.
type advisedPairs struct {
	Wins, Points stat.IntMoments[points]
	Otherwise    int
}

// Merge adds the games that follow.
func (p *advisedPairs) Merge(next *advisedPairs) {
	p.Wins.Merge(next.Wins)
	p.Points.Merge(next.Points)
	p.Otherwise += next.Otherwise
}

func (p *advisedPairs) add(with, without *Outcome, seat charleston.Seat) {
	won := func(o *Outcome) int { return boolInt(o.Ending.Won() && o.Winner == seat) }
	p.Wins.Add(won(with) - won(without))
	p.Points.Add(with.Net[seat] - without.Net[seat])
	p.Otherwise += boolInt(with.Turns != without.Turns || with.Winner != without.Winner || with.Net != without.Net)
}
