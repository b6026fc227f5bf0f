package drill

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"secondpass/advice"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// MostFree bounds the games by which an answer is judged that a drill does not offer.
const MostFree = 2048

// ErrFree is the error of an answer that is no legal decision at a drill's position.
var ErrFree = errors.New("no answer")

// Free reads any legal decision at the drill's position, whether or not it is among the choices. Errors are [ErrFree].
func (d *Drill) Free(game *table.Game, text string) (Choice, error) {
	c, err := ParseChoice(d.Ask(), d.Position.Seat, strings.TrimSpace(text))
	if err != nil {
		return c, fmt.Errorf("%w: %w", ErrFree, err)
	}
	alone := *d
	alone.Choices = []Choice{c}
	if err := alone.Check(game); err != nil {
		return c, fmt.Errorf("%w: %w", ErrFree, err)
	}
	return c, nil
}

// Judge says what an answer is worth that the drill does not offer: it is played on from beside the best of those offered, on
// the games of the key, MostFree of them at most. It is right on the same terms as those. One that is better than all
// offered costs less than nothing.
func (m *Maker) Judge(ctx context.Context, d *Drill, c Choice) (Answer, error) {
	answers, err := m.JudgeAll(ctx, d, []Choice{c}, MostFree)
	if err != nil {
		return Answer{}, err
	}
	return answers[0], nil
}

// JudgeAll judges several answers likewise, by so many games at most.
func (m *Maker) JudgeAll(ctx context.Context, d *Drill, choices []Choice, games int) ([]Answer, error) {
	b, err := m.bench()
	if err != nil {
		return nil, err
	}
	beside := *d
	beside.Choices = append([]Choice{d.Choices[d.Key.Best()]}, choices...)
	s, err := b.scorer(&beside, keySeed(d.Key.Seed, d.Origin))
	if err != nil {
		return nil, err
	}
	t := newTally(len(beside.Choices))
	if err := t.play(ctx, s, min(max(d.Key.Games, 2), games)); err != nil {
		return nil, err
	}
	answers := make([]Answer, len(choices))
	for i := range choices {
		answers[i] = t.against(0, i+1)
		if offered := slices.Index(d.Choices, choices[i]); offered >= 0 {
			answers[i].Chance = d.Key.Answers[offered].Chance
		} else if d.Key.Whole > 0 {
			d.Key.beside(&answers[i])
		}
	}
	return answers, nil
}

// against is what the games say of a choice beside another.
func (t *tally) against(best, i int) Answer {
	cost, _ := t.Cost(best, i)
	a := Answer{Right: cost <= Margin}
	var ok bool
	if a.Chance, ok = t.Watched(i, t.Count()); !ok {
		a.Chance = unvaried(a.Chance).Within(0, 1)
	}
	if a.Cost, ok = t.WatchedLess(best, i, t.Count()); !ok {
		a.Cost.N = t.Count()
		a.Cost = unvaried(a.Cost).Within(-1, 1)
	}
	return a
}

// beside brings the chance of an answer that was judged by short games to the level of a key.
func (k *Key) beside(a *Answer) {
	best := k.Answers[k.Best()].Chance
	cost := unit.Chance(a.Cost.Value)
	a.Chance = stat.Interval[unit.Chance]{Value: best.Value - cost, N: best.N,
		Low:  best.Value - cost - hypot(best.Value-best.Low, cost-unit.Chance(a.Cost.Low)),
		High: best.Value - cost + hypot(best.High-best.Value, unit.Chance(a.Cost.High)-cost)}.Within(0, 1)
}

// AnsweredFreely is a try of a drill by an answer that it does not offer.
func (d *Drill) AnsweredFreely(c Choice, a Answer, at time.Time, taken, limit time.Duration) Try {
	return Try{Drill: d.ID, Kind: string(d.Kind), Step: d.Position.StepKey(), Answer: c.String(), Right: a.Right, Cost: a.Cost, Taken: taken, Limit: limit, At: at}
}

// ReasonOf says what sets any legal decision of a drill apart from the best one that it offers.
func (d *Drill) ReasonOf(c *card.Card, choice Choice) (Reason, error) {
	best := d.Choices[d.Key.Best()]
	pair := *d
	pair.Choices = []Choice{choice, best}
	facts, err := pair.facts(c)
	if err != nil {
		return Reason{}, err
	}
	return Reason{Choice: choice, Facts: facts[0], Against: best, Points: advice.Contrast(&facts[0], &facts[1])}, nil
}

// AllPasses is every legal pass of three own tiles at a drill's position; none where it asks for something else.
func (d *Drill) AllPasses() []Choice {
	if d.Ask() != AskPass {
		return nil
	}
	v := &d.Position.View
	var all []Choice
	for _, own := range charleston.Parcels(v.Rack, charleston.PassTiles) {
		all = append(all, Choice{Action: charleston.Action{Seat: v.Seat, Kind: charleston.Pass, Own: own}})
	}
	return all
}
