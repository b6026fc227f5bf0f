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

	company company
}

// Budget is how much may be played for one piece of advice: a number of games, which gives the same
// advice every time, or a time. Every candidate gets two games at least and every finalist 128, so that it may be more.
type Budget struct {
	Games int
	Time  time.Duration
	// shortOnly leaves the whole games out.
	shortOnly bool
}

// Advice is what playing on makes of the decisions open at one moment.
type Advice struct {
	// Candidates are all distinct legal decisions, best first; Top is the number of those that are Even.
	Candidates []Candidate
	Top        int
	// Games is the number of short games played, Whole that of whole ones for each finalist.
	Games, Whole int
	// Bias is the mean of the short estimate less that of whole games, of the best candidate. Level is the factor
	// by which chances and differences were then set to the level of the whole games; 0 where no bias is shown
	// and the figures are the estimate's.
	Bias    stat.Interval[unit.ChanceDifference]
	Level   float64
	Stopped StopReason
}

// StopReason says why the games ended.
type StopReason string

const (
	// AllPlayed: the games of the budget were played.
	AllPlayed StopReason = "all games were played"
	// AllApart: every other finalist is shown to be worse.
	AllApart StopReason = "every other finalist is shown to be worse"
	// Interrupted: the person stopped it.
	Interrupted StopReason = "it was stopped"
	// OnlyOne: there is nothing to choose.
	OnlyOne StopReason = "there is only one legal decision"
)

// Candidate is one decision and what playing on made of it.
type Candidate struct {
	charleston.Action
	// Chance is the estimated chance to win, from short games. Final candidates were played to fresh games, and
	// only their intervals stay valid under peeking. Fell is the round of games, counted from 1, after which others fell out;
	// 0 is one that was in play to the end, or until the games were stopped.
	Chance stat.Interval[unit.Chance]
	Final  bool
	Fell   int
	// Behind is the best candidate's chance less this one's, on the same games; only for final ones.
	Behind stat.Interval[unit.ChanceDifference]
	// Even says that the games do not show it to be worse than the best one; the best is even itself.
	Even bool
	// Won and Points are the share of whole games won and the mean net points, for final candidates.
	Won    stat.Interval[unit.Chance]
	Points stat.Interval[unit.NetPoints]
	// Named says that the user asked for this candidate.
	Named bool
	// Facts is what the candidate keeps and gives up.
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
	if !budget.shortOnly {
		q.facts = newFactFinder(q.c.Game.Card(), q.v)
	}
	return q.answer(ctx, budget)
}

// question is one decision under judgement.
type question struct {
	c       *Counsel
	v       charleston.View
	actions []charleston.Action
	prior   []float64
	named   []int
	// facts says what candidates keep and give up; nil where nobody asks.
	facts *factFinder
	watch func(Advice)
}

func (c *Counsel) question(v charleston.View) (*question, error) {
	q := &question{c: c, v: v}
	racks, _, err := sim.Fill(&v, c.Game.Set(), sim.Stream(c.Seed, 0, "legal"))
	if err != nil {
		return nil, err
	}
	state, err := charleston.FromView(v, racks, c.Game.Set())
	if err != nil {
		return nil, err
	}
	q.actions = state.Legal(v.Seat)
	if len(q.actions) == 0 {
		return nil, fmt.Errorf("nothing is to be decided at the %s", v.Step)
	}
	q.quickLook()
	return q, nil
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
	games, err := q.games(l, budget)
	if err != nil {
		return Advice{}, err
	}
	if q.watch != nil && q.prior != nil {
		q.watch(q.advice(nil))
	}
	race := sim.Race{Candidates: len(q.actions), Prior: q.prior, Keep: q.named, Games: games,
		Worker: func() func(int, uint64) (sim.Score, error) {
			w := l.Worker()
			return func(i int, g uint64) (sim.Score, error) { return w.Short(&q.v, q.actions[i], q.c.Seed, g) }
		}}
	if q.watch != nil {
		race.Watch = func(s sim.Standings) { q.watch(q.advice(&s)) }
	}
	standings, err := race.Run(ctx)
	if err != nil {
		return Advice{}, err
	}
	a := q.advice(&standings)
	a.Stopped = stopReason(standings.End)
	if !budget.shortOnly {
		if err := q.playOut(ctx, l, &a, games/wholeShare); err != nil {
			return a, err
		}
	}
	if ctx.Err() != nil {
		a.Stopped = Interrupted
	}
	return a, nil
}

// stopReason words how a race ended.
func stopReason(e sim.RaceEnd) StopReason {
	return map[sim.RaceEnd]StopReason{sim.PlayedOut: AllPlayed, sim.Settled: AllApart, sim.Cut: Interrupted}[e]
}

// value plays short games for one action alone.
func (q *question) value(ctx context.Context, a charleston.Action, budget Budget) (stat.Interval[unit.Chance], error) {
	l, err := q.c.inPassing(ctx, q.v.Seat)
	if err != nil {
		return stat.Interval[unit.Chance]{}, err
	}
	games, err := q.games(l, budget)
	if err != nil {
		return stat.Interval[unit.Chance]{}, err
	}
	return l.ShortGames(ctx, q.v, a, q.c.Seed, max(leastMean, games/sim.Finalists))
}

const (
	// wholeShare is how many short games go with one whole game of each finalist.
	wholeShare = 40
	// trialGames tell how long a game takes.
	trialGames = 24
	// raceTime is the part of a time budget that goes to the race; the rest is for whole games.
	raceTime = 0.7
)

// games is the number of short games that a budget is good for.
func (q *question) games(l *sim.Lookahead, b Budget) (int, error) {
	if b.Games > 0 {
		return b.Games, nil
	}
	start := time.Now()
	w := l.Worker()
	for g := range uint64(trialGames) {
		if _, err := w.Short(&q.v, q.actions[0], q.c.Seed+1, g); err != nil {
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
		order, a.Games = s.Order, s.Played
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
			o.Facts = q.facts.find(q.actions[i])
		}
		if s != nil {
			o.Final, o.Fell, o.Chance, o.Behind, o.Even = s.Final[i], s.Fell[i], s.Chances[i], s.Behind[i], s.Even(i)
		}
		if o.Even {
			a.Top++
		}
		a.Candidates = append(a.Candidates, o)
	}
	return a
}

// playOut plays whole games for the finalists: their share of wins, their points, and how far the
// short estimate is off.
func (q *question) playOut(ctx context.Context, l *sim.Lookahead, a *Advice, games int) error {
	var finals []int
	for i := range a.Candidates {
		if a.Candidates[i].Final {
			finals = append(finals, i)
		}
	}
	if len(finals) == 0 || games == 0 {
		return nil
	}
	actions := make([]charleston.Action, len(finals))
	for i, at := range finals {
		actions[i] = a.Candidates[at].Action
	}
	total, played, err := l.WholeGames(ctx, q.v, actions, q.c.Seed+1, games)
	if err != nil || played == 0 {
		return err
	}
	a.Whole = played
	for i, at := range finals {
		o := &a.Candidates[at]
		o.Won, o.Points = total.Won(i), total.Points(i)
	}
	a.Bias = total.Bias(0)
	a.setLevel()
	return nil
}

// setLevel brings the estimates to the level of whole games, of which the best candidate won a share. The estimate
// is made for a table of strong players; at another it is off by about the same factor for all passes of a
// rack. The factor's own error, that of the share over the whole games, goes into the intervals of the chances.
func (a *Advice) setLevel() {
	won := float64(a.Candidates[0].Won.Value)
	estimated := won + float64(a.Bias.Value)
	if won == 0 || estimated <= 0 || a.Bias.Holds(0) {
		return
	}
	a.Level = won / estimated
	relative := (float64(a.Candidates[0].Won.High) - won) / won
	for i := range a.Candidates {
		o := &a.Candidates[i]
		o.Chance = stat.TimesAbout(o.Chance, a.Level, relative)
		if o.Behind.N > 0 {
			o.Behind = stat.Times(o.Behind, a.Level).Within(-1, 1)
		}
	}
}
