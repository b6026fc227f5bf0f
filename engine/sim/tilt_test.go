package sim

import (
	"context"
	"math"
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/rules/table"
)

// Between the walls at which it is set the tilt goes in a straight line, and beyond them it stays.
func TestTiltBetweenWalls(t *testing.T) {
	tilt := tilt{0.4, -0.2, 0.6}
	for wall, want := range map[int]float64{120: 0.4, 99: 0.4, 98: 0.4 - 0.6/39, 60: -0.2, 50: 0.2, 40: 0.6, 0: 0.6} {
		if got := tilt.at(wall); math.Abs(got-want) > 1e-12 {
			t.Errorf("at a wall of %d: %v, want %v", wall, got, want)
		}
	}
}

// Beliefs that are off are set right: with worths that are all too low, a seat is predicted to win far
// too often, and the tilt brings most of that back. Against other players than the seat's own, too.
func TestTiltSetsRight(t *testing.T) {
	const games, low = 40, 1.5
	c := card.Practice()
	tuning, _ := player.TuningFor(c)
	cast := prepared.Of(c).Cast(tuning)
	nearest, err := cast.Player("nearest")
	if err != nil {
		t.Fatal(err)
	}
	for name, others := range map[string]func() player.Player{"strong": nil, "nearest": nearest} {
		g := table.NewGame(c, house.Usual)
		b, err := straight(context.Background(), g, cast.Kit(), others, 1, games)
		if err != nil {
			t.Fatal(err)
		}
		if err := b.setTilt(context.Background(), g, cast.Kit(), others, 1, games); err != nil {
			t.Fatal(err)
		}
		before := b.tilt
		for w := range b.cells {
			for o := range b.cells[w] {
				for _, worths := range b.cells[w][o].Worths {
					for i := range worths {
						worths[i] -= low
					}
				}
			}
		}
		b.tilt = tilt{}
		if err := b.setTilt(context.Background(), g, cast.Kit(), others, 1, games); err != nil {
			t.Fatal(err)
		}
		t.Logf("%s: %v, and with worths %v too low %v", name, before, low, b.tilt)
		if gain := b.tilt[0] - before[0]; gain < 0.4 || gain > 2*tiltMost {
			t.Errorf("%s: worths %v too low move the tilt at the beginning by %+.2f, from %+.2f", name, low, gain, before[0])
		}
	}
}

// Stopped, it says how far it came.
func TestTiltIsStopped(t *testing.T) {
	c := card.Practice()
	tuning, _ := player.TuningFor(c)
	ctx, stop := context.WithCancel(context.Background())
	stop()
	b := &Beliefs{}
	if err := b.setTilt(ctx, table.NewGame(c, house.Usual), prepared.Of(c).Cast(tuning).Kit(), nil, 1, 200); err == nil || ctx.Err() == nil {
		t.Errorf("stopped: %v", err)
	}
}
