package advice

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"time"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// Judged is one of several decisions or plans, judged by whole games.
type Judged struct {
	// Name is that of an aim; Action the decision in play.
	Name   string
	Action table.Action
	Standing
}

// Verdict is the judgement on several decisions or plans, best first; Top of them are Even.
type Verdict struct {
	Judged []Judged
	Top    int
	// Unlisted is how many more there were, of a verdict that was kept without them.
	Unlisted int
	// Games is the number of whole games by which the final ones were picked, over all candidates, Each that of fresh ones of
	// each final candidate.
	Games, Each int
	Stopped     StopReason
}

// whole is a race by whole games.
type whole struct {
	names  []Judged
	seat   charleston.Seat
	worker func() func(i int, seed, g uint64) (sim.Whole, error)
	at     *moment
	watch  func(Verdict)
	budget Budget
	keep   []int
	// seed is that of the fresh games, roundSeed that of those that pick the final ones.
	seed, roundSeed uint64
	// finalists is how many are played to the end with those kept; fixed is that of [sim.Race].
	finalists int
	fixed     bool
}

func (c *Counsel) whole(seat charleston.Seat, budget Budget, watch func(Verdict)) *whole {
	return &whole{seat: seat, budget: budget, watch: watch, seed: c.Seed, roundSeed: c.roundSeed(), finalists: sim.Finalists}
}

// games is the number of whole games that the budget is good for.
func (w *whole) games() (int, error) {
	if w.budget.Games > 0 {
		return w.budget.Games, nil
	}
	play := w.worker()
	start := time.Now()
	const tries = 6
	for g := range uint64(tries) {
		if _, err := play(0, w.roundSeed, 1<<32+g); err != nil {
			return 0, err
		}
	}
	each := time.Since(start) / tries
	return max(len(w.names)*8, int(float64(w.budget.Time)/float64(max(each, 1))*float64(runtime.GOMAXPROCS(0)))), nil
}

func (w *whole) run(ctx context.Context) (Verdict, error) {
	if len(w.names) == 1 {
		w.names[0].Standing = Standing{Chance: stat.Interval[unit.Chance]{High: 1}, Even: true}
		return Verdict{Judged: w.names, Top: 1, Stopped: OnlyOne}, nil
	}
	games, err := w.games()
	if err != nil {
		return Verdict{}, err
	}
	race := sim.Race{Candidates: len(w.names), Keep: w.keep, Finalists: w.finalists, Fixed: w.fixed, Games: games / 2, Each: games / 2 / (w.finalists + len(w.keep)),
		Worker: func() func(int, uint64) (sim.Score, error) {
			play := w.worker()
			return func(i int, g uint64) (sim.Score, error) {
				game, err := play(i, w.roundSeed, g)
				return game.Result, err
			}
		},
		Final: func() func(int, uint64) (sim.Whole, error) {
			play := w.worker()
			return func(i int, g uint64) (sim.Whole, error) {
				return w.at.game(w.at.what(w.names[i].Name), g, func() (sim.Whole, error) { return play(i, w.seed, g) })
			}
		}}
	if len(w.names) <= w.finalists { // all are played to the end
		race.Each = games / len(w.names)
	}
	defer w.at.keep()
	if w.budget.Kept {
		race.Least = w.at.most()
	}
	if w.watch != nil {
		race.Watch = func(s sim.Standings) { w.watch(w.verdict(&s)) }
	}
	s, err := race.Run(ctx)
	if err != nil {
		return Verdict{}, err
	}
	if w.fixed && s.End != sim.Cut {
		w.at.pick(games, w.names[s.Other(w.keep)].Name)
	}
	v := w.verdict(&s)
	v.Stopped = stopReason(s.End)
	return v, nil
}

func (w *whole) verdict(s *sim.Standings) Verdict {
	v := Verdict{Games: s.Played, Each: s.Fresh}
	for _, i := range s.Order {
		j := w.names[i]
		if j.Standing = standing(s, i); j.Even {
			v.Top++
		}
		v.Judged = append(v.Judged, j)
	}
	return v
}

// AdviseAims judges plans at a moment of the passing: each section of the card, and no aim at all. The seat
// is played by a strong player held to the aim from here to the end of the game.
func (c *Counsel) AdviseAims(ctx context.Context, v charleston.View, budget Budget, watch func(Verdict)) (Verdict, error) {
	w := c.whole(v.Seat, budget, watch)
	w.at = c.moment("plans", fmt.Sprintf("%+v", v))
	w.names = []Judged{{Name: exercise.AimText(nil)}}
	cast := prepared.Of(c.Game.Card()).Cast(c.Tuning)
	free, err := cast.Player("strong")
	if err != nil {
		return Verdict{}, err
	}
	ahead := []*sim.Lookahead{c.aimed(v.Seat, func() player.Player { return free() })}
	for _, section := range c.Game.Card().Sections {
		aimed, err := cast.Player("strong+aim=" + section)
		if err != nil {
			return Verdict{}, fmt.Errorf("section %q: %w", section, err)
		}
		w.names = append(w.names, Judged{Name: section})
		ahead = append(ahead, c.aimed(v.Seat, func() player.Player { return aimed() }))
	}
	w.worker = func() func(int, uint64, uint64) (sim.Whole, error) {
		workers := make([]*sim.Ahead, len(ahead))
		return func(i int, seed, g uint64) (sim.Whole, error) {
			if workers[i] == nil {
				workers[i] = ahead[i].Worker()
			}
			return workers[i].Whole(&v, workers[i].Decide(&v), seed, g)
		}
	}
	return w.run(ctx)
}

// ownAhead is a lookahead in which the counsel's own player sits at the seat.
func (c *Counsel) ownAhead(seat charleston.Seat) *sim.Lookahead {
	return c.aimed(seat, func() player.Player { return c.Own.New() })
}

// aimed is a lookahead in which another player sits at the seat.
func (c *Counsel) aimed(seat charleston.Seat, own func() player.Player) *sim.Lookahead {
	l := &sim.Lookahead{Game: c.Game}
	for s := range l.Players {
		l.Players[s] = c.Others
	}
	l.Players[seat] = own
	return l
}

// AdvisePlay judges every legal action of a seat in play, with what it does not see laid out afresh in
// every game.
func (c *Counsel) AdvisePlay(ctx context.Context, state *table.State, seat charleston.Seat, budget Budget, watch func(Verdict)) (Verdict, error) {
	w, err := c.playRace(ctx, state, seat, nil, budget, watch)
	if err != nil {
		return Verdict{}, err
	}
	return w.run(ctx)
}

// playRace prepares the race of AdvisePlay; those of keep are judged to the end whatever becomes of them.
func (c *Counsel) playRace(ctx context.Context, state *table.State, seat charleston.Seat, keep []table.Action, budget Budget, watch func(Verdict)) (*whole, error) {
	w := c.whole(seat, budget, watch)
	w.at = c.inGame(state)
	actions := state.Legal(seat)
	if len(actions) == 0 {
		return nil, fmt.Errorf("%s has nothing to decide now", seat.Name())
	}
	for i, a := range actions {
		if slices.Contains(keep, a) {
			w.keep = append(w.keep, i)
		}
		w.names = append(w.names, Judged{Name: a.String(), Action: a})
	}
	l, err := c.inPlay(ctx, seat)
	if err != nil {
		return nil, err
	}
	w.worker = func() func(int, uint64, uint64) (sim.Whole, error) {
		ahead := l.Worker()
		return func(i int, seed, g uint64) (sim.Whole, error) {
			r, err := ahead.Play(state, actions[i], seed, g)
			return sim.WholeOf(r, seat), err
		}
	}
	return w, nil
}
