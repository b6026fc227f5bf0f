package balance

import (
	"context"
	"math"

	"gonum.org/v1/gonum/stat"

	"secondpass/cardmaking/compose"
	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/sim"
	"secondpass/rules/tile"
)

// model is what is thought of every candidate's strength, and how surely: games on one card divide
// among its hands as their strengths do. Strengths are natural logarithms and have no zero of their own.
//
// A hand that has not been played yet is guessed by its worth to the strong player on random racks, a
// straight line fitted to the hands that were played, and by its section, as far as the played ones
// of it lie off that line. What games then show is added by precision, as in any normal model. Method: our own.
type model struct {
	section []int
	worth   []float64 // logarithm
	// played is the precision-weighted sum of what games showed, precision the sum of weights.
	played, precision []float64
	// mean and doubt (a variance) of each candidate.
	mean, doubt []float64
}

const (
	// worthRacks is how many random racks of 13 a hand's worth is the mean of, worthSeed what they are drawn with:
	// the same for every card.
	worthRacks = 300
	worthSeed  = 1
	// firstDoubt is the variance of a strength before any game; context is that of what a hand's
	// strength changes by with the other hands of a card.
	firstDoubt = 1.0
	context2   = 0.03
	// ownSection is how many hands of a section count as much as the line.
	ownSection = 3
)

// newModel works out the worth of every candidate.
func newModel(ctx context.Context, d *compose.Draft, watch func(done int)) (*model, error) {
	racks := make([]tile.Rack, worthRacks)
	tiles := tile.Usual.Tiles()
	for i := range racks {
		rng := sim.Stream(worthSeed, uint64(i), "worth")
		rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
		racks[i] = tile.RackOf(tiles[:13]...)
	}
	n := d.Candidates()
	kit := prepared.New(d.Alone(0)).Cast(general(d.Alone(0))).Kit()
	total := &worths{}
	done, err := sim.Run(ctx, 0, n, total, func() func(sim.Shard) (*worths, error) {
		return func(s sim.Shard) (*worths, error) {
			part := &worths{}
			for i := s.First; i < s.First+s.Count; i++ {
				part.List = append(part.List, worthOf(kit.ForAim(d.Alone(i), nil), racks))
			}
			return part, nil
		}
	}, func(done int) bool {
		watch(done)
		return false
	})
	if err != nil {
		return nil, err
	}
	if done < n {
		return nil, ctx.Err()
	}
	m := &model{worth: total.List, played: make([]float64, n), precision: make([]float64, n), mean: make([]float64, n), doubt: make([]float64, n)}
	for i := range n {
		m.section = append(m.section, d.Section(i))
		m.mean[i], m.doubt[i] = m.worth[i], firstDoubt
	}
	return m, nil
}

// worths is a list of them as a Result.
type worths struct{ List []float64 }

// Merge adds those that follow.
func (w *worths) Merge(next *worths) { w.List = append(w.List, next.List...) }

// worthOf is the logarithm of the mean worth of the only hand of a card.
func worthOf(kit *player.StrongKit, racks []tile.Rack) float64 {
	s := kit.New()
	sum := 0.0
	for _, r := range racks {
		sum += s.Worth(r)
	}
	return math.Log(sum/worthRacks + player.LeastWorth)
}

// learn takes in the games on a card of the hands with these numbers, indexed as w.Hands.
func (m *model) learn(numbers []int, w *Wins) {
	// The scale: what the hands are thought to be, less what they showed, over those that are known best.
	shift, weights := 0.0, 0.0
	shown := make([]float64, len(numbers))
	weight := make([]float64, len(numbers))
	for i, hand := range numbers {
		shown[i], weight[i] = strengthShown(w, i)
		both := 1 / (1/weight[i] + m.doubt[hand])
		shift += float64(both * (m.mean[hand] - shown[i]))
		weights += both
	}
	for i, hand := range numbers {
		m.played[hand] += float64(weight[i] * (shown[i] + shift/weights))
		m.precision[hand] += weight[i]
	}
	m.guess()
}

// strengthShown is the logarithm of a hand's win share by the even share, and its precision. Half a
// win stands for none.
func strengthShown(w *Wins, i int) (strength, precision float64) {
	won := float64(w.Hands[i]) + 0.5
	return math.Log(won / float64(w.Won()) * float64(len(w.Hands))), 1 / (1/won + context2)
}

// guess works out mean and doubt of every candidate anew from all that was played.
func (m *model) guess() {
	var x, y, weight []float64
	var at []int
	for i, p := range m.precision {
		if p > 0 {
			at = append(at, i)
			x, y = append(x, m.worth[i]), append(y, m.played[i]/p)
			weight = append(weight, 1/(firstDoubt/2+1/p))
		}
	}
	a, b := stat.LinearRegression(x, y, weight, false)
	off := map[int][]float64{}
	for i, hand := range at {
		off[m.section[hand]] = append(off[m.section[hand]], y[i]-a-float64(b*x[i]))
	}
	level := map[int]float64{}
	for s, list := range off {
		sum := 0.0
		for _, v := range list {
			sum += v
		}
		level[s] = sum / float64(len(list)+ownSection)
	}
	squares := 0.0
	for i, hand := range at {
		r := y[i] - a - float64(b*x[i]) - level[m.section[hand]]
		squares += float64(r * r)
	}
	spread := squares / float64(len(at))
	for i, p := range m.precision {
		prior := a + float64(b*m.worth[i]) + level[m.section[i]]
		m.mean[i] = (prior/spread + m.played[i]) / (1/spread + p)
		m.doubt[i] = 1 / (1/spread + p)
	}
}
