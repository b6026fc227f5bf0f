package sim

import (
	"context"
	"flag"
	"fmt"
	"math"
	"testing"

	"secondpass/engine/stat"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
)

var (
	doubtRacks = flag.Int("doubtracks", 16, "racks of TestQuickDoubt")
	doubtGames = flag.Int("doubtgames", 16, "whole games of each of two passes for each rack of TestQuickDoubt")
	doubtStep  = flag.String("doubtstep", "first-right", "the step of TestQuickDoubt, as in last-right")
)

// doubts are squares, in points², of what the estimate is off for a pass and for the difference of two, racks in turn.
type doubts struct{ one, two, bias []float64 }

// Merge adds the racks that follow.
func (d *doubts) Merge(next *doubts) {
	d.one, d.two, d.bias = append(d.one, next.one...), append(d.two, next.two...), append(d.bias, next.bias...)
}

// TestQuickDoubt measures what the quick estimate of a pass is off, as the standard deviation over racks of its mean less the share
// of whole games won, and the same of the difference of two passes: strong's own and the best other one by a quick look. A value
// grants QuickDoubt and QuickDoubtOfTwo for that; the test fails where it is shown to be more.
//
// Method: the mean of the squared differences, less the part that so few games bring, estimated from their spread (a variance
// component by moments, as in S. R. Searle, G. Casella, C. E. McCulloch, Variance Components, 1992, ch. 3). The interval is Student's t
// for the mean over racks.
func TestQuickDoubt(t *testing.T) {
	step, err := charleston.ParseStep(*doubtStep)
	if err != nil {
		t.Fatal(err)
	}
	l := staged(t, false)
	if l.Level, err = FitLevel(context.Background(), l.Game, l.Judge, nil, 5); err != nil {
		t.Fatal(err)
	}
	all := &doubts{}
	if _, err := runShards(context.Background(), 1, 0, *doubtRacks, all, func() func(Shard) (*doubts, error) {
		w := l.Worker()
		return func(s Shard) (*doubts, error) {
			part := &doubts{}
			err := w.doubt(part, uint64(s.First), step)
			return part, err
		}
	}, nil); err != nil {
		t.Fatal(err)
	}
	var bias stat.Moments
	for _, b := range all.bias {
		bias.Add(b)
	}
	off := stat.MeanT[points](&bias)
	t.Logf("%s, %d racks, %d games of each of two passes, seed %d: on average the estimate is off by %+.2f points (%+.2f to %+.2f)", step, len(all.one), *doubtGames, *stageSeed, off.Value, off.Low, off.High)
	for _, of := range []struct {
		name    string
		squares []float64
		granted float64
	}{{"a pass", all.one, 100 * QuickDoubt}, {"the difference of two", all.two, 100 * QuickDoubtOfTwo}} {
		var m stat.Moments
		for _, s := range of.squares {
			m.Add(s)
		}
		i := stat.MeanT[points](&m)
		sd := func(v points) float64 { return math.Sqrt(max(0, float64(v))) }
		t.Logf("%-22s off by a standard deviation of %.2f points (%.2f to %.2f), %.2f are granted", of.name, sd(i.Value), sd(i.Low), sd(i.High), of.granted)
		if sd(i.Low) > of.granted {
			t.Errorf("%s: the estimate is shown to be off by more than is granted", of.name)
		}
	}
}

// doubt deals game number n, lets four strong players pass to a step, and plays on from two passes of one seat there. Games in which the
// step does not come have no rack.
func (a *Ahead) doubt(into *doubts, n uint64, step charleston.Step) error {
	racks, _ := table.Deal(a.l.Game.Set(), Stream(*stageSeed, n, "deal"))
	lots, seat := Stream(*stageSeed, n, "lots"), charleston.Seat(n%charleston.Seats)
	for _, p := range a.tables.Players {
		p.Begin(lots)
	}
	passing, err := charleston.Start(racks, house.Usual.Passing, a.l.Game.Set())
	if err != nil {
		return err
	}
	for passing.Phase() != charleston.Over {
		if passing.Phase() == charleston.Passing && passing.Step() == step && passing.Waits(seat) {
			v := passing.View(seat)
			return a.doubtAt(into, &v, passing.Legal(seat), n)
		}
		for of := range charleston.Seat(charleston.Seats) {
			if !passing.Waits(of) {
				continue
			}
			v := passing.View(of)
			if err := passing.Apply(Decide(a.tables.Players[of], &v), lots); err != nil {
				return err
			}
		}
	}
	return nil
}

func (a *Ahead) doubtAt(into *doubts, v *charleston.View, legal []charleston.Action, n uint64) error {
	passes := []charleston.Action{Decide(a.tables.Players[v.Seat], v)}
	best := -1.0
	for _, other := range legal {
		if other == passes[0] || other.Own.Len() != charleston.PassTiles {
			continue
		}
		if worth := a.judge.Worth(v.Rack.Minus(other.Own.Rack())); worth > best {
			best, passes = worth, append(passes[:1:1], other)
		}
	}
	if len(passes) < 2 {
		return fmt.Errorf("game %d: one legal pass", n)
	}
	var each [2]stat.IntMoments[millionths] // result less estimate, in millionths
	var less stat.IntMoments[millionths]
	for g := range uint64(*doubtGames) {
		var gap [2]int
		for i, pass := range passes {
			one, err := a.Whole(v, pass, *stageSeed+1, n<<32|g)
			if err != nil {
				return err
			}
			gap[i] = int(one.Result - one.Quick)
			each[i].Add(gap[i])
		}
		less.Add(gap[0] - gap[1])
	}
	const point = float64(Sure) / 100
	square := func(m stat.IntMoments[millionths]) float64 {
		return (m.Mean()*m.Mean() - m.Variance()/float64(m.N)) / point / point
	}
	into.one = append(into.one, (square(each[0])+square(each[1]))/2)
	into.two = append(into.two, square(less))
	into.bias = append(into.bias, -(each[0].Mean()+each[1].Mean())/2/point)
	return nil
}
