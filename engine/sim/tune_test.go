package sim

import (
	"context"
	"math"
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/internal/oracle"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
)

// The calibration is R's logistic regression.
func TestCalibrateAgreesWithR(t *testing.T) {
	for _, row := range oracle.R(t, "testdata/logistic.R") {
		n := len(row.In) / 2
		seats := make([]Dealt, n)
		for i := range seats {
			seats[i] = Dealt{Worth: row.In[i], Won: row.In[n+i] == 1}
		}
		c, err := Calibrate(seats)
		if err != nil {
			t.Fatal(err)
		}
		for i, got := range []float64{c.A, c.B, c.SEA, c.SEB, c.R, c.AUC} {
			if math.Abs(got-row.Out[i]) > 1e-5 {
				t.Errorf("n %d, figure %d: %.7f, R has %.7f", n, i, got, row.Out[i])
			}
		}
		sum := 0.0
		for _, tenth := range c.Tenths {
			sum += tenth.Won
		}
		won := 0
		for _, s := range seats {
			if s.Won {
				won++
			}
		}
		if n%10 == 0 && math.Abs(sum/10-float64(won)/float64(n)) > 1e-9 {
			t.Errorf("the tenths have %.4f wins, all together %.4f", sum/10, float64(won)/float64(n))
		}
	}
}

func TestCalibrateNeedsBothKinds(t *testing.T) {
	for name, seats := range map[string][]Dealt{
		"nothing":     nil,
		"only losers": {{Worth: 1, Won: false}, {Worth: 2, Won: false}, {Worth: 3, Won: false}},
		"one worth":   {{Worth: 1, Won: false}, {Worth: 1, Won: true}, {Worth: 1, Won: true}},
		"parted":      {{Worth: 1, Won: false}, {Worth: 2, Won: false}, {Worth: 3, Won: true}, {Worth: 4, Won: true}},
	} {
		if c, err := Calibrate(seats); err == nil {
			t.Errorf("%s: %+v", name, c)
		}
	}
}

func tuner(games int) *Tuner {
	c := card.Practice()
	start := player.Tuning{Params: player.General}
	start.Params.Horizon, start.Params.Lines = .9, 16 // far off: hands that need the whole wall count
	return &Tuner{Game: table.NewGame(c, house.Usual), Kit: prepared.Of(c).Cast(start).Kit(), Start: start, Seed: 1, Games: games, Try: ShardGames}
}

// From a horizon that is much too long the search comes down, the same way every time, within its games, and
// stops with what it has when its time is over.
func TestTuneFindsAShorterHorizon(t *testing.T) {
	var trials []Trial
	search := func(games int) player.Params {
		u := tuner(games)
		trials = nil
		u.Watch = func(trial Trial) { trials = append(trials, trial) }
		best, err := u.Tune(context.Background())
		if err != nil || u.spent > games+agreeTimes*ShardGames*Rotations {
			t.Fatalf("%d games of %d: %v", u.spent, games, err)
		}
		return best.Params
	}
	first := search(2100)
	if len(trials) != 1 || trials[0].Parameter != "horizon" || !trials[0].Kept || first.Horizon >= .9 || first.Horizon != trials[0].To {
		t.Errorf("trials %+v, values %+v", trials, first)
	}
	if again := search(2100); again != first {
		t.Errorf("%+v, and %+v the second time", first, again)
	}
	over, cancel := context.WithCancel(context.Background())
	cancel()
	u := tuner(1000)
	if best, err := u.Tune(over); err != nil || best.Params != u.Start.Params {
		t.Errorf("without time %+v, %v", best.Params, err)
	}
}

// The seats of self-play are four a game, a quarter or less of them win, and their worths tell winners from losers.
func TestWorths(t *testing.T) {
	u := tuner(1)
	seats, err := Worths(context.Background(), u.Game, u.Kit, 2, 400)
	if err != nil || len(seats)%charleston.Seats != 0 || len(seats) < 390*charleston.Seats {
		t.Fatalf("%d seats: %v", len(seats), err)
	}
	c, err := Calibrate(seats)
	if err != nil || c.B <= 0 || c.AUC < .55 {
		t.Errorf("%+v: %v", c, err)
	}
}
