package sim

import (
	"context"
	"testing"

	"secondpass/engine/stat"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// TestDangerIsSeen compares, at the first own turn of a seat at several stages, how often the tile that it discards would
// win for another seat in layouts of what it does not see, with how often it truly would. One position a game, all
// seats in turn, four strong players. The area under the curve says how well the layouts tell dangerous discards from others,
// over all naturals of the rack: 0.5 is not at all. There are four positions for each of -positions, since nothing is played
// on from them.
func TestDangerIsSeen(t *testing.T) {
	l := staged(t, !*uniform)
	stages := []int{80, 60, 40}
	if *positions < 100 {
		stages = stages[2:] // earlier few tiles would win
	}
	for _, stage := range stages {
		seen := &dangers{}
		if _, err := runShards(context.Background(), 8, 0, 4**positions, seen, func() func(Shard) (*dangers, error) {
			w := l.Worker()
			return func(s Shard) (*dangers, error) {
				part := &dangers{}
				for n := s.First; n < s.First+s.Count; n++ {
					if err := w.danger(part, uint64(n), stage); err != nil {
						return nil, err
					}
				}
				return part, nil
			}
		}, nil); err != nil {
			t.Fatal(err)
		}
		var of, all stat.Moments
		for _, d := range seen.list {
			gap := d.predicted - float64(boolInt(d.won))
			if all.Add(gap); d.chosen {
				of.Add(gap)
			}
		}
		predicted, won, n := seen.means(true)
		gap := stat.MeanT[points](&of)
		t.Logf("%s: of %d discards %.2f %% are predicted to win, %.2f %% do, less %+.2f (%+.2f to %+.2f)", stageName(stage), n, 100*predicted, 100*won,
			100*gap.Value, 100*gap.Low, 100*gap.High)
		predicted, won, n = seen.means(false)
		gap = stat.MeanT[points](&all)
		auc := seen.auc()
		t.Logf("%s: of %d naturals held %.2f %% are predicted to win, %.2f %% would, less %+.2f (%+.2f to %+.2f); area under the curve %.3f", stageName(stage), n,
			100*predicted, 100*won, 100*gap.Value, 100*gap.Low, 100*gap.High, auc)
		if wins := seen.wins(); stage == 40 && (wins < 10 || auc < 0.6) { // uniform layouts reach 0.52
			t.Errorf("%s: %d tiles would win, and the area under the curve is %.3f: the layouts do not tell dangerous discards", stageName(stage), wins, auc)
		}
		if wide := 2 * float64(gap.High-gap.Low); float64(gap.Value) > 0.02+wide || float64(gap.Value) < -0.02-wide {
			t.Errorf("%s: predicted less true is %+.2f points", stageName(stage), 100*gap.Value)
		}
	}
}

// danger is one natural of one rack: the share of layouts in which it would win for another seat, and whether it
// truly would; chosen says that the seat's player discards it.
type danger struct {
	predicted   float64
	won, chosen bool
}

type dangers struct{ list []danger }

// Merge adds the positions that follow.
func (d *dangers) Merge(next *dangers) { d.list = append(d.list, next.list...) }

func (d *dangers) means(chosen bool) (predicted, won float64, n int) {
	for _, one := range d.list {
		if !chosen || one.chosen {
			n++
			predicted += one.predicted
			won += float64(boolInt(one.won))
		}
	}
	return predicted / float64(n), won / float64(n), n
}

func (d *dangers) wins() (n int) {
	for _, one := range d.list {
		n += boolInt(one.won)
	}
	return n
}

// auc is how often, of a tile that wins and one that does not, the first was thought the more dangerous; equals count half.
func (d *dangers) auc() float64 {
	var win, lose []float64
	for _, one := range d.list {
		if one.won {
			win = append(win, one.predicted)
		} else {
			lose = append(lose, one.predicted)
		}
	}
	return stat.AUC(win, lose)
}

// danger plays game n up to the first turn of a seat at a stage and adds what it could discard, if the game comes there.
func (a *Ahead) danger(into *dangers, n uint64, stage int) error {
	seat := charleston.Seat(n % charleston.Seats)
	state, err := a.upTo(*stageSeed, n, ownTurn(seat, stage))
	if err != nil || state.Phase() == table.Over {
		return err
	}
	would := a.DecidePlay(&state, seat)
	if would.Kind != table.Discard {
		return nil
	}
	truly := winsOn(&state, seat)
	var predicted [tile.Kinds]float64
	for g := range uint64(*playouts) {
		s := state
		if err := a.refill(&s, seat, Stream(*stageSeed+1, g<<32|n, "unseen")); err != nil {
			return err
		}
		for k, won := range winsOn(&s, seat) {
			predicted[k] += float64(boolInt(won)) / float64(*playouts)
		}
	}
	rack := state.View(seat).Rack()
	for k := range tile.Joker {
		if rack[k] > 0 {
			into.list = append(into.list, danger{predicted[k], truly[k], k == would.Tile})
		}
	}
	return nil
}
