package drill

import (
	"context"
	"fmt"
	"math"

	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
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

// tally is the scores of all choices on the same games.
type tally struct{ *sim.ScoreTally }

func newTally(choices int) *tally { return &tally{sim.NewScoreTally(choices)} }

// play plays the games up to number `to` for every choice.
func (t *tally) play(ctx context.Context, s score, to int) error {
	scores := make([]sim.Score, t.Candidates())
	for t.Count() < to {
		if err := ctx.Err(); err != nil {
			return err
		}
		for i := range scores {
			var err error
			if scores[i], err = s(i, uint64(t.Count())); err != nil {
				return err
			}
		}
		t.Add(scores)
	}
	return nil
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
	best := t.Best()
	result := clear
	for i := range t.Candidates() {
		cost, se := t.Cost(best, i)
		distance := math.Abs(float64(cost - Margin))
		if i == best || distance >= float64(Errors*se) {
			continue
		}
		result = unclear
		if needed := float64(t.Count()) * math.Pow(float64(Errors*se)/max(distance, 1e-9), 2); needed > 3*float64(most) {
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
	best := t.Best()
	answers := make([]Answer, t.Candidates())
	for i := range answers {
		cost, _ := t.Cost(best, i)
		chance, ok := t.Watched(i, t.Count())
		if !ok {
			chance = unvaried(chance).Within(0, 1)
		}
		answers[i] = Answer{Right: cost <= Margin, Chance: chance, Cost: stat.Interval[unit.ChanceDifference]{N: t.Count()}}
		if i == best {
			continue
		}
		if answers[i].Cost, ok = t.WatchedLess(best, i, t.Count()); !ok {
			answers[i].Cost = unvaried(answers[i].Cost).Within(-1, 1)
		}
	}
	return answers
}

// unvaried is the interval of a mean where nothing varied, or too little was played.
func unvaried[U unit.Unit](i stat.Interval[U]) stat.Interval[U] {
	most := U(stat.RuleOfThree(i.N))
	i.Low, i.High = i.Value-most, i.Value+most
	return i
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
	return Key{Version: KeyVersion, Card: c.Name, Fingerprint: player.Fingerprint(c), Players: m.players, Seed: seed, Games: t.Count(), Answers: t.answers()}
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
	k := b.m.keyOf(t, seed)
	_, err = b.level(ctx, d, &k)
	return k, err
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
