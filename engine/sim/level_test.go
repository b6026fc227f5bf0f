package sim

import (
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/stat"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
)

var (
	levelGames = flag.Int("levelgames", 48, "games of TestEstimateIsTrue")
	levelShort = flag.Int("levelshort", 4, "short games at each decision of TestEstimateIsTrue")
	opponents  = flag.String("opponents", "strong", "who sits at the other seats in TestEstimateIsTrue")
)

// TestEstimateIsTrue compares the quick estimate at each decision of the passing with the estimate at its end in the game
// that is played, and that with games won. All seats in turn; the card is that of -stagecard.
func TestEstimateIsTrue(t *testing.T) {
	l := staged(t, false)
	cast := prepared.Of(l.Game.Card()).Cast(player.Tuning{Params: player.General})
	others, err := cast.Player(*opponents)
	if err != nil {
		t.Fatal(err)
	}
	var unlike func() player.Player
	if *opponents != "strong" {
		unlike = others
	}
	if l.Level, err = FitLevel(context.Background(), l.Game, l.Judge, unlike, 5); err != nil {
		t.Fatal(err)
	}
	for seat := range l.Players {
		l.Players[seat] = others
	}
	t.Logf("level of %s: %+v", *opponents, *l.Level)
	seen := &estimates{at: map[string][]estimated{}}
	if _, err := runShards(context.Background(), 8, 0, *levelGames, seen, func() func(Shard) (*estimates, error) {
		var w [charleston.Seats]*Ahead
		for seat := range w {
			own := *l
			own.Players[seat] = func() player.Player { return l.Judge.New() }
			w[seat] = own.Worker()
		}
		return func(s Shard) (*estimates, error) {
			part := &estimates{at: map[string][]estimated{}}
			for n := s.First; n < s.First+s.Count; n++ {
				seat := charleston.Seat(n % charleston.Seats)
				if err := w[seat].estimate(part, uint64(n), seat); err != nil {
					return nil, err
				}
			}
			return part, nil
		}
	}, nil); err != nil {
		t.Fatal(err)
	}
	for _, stage := range seen.order {
		var x, y, won, less, against stat.Moments
		for _, e := range seen.at[stage] {
			x.Add(e.mean)
			y.Add(e.end)
			won.Add(float64(boolInt(e.won)))
			less.Add(e.mean - e.end)
			against.Add(e.mean - float64(boolInt(e.won)))
		}
		gap, all := stat.MeanT[points](&less), stat.MeanT[points](&against)
		var between, with float64
		for _, e := range seen.at[stage] {
			between += (e.first - x.Mean()) * (e.second - x.Mean())
			with += (e.mean - x.Mean()) * (e.end - y.Mean())
		}
		t.Logf("%-28s %6d: estimate %.2f end %.2f won %.2f %%; estimate less end %+.2f (%+.2f to %+.2f), less won %+.2f (%+.2f to %+.2f); spread %.3f", stage, less.Count(), 100*x.Mean(),
			100*y.Mean(), 100*won.Mean(), 100*gap.Value, 100*gap.Low, 100*gap.High, 100*all.Value, 100*all.Low, 100*all.High, with/between)
		if limit := 0.01 + float64(gap.High-gap.Low); math.Abs(float64(gap.Value)) > limit {
			t.Errorf("%s: the estimate less that at the end of the passing is %+.2f points, outside +-%.2f", stage, 100*gap.Value, 100*limit)
		}
	}
	p := &predictions{}
	for _, e := range seen.at[end] {
		p.list = append(p.list, prediction{first: e.mean, second: e.mean, truly: float64(boolInt(e.won)), won: e.won})
	}
	p.tenths(t, afterPassing)
}

const end = "end"

// estimated is one decision: the means of the two halves of its short games and of all, the estimate at the end of the
// passing of the game that was played, and whether it was won.
type estimated struct {
	first, second, mean, end float64
	won                      bool
}

type estimates struct {
	order []string
	at    map[string][]estimated
}

// Merge adds the games that follow.
func (e *estimates) Merge(next *estimates) {
	for _, stage := range next.order {
		if e.at[stage] == nil {
			e.order = append(e.order, stage)
		}
		e.at[stage] = append(e.at[stage], next.at[stage]...)
	}
}

func (a *Ahead) estimate(into *estimates, n uint64, seat charleston.Seat) error {
	racks, wall := table.Deal(a.l.Game.Set(), Stream(*stageSeed, n, "deal"))
	lots := Stream(*stageSeed, n, "lots")
	for _, p := range a.tables.Players {
		p.Begin(lots)
	}
	passing, err := charleston.Start(racks, house.Usual.Passing, a.l.Game.Set())
	if err != nil {
		return err
	}
	other := a.l.Worker() // whose players know nothing of this game
	seen := map[string]estimated{}
	var order []string
	for passing.Phase() != charleston.Over {
		for of := range charleston.Seat(charleston.Seats) {
			if !passing.Waits(of) {
				continue
			}
			v := passing.View(of)
			would := Decide(a.tables.Players[of], &v)
			if of == seat {
				var e estimated
				for g := range uint64(*levelShort) {
					score, err := other.Short(&v, would, *stageSeed+1, g<<32|n)
					if err != nil {
						return err
					}
					x := float64(score) / float64(Sure)
					if e.mean += x / float64(*levelShort); g%2 == 0 {
						e.first += 2 * x / float64(*levelShort)
					} else {
						e.second += 2 * x / float64(*levelShort)
					}
				}
				stage := fmt.Sprint(v.Step, " ", v.Phase)
				seen[stage] = e
				order = append(order, stage)
			}
			if err := passing.Apply(would, lots); err != nil {
				return err
			}
		}
	}
	for seat := range racks {
		racks[seat] = passing.Rack(charleston.Seat(seat))
	}
	over := passing.View(seat)
	chance := a.chance(&over)
	r, err := a.finish(racks, wall)
	if err != nil {
		return err
	}
	seen[end] = estimated{first: chance, second: chance, mean: chance}
	part := &estimates{order: append(order, end), at: map[string][]estimated{}}
	for stage, e := range seen {
		e.end, e.won = chance, r.Ending.Won() && r.Winner == seat
		part.at[stage] = []estimated{e}
	}
	into.Merge(part)
	return nil
}

// A level that was planted is found again, within the error of so many seats; and whatever the seats, there is one.
func TestLevelIsFound(t *testing.T) {
	rng := Stream(1, 2, "seats")
	planted := Level{First: 1.6, Second: 1.2, Spread: 0.45}
	seats := func(n int, won func(Dealt) bool) (dealt []Dealt) {
		for range n {
			d := Dealt{Worth: math.Exp(rng.NormFloat64()*2 - 6), Second: rng.IntN(3) == 0}
			d.Won = won(d)
			dealt = append(dealt, d)
		}
		return dealt
	}
	var found Level
	found.fit(seats(20000, func(d Dealt) bool { return rng.Float64() < planted.chance(d.Worth, d.Second) }))
	for name, gap := range map[string]float64{"first": found.First - planted.First, "second": found.Second - planted.Second, "spread": found.Spread - planted.Spread} {
		if math.Abs(gap) > 0.25 || name == "spread" && math.Abs(gap) > 0.04 {
			t.Errorf("%s is off by %.3f: %+v", name, gap, found)
		}
	}
	if found.First-found.Second < 0.2 {
		t.Errorf("the second Charleston changes the level by %.2f, planted is 0.4", found.First-found.Second)
	}
	for name, won := range map[string]func(Dealt) bool{
		"nobody":       func(Dealt) bool { return false },
		"everybody":    func(Dealt) bool { return true },
		"by the worth": func(d Dealt) bool { return d.Worth > 0.0025 },
	} {
		var l Level
		dealt := seats(500, won)
		l.fit(dealt)
		mean, share := 0.0, 0.0
		for _, d := range dealt {
			mean += l.chance(d.Worth, d.Second) / 500
			share += float64(boolInt(d.Won)) / 500
		}
		if !(math.Abs(mean-share) < 0.01) {
			t.Errorf("%s wins: the mean chance is %v, the share %v: %+v", name, mean, share, l)
		}
	}
}

// The constants of a level are those at which the slopes are none, to the digits that are kept: where they depended on when the
// likelihood stops to rise in its last digits, processors differed in the seventh.
func TestLevelIsWhereTheSlopesAreNone(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	for round := range 20 {
		dealt := make([]Dealt, 4000)
		for i := range dealt {
			worth := math.Exp(rng.NormFloat64())
			second := rng.IntN(3) == 0
			chance := 1 / (1 + math.Exp(1.5-math.Log(worth)*.7-float64(boolInt(second))))
			dealt[i] = Dealt{Worth: worth, Second: second, Won: rng.Float64() < chance}
		}
		var l Level
		l.fit(dealt)
		logs := make([]float64, len(dealt))
		for i, d := range dealt {
			logs[i] = math.Log(d.Worth)
		}
		s := l.slope(dealt, logs, true)
		if first, second, spread := s.step(); math.Abs(first)+math.Abs(second)+math.Abs(spread) > 4e-9 {
			t.Errorf("round %d: Newton's method would still move by %.2g, %.2g, %.2g", round, first, second, spread)
		}
	}
}
