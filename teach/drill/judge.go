package drill

import (
	"context"
	"fmt"
	"math"

	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/engine/stat"
)

const (
	// Margin is the smallest difference of chances that is called one: a point. An answer is right when it is not shown
	// to be worse than the best by more. Below that nobody can say what is better at a table of other people.
	Margin = 0.01
	// Errors is how many standard errors every answer must be away from the margin.
	Errors = 3
	// MostRight is the most right answers of a drill.
	MostRight = 3
)

// looks are the numbers of games after which a key may be clear: short games, and whole ones.
var (
	shortLooks = []int{256, 512, 1024, 2048, 4096}
	wholeLooks = []int{512, 1024, 2048, 4096, 8192}
)

// tally adds up the games of all choices; pairs[i][j] is choice i less choice j on the same games.
type tally struct {
	n     int
	each  []stat.IntMoments
	pairs [][]stat.IntMoments
}

func newTally(choices int) *tally {
	t := &tally{each: make([]stat.IntMoments, choices), pairs: make([][]stat.IntMoments, choices)}
	for i := range t.pairs {
		t.pairs[i] = make([]stat.IntMoments, choices)
	}
	return t
}

// play plays the games up to number `to` for every choice.
func (t *tally) play(ctx context.Context, s score, to int) error {
	values := make([]int, len(t.each))
	for ; t.n < to; t.n++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		for i := range values {
			var err error
			if values[i], err = s(i, uint64(t.n)); err != nil {
				return err
			}
		}
		for i, v := range values {
			t.each[i].Add(v)
			for j, w := range values {
				t.pairs[i][j].Add(v - w)
			}
		}
	}
	return nil
}

func (t *tally) best() int {
	best := 0
	for i := range t.each {
		if t.each[i].Sum > t.each[best].Sum {
			best = i
		}
	}
	return best
}

// cost is what a choice falls short of the best, with its standard error, as chances.
func (t *tally) cost(best, i int) (cost, se float64) {
	return t.pairs[best][i].Mean() / sim.Million, t.pairs[best][i].SE() / sim.Million
}

// clearness says how far a tally is from telling right from wrong.
type clearness int

const (
	unclear  clearness = iota
	hopeless           // more games than there are will hardly make it clear
	clear
)

// clearness looks at every choice: is it Errors standard errors to either side of the margin, and if not, will
// it be with so many games?
func (t *tally) clearness(most int) clearness {
	best := t.best()
	result := clear
	for i := range t.each {
		cost, se := t.cost(best, i)
		distance := math.Abs(cost - Margin)
		if i == best || distance >= Errors*se {
			continue
		}
		result = unclear
		if needed := float64(t.n) * math.Pow(Errors*se/max(distance, 1e-9), 2); needed > 3*float64(most) {
			return hopeless
		}
	}
	return result
}

// answers are what the games say of the choices. The best is picked by the games that give the costs, so that these come
// out a little too great on the whole.
//
// The intervals are narrowest at the number of games played, which was not named in advance as AsymptoticCS asks. Still
// they hold: one so tuned reaches 3.03 standard errors, which a normal mean passes with a chance of 0.24 % at one look,
// and there are five looks at most, 1.2 % together.
func (t *tally) answers() []Answer {
	best := t.best()
	answers := make([]Answer, len(t.each))
	for i := range answers {
		cost, _ := t.cost(best, i)
		answers[i] = Answer{Right: cost <= Margin, Chance: share(stat.AsymptoticCS(&t.each[i], t.n), &t.each[i], 0)}
		if i != best {
			answers[i].Cost = share(stat.AsymptoticCS(&t.pairs[best][i], t.n), &t.pairs[best][i], -1)
		} else {
			answers[i].Cost = stat.Interval{N: t.n}
		}
	}
	return answers
}

// share turns millionths into chances or differences of them, which are at least low and at most 1. Where
// nothing varied, or too little was played, the interval is that of three over the number of games (J. A. Hanley, A.
// Lippman-Hand, If nothing goes wrong, is everything all right?, JAMA 249 (1983) 1743-1745).
func share(i stat.Interval, m *stat.IntMoments, low float64) stat.Interval {
	if !i.Bounded() {
		mean, most := m.Mean()/sim.Million, 3/max(1, float64(m.N))
		return stat.Interval{Value: mean, Low: max(low, mean-most), High: min(1, mean+most), N: int(m.N)}
	}
	return stat.Interval{Value: i.Value / sim.Million, Low: max(low, i.Low/sim.Million), High: min(1, i.High/sim.Million), N: i.N}
}

// keySeed mixes the seed of a key with where the drill comes from, so that no two drills share their games.
func keySeed(seed uint64, o Origin) uint64 {
	return sim.Stream(seed, o.Deal, "key").Uint64() ^ sim.Stream(o.Seed, o.Deal, "origin").Uint64()
}

// key judges a drill's choices until the key is clear; ok is false when it does not become so.
func (b *bench) key(ctx context.Context, d *Drill, seed uint64) (k Key, ok bool, err error) {
	s, err := b.scorer(d, keySeed(seed, d.Origin))
	if err != nil {
		return k, false, err
	}
	looks := shortLooks
	if d.Ask().Whole() {
		looks = wholeLooks
	}
	t := newTally(len(d.Choices))
	for _, to := range looks {
		if err := t.play(ctx, s, to); err != nil {
			return k, false, err
		}
		switch t.clearness(looks[len(looks)-1]) {
		case clear:
			return b.m.keyOf(t, seed), true, nil
		case hopeless:
			return k, false, nil
		}
	}
	return k, false, nil
}

func (m *Maker) keyOf(t *tally, seed uint64) Key {
	c := m.counsel.Game.Card()
	return Key{Version: KeyVersion, Card: c.Name, Fingerprint: player.Fingerprint(c), Players: m.players, Seed: seed, Games: t.n, Answers: t.answers()}
}

// fixedKey judges a drill's choices by a number of games, whatever comes out.
func (b *bench) fixedKey(ctx context.Context, d *Drill, seed uint64, games int) (Key, error) {
	s, err := b.scorer(d, keySeed(seed, d.Origin))
	if err != nil {
		return Key{}, err
	}
	t := newTally(len(d.Choices))
	if err := t.play(ctx, s, games); err != nil {
		return Key{}, err
	}
	return b.m.keyOf(t, seed), nil
}

// Check says why a key teaches nothing, or nil.
func (k *Key) Check() error {
	right := len(k.Right())
	switch {
	case right == len(k.Answers):
		return fmt.Errorf("all answers are right: none costs more than %.0f point of chance", 100*Margin)
	case right > MostRight:
		return fmt.Errorf("%d right answers; %d are the most", right, MostRight)
	case k.Edge().Low <= 0:
		return fmt.Errorf("the cheapest wrong answer is not shown to cost anything")
	}
	return nil
}
