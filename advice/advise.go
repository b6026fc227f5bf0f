package advice

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"
	"time"

	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// Counsel judges decisions by playing on from them against simulated players. It is read-only and may
// be shared.
type Counsel struct {
	Game *table.Game
	// Own plays for the seat after the decision, and values racks; Others make the other seats' players.
	Own    *player.StrongKit
	Others func() player.Player
	// Tuning is what strong players go by.
	Tuning player.Tuning
	Seed   uint64
	// Shelf keeps what games have shown of the table for other programs; nil keeps it for this one alone. Waits, which may be nil, is
	// called, with the context of who asked, where such games are to be played first, which takes some ten seconds of one core.
	Shelf Shelf
	Waits func(context.Context)
	// Games keeps the whole games that are played; nil keeps none.
	Games Shelf

	company company
}

// Budget is how much may be played for one piece of advice: a number of games, which gives the same
// advice every time, or a time. Every candidate gets two games at least and every one that is played to the end 128, so that
// it may be more.
type Budget struct {
	Games int
	Time  time.Duration
	// Kept asks for as many whole games as are kept of any decision there, where these are more.
	Kept bool
}

// Advice is what playing on makes of the decisions open at one moment.
type Advice struct {
	// Candidates are all distinct legal decisions, best first; Top is the number of those that are Even.
	Candidates []Candidate
	Top        int
	// Unlisted is how many more decisions were open, of advice that was kept without them.
	Unlisted int
	// Games is the number of short games played, Whole that of whole games of each final candidate.
	Games, Whole int
	Stopped      StopReason
}

// StopReason says why the games ended.
type StopReason string

const (
	// AllPlayed: the games of the budget were played.
	AllPlayed StopReason = "all games were played"
	// AllApart: every other candidate is shown to be worse.
	AllApart StopReason = "every other one is shown to be worse"
	// Interrupted: the person stopped it.
	Interrupted StopReason = "it was stopped"
	// OnlyOne: there is nothing to choose.
	OnlyOne StopReason = "there is only one legal decision"
)

// Standing is how a candidate did against the others.
type Standing struct {
	// Final candidates were played to the end of whole games that are fresh, and only they have figures: Value is those
	// games, Chance the chance to win that they come to, and Behind the best candidate's chance less this one's on the same
	// games. The intervals stay valid under peeking.
	Final  bool
	Value  sim.Value
	Chance stat.Interval[unit.Chance]
	Behind stat.Interval[unit.ChanceDifference]
	// Short is the number of games by which the final ones were picked, short ones in the passing. Round is the last round of
	// them, counted from 1, that one which is not final took part in; Fell says that it was shown to be worse there, where
	// others only made room.
	Short, Round int
	Fell         bool
	// Even says that the games do not show it to be worse than the best one; the best is even itself.
	Even bool
}

// standing is that of a candidate of a race.
func standing(s *sim.Standings, i int) Standing {
	return Standing{Final: s.Final[i], Value: s.Values[i], Chance: s.Chances[i], Behind: s.Behind[i], Short: s.Rounds[i], Round: s.Reached[i], Fell: s.Fell[i], Even: s.Even(i)}
}

// Candidate is one decision and what playing on made of it.
type Candidate struct {
	charleston.Action
	Standing
	// Named says that the user asked for this candidate.
	Named bool
	// Facts is what the candidate leaves.
	Facts Facts
}

// Advise judges every distinct legal decision of a seat that is passing. named are decisions that the user
// asks about: they are judged to the end whatever becomes of them. watch, which may be nil, is told
// better and better advice, first from a quick look alone.
func (c *Counsel) Advise(ctx context.Context, v charleston.View, named []charleston.Action, budget Budget, watch func(Advice)) (Advice, error) {
	q, err := c.question(v)
	if err != nil {
		return Advice{}, err
	}
	q.facts = newFactFinder(c.Game.Card(), v)
	return q.ask(ctx, named, budget, watch)
}

// ask names decisions and answers the question.
func (q *question) ask(ctx context.Context, named []charleston.Action, budget Budget, watch func(Advice)) (Advice, error) {
	for _, n := range named {
		i := slices.Index(q.actions, n)
		if i < 0 {
			return Advice{}, fmt.Errorf("%s is no legal decision at the %s", n.Own, q.v.Step)
		}
		q.named = append(q.named, i)
	}
	q.watch = watch
	return q.answer(ctx, budget)
}

// question is one decision under judgement.
type question struct {
	c       *Counsel
	v       charleston.View
	actions []charleston.Action
	prior   []float64
	named   []int
	// facts says what candidates leave; nil where nobody asks.
	facts *factFinder
	known []*Facts // by action, once found
	// finalists is how many are played to the end with those named, each to so many games as the budget's by share. fixed is that of [sim.Race].
	finalists, share int
	fixed            bool
	watch            func(Advice)
}

func (c *Counsel) question(v charleston.View) (*question, error) {
	q := &question{c: c, v: v, finalists: sim.Finalists, share: wholeShare}
	var err error
	if q.actions, err = c.legal(&v); err != nil {
		return nil, err
	}
	q.quickLook()
	return q, nil
}

// legal is all distinct legal decisions of a seat that is passing.
func (c *Counsel) legal(v *charleston.View) ([]charleston.Action, error) {
	racks, _, err := sim.Fill(v, c.Game.Set(), sim.Stream(c.Seed, 0, "legal"))
	if err != nil {
		return nil, err
	}
	state, err := charleston.FromView(*v, racks, c.Game.Set())
	if err != nil {
		return nil, err
	}
	actions := state.Legal(v.Seat)
	if len(actions) == 0 {
		return nil, fmt.Errorf("nothing is to be decided at the %s", v.Step)
	}
	return actions, nil
}

// priorPower turns proportions of value into proportions of chance: in self-play the chance grew with
// about the square root of the value.
const priorPower = 0.5

// quickLook values what each candidate leaves, without any game.
func (q *question) quickLook() {
	if q.v.Phase != charleston.Passing && q.v.Phase != charleston.Giving {
		return // a vote or a number leaves the rack as it is
	}
	own := q.c.Own.New()
	q.prior = make([]float64, len(q.actions))
	best := 0.0
	for i, a := range q.actions {
		q.prior[i] = math.Pow(own.Worth(q.v.Rack.Minus(a.Own.Rack())), priorPower)
		best = max(best, q.prior[i])
	}
	for i := range q.prior {
		q.prior[i] /= max(best, math.SmallestNonzeroFloat64)
	}
}

func (q *question) answer(ctx context.Context, budget Budget) (Advice, error) {
	if len(q.actions) == 1 {
		a := q.advice(nil)
		a.Stopped, a.Top, a.Candidates[0].Even = OnlyOne, 1, true
		return a, nil
	}
	l, err := q.c.inPassing(ctx, q.v.Seat)
	if err != nil {
		return Advice{}, err
	}
	at := q.c.decided(&q.v)
	defer at.keep()
	games, err := q.games(l, budget)
	if err != nil {
		return Advice{}, err
	}
	if q.watch != nil && q.prior != nil {
		q.watch(q.advice(nil))
	}
	race := sim.Race{Candidates: len(q.actions), Prior: q.prior, Keep: q.named, Finalists: q.finalists, Games: games, Each: games / q.share, Fixed: q.fixed,
		Margin: shownBeyond * sim.QuickDoubtOfTwo,
		Worker: func() func(int, uint64) (sim.Score, error) {
			w := l.Worker()
			return func(i int, g uint64) (sim.Score, error) { return w.Short(&q.v, q.actions[i], q.c.roundSeed(), g) }
		},
		Final: func() func(int, uint64) (sim.Whole, error) {
			w := l.Worker()
			return func(i int, g uint64) (sim.Whole, error) { return at.try(named(q.actions[i]), q.whole(i))(w, g) }
		}}
	if len(q.actions) <= q.finalists { // all are played to the end
		race.Each = games / shortsAWhole / len(q.actions)
	}
	if budget.Kept {
		race.Least = at.most()
	}
	if q.watch != nil {
		race.Watch = func(s sim.Standings) { q.watch(q.advice(&s)) }
	}
	standings, err := race.Run(ctx)
	if err != nil {
		return Advice{}, err
	}
	if q.fixed && standings.End != sim.Cut {
		at.pick(games, named(q.actions[standings.Other(q.named)]))
	}
	a := q.advice(&standings)
	a.Stopped = stopReason(standings.End)
	return a, nil
}

// whole plays a whole game after a decision.
func (q *question) whole(i int) sim.Try {
	return func(w *sim.Ahead, g uint64) (sim.Whole, error) { return w.Whole(&q.v, q.actions[i], q.c.Seed, g) }
}

// roundSeed is the seed of the games by which candidates are picked: others than those that value them.
func (c *Counsel) roundSeed() uint64 { return c.Seed + 1 }

// shownBeyond is how many standard deviations of what the quick estimate is off a candidate must be worse in short games to
// fall out: the estimate may be off that much for the two with a chance of one in twenty.
const shownBeyond = 1.96

// stopReason words how a race ended.
func stopReason(e sim.RaceEnd) StopReason {
	return map[sim.RaceEnd]StopReason{sim.PlayedOut: AllPlayed, sim.Settled: AllApart, sim.Cut: Interrupted}[e]
}

const (
	// wholeShare is how many short games go with one whole game of each final candidate.
	wholeShare = 16
	// trialGames tell how long a game takes.
	trialGames = 24
	// shortsAWhole is how many short games take as long as a whole one, and raceTime the part of a time budget that goes to
	// short games.
	shortsAWhole = 3
	raceTime     = 0.55
)

// games is the number of short games that a budget is good for.
func (q *question) games(l *sim.Lookahead, b Budget) (int, error) {
	if b.Games > 0 {
		return b.Games, nil
	}
	start := time.Now()
	w := l.Worker()
	for g := range uint64(trialGames) {
		if _, err := w.Short(&q.v, q.actions[0], q.c.roundSeed(), g); err != nil {
			return 0, err
		}
	}
	each := time.Since(start) / trialGames
	return max(200, int(float64(b.Time)*raceTime/float64(max(each, 1))*float64(runtime.GOMAXPROCS(0)))), nil
}

// advice reads the standings of the race; without any it goes by the quick look.
func (q *question) advice(s *sim.Standings) Advice {
	var a Advice
	var order []int
	if s != nil {
		order, a.Games, a.Whole = s.Order, s.Played, s.Fresh
	} else {
		for i := range q.actions {
			order = append(order, i)
		}
		if q.prior != nil {
			slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(q.prior[j], q.prior[i]) })
		}
	}
	for _, i := range order {
		o := Candidate{Action: q.actions[i], Named: slices.Contains(q.named, i)}
		if q.facts != nil {
			if q.known == nil {
				q.known = make([]*Facts, len(q.actions))
			}
			if q.known[i] == nil {
				facts := q.facts.find(q.actions[i])
				q.known[i] = &facts
			}
			o.Facts = *q.known[i]
		}
		if s != nil {
			o.Standing = standing(s, i)
		}
		if o.Even {
			a.Top++
		}
		a.Candidates = append(a.Candidates, o)
	}
	return a
}
