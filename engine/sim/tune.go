package sim

import (
	"context"
	"math"
	"slices"

	"secondpass/engine/player"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/table"
)

// Tuner fits the strong player's parameters to a card by self-play: one parameter after another, each value
// tried by one player against three that play with the best values so far, on shared deals.
type Tuner struct {
	Game  *table.Game
	Kit   *player.StrongKit
	Start player.Tuning
	Seed  uint64
	// Games bounds the games of the search; those of the last check and of the calibration come on top of it.
	Games int
	// Try is the number of deals that every value is tried on first, a multiple of ShardGames; 0 is the usual number.
	Try int
	// Points says to look for net points a game and not for the share of games won.
	Points bool
	// Watch, which may be nil, is told of every trial; Progress of the games played in all.
	Watch    func(Trial)
	Progress func(games int)
	// Enough, which may be nil, ends the search early where it is true.
	Enough func() bool

	best  player.Tuning
	next  int // the first deal not used yet
	spent int
}

// Trial is one value of one parameter against the best values so far.
type Trial struct {
	Parameter string
	From, To  float64
	// Lead is the win share less that of the three others, PointLead the same in points a game, on deals that it was not
	// chosen by.
	Lead      stat.Interval[unit.ChanceDifference]
	PointLead stat.Interval[unit.NetPoints]
	Kept      bool
}

// knob is a parameter that can be turned. It is a number or a count; the other of the two is nil.
type knob struct {
	name   string
	number func(*player.Params) *float64
	count  func(*player.Params) *int
	// near are values to try beside one.
	near func(float64) []float64
}

func (k *knob) get(p *player.Params) float64 {
	if k.count != nil {
		return float64(*k.count(p))
	}
	return *k.number(p)
}

func (k *knob) set(p *player.Params, x float64) {
	if k.count != nil {
		*k.count(p) = int(x)
		return
	}
	*k.number(p) = x
}

// scaled tries a value times some factors, within bounds and in so many steps a unit.
func scaled(low, high, steps float64, factors ...float64) func(float64) []float64 {
	return func(x float64) []float64 {
		var near []float64
		for _, f := range factors {
			near = append(near, min(high, max(low, math.Round(x*f*steps)/steps)))
		}
		return near
	}
}

// moved tries a value plus some distances, from 0 to 2.
func moved(distances ...float64) func(float64) []float64 {
	return func(x float64) []float64 {
		var near []float64
		for _, d := range distances {
			near = append(near, min(2, max(0, x+d)))
		}
		return near
	}
}

// fine is the steps a unit of values that are shares or factors.
const fine = 1000

// knobs are the parameters in the order in which they are tried: what mattered most in self-play first.
// Points trade wins for points, so that they are only turned where points are looked for.
func knobs(points bool) []knob {
	list := []knob{
		{"horizon", func(p *player.Params) *float64 { return &p.Horizon }, nil, scaled(.05, 1, fine, .6, .8, 1.25, 1.6)},
		{"claim_gain", func(p *player.Params) *float64 { return &p.ClaimGain }, nil, scaled(.5, 4, fine, .7, .85, 1.2, 1.4)},
		{"hold", func(p *player.Params) *float64 { return &p.Hold }, nil, scaled(.01, 1, fine, .5, .75, 1.35, 2)},
		{"joker_share", func(p *player.Params) *float64 { return &p.JokerShare }, nil, scaled(.02, 1, fine, .5, .75, 1.35, 2)},
		{"let_go", func(p *player.Params) *float64 { return &p.LetGo }, nil, scaled(.02, 1, fine, .5, .75, 1.35, 2)},
		{"slack", nil, func(p *player.Params) *int { return &p.Slack }, scaled(3, 24, 1, .6, .8, 1.3)},
		{"lines", nil, func(p *player.Params) *int { return &p.Lines }, scaled(8, 128, 1, .5, .7, 1.5)},
		{"receiver", func(p *player.Params) *float64 { return &p.Receiver }, nil, moved(-.1, .1, .25)},
	}
	if points {
		list = append(list, knob{"points", func(p *player.Params) *float64 { return &p.Points }, nil, moved(-.3, .3, .6)})
	}
	return list
}

// The deals of a trial: so many for every value, twice as many more for each better half, and fresh ones, so
// many times as many, on which it must lead, for the best. Our choice.
const (
	usualTry   = 4 * ShardGames
	agreeTimes = 6
)

func (t *Tuner) tryDeals() int {
	if t.Try > 0 {
		return t.Try
	}
	return usualTry
}

// Tune searches until the games are spent or enough, ctx ends, or a whole round of the parameters has changed nothing,
// and returns the best values. Equal arguments give equal values unless ctx ended the search.
func (t *Tuner) Tune(ctx context.Context) (player.Tuning, error) {
	t.best = t.Start
	for changed := true; changed; {
		changed = false
		for _, k := range knobs(t.Points) {
			kept, err := t.turn(ctx, k)
			if err != nil || t.over(ctx) {
				return t.best, err
			}
			changed = changed || kept
		}
	}
	return t.best, nil
}

func (t *Tuner) over(ctx context.Context) bool {
	return ctx.Err() != nil || t.spent >= t.Games || t.Enough != nil && t.Enough()
}

// contender is one value in the running.
type contender struct {
	value float64
	tally MatchTally
}

// turn tries the values near a parameter's and keeps the best if it leads on fresh deals.
func (t *Tuner) turn(ctx context.Context, k knob) (kept bool, err error) {
	now := k.get(&t.best.Params)
	var field []*contender
	for _, x := range k.near(now) {
		known := func(c *contender) bool { return c.value == x }
		if x != now && !slices.ContainsFunc(field, known) {
			field = append(field, &contender{value: x})
		}
	}
	for deals := t.tryDeals(); len(field) > 1; deals *= 2 {
		for _, c := range field {
			if err := t.play(ctx, k, c, t.next, deals); err != nil || t.over(ctx) {
				return false, err
			}
		}
		t.next += deals
		field = t.better(field)
	}
	if len(field) == 0 {
		return false, nil
	}
	if first := &field[0].tally; first.Lead.Count() > 0 && t.sought(first).Value <= 0 {
		return false, nil
	}
	c := &contender{value: field[0].value}
	agree := agreeTimes * t.tryDeals()
	if err := t.play(ctx, k, c, t.next, agree); err != nil || ctx.Err() != nil {
		return false, err
	}
	t.next += agree
	r := MatchResult{Tally: &c.tally}
	trial := Trial{Parameter: k.name, From: now, To: c.value, Lead: r.Lead(), PointLead: r.PointLead()}
	// Half of the interval's half width: a gain that is there more likely than not, not one that is shown.
	gain := t.sought(&c.tally)
	trial.Kept = gain.Value > (gain.Value-gain.Low)/2
	if trial.Kept {
		k.set(&t.best.Params, c.value)
	}
	if t.Watch != nil {
		t.Watch(trial)
	}
	return trial.Kept, nil
}

// better is the half of the field that leads.
func (t *Tuner) better(field []*contender) []*contender {
	for i := range field {
		for j := i; j > 0 && t.sought(&field[j].tally).Value > t.sought(&field[j-1].tally).Value; j-- {
			field[j], field[j-1] = field[j-1], field[j]
		}
	}
	return field[:(len(field)+1)/2]
}

// sought is what is looked for: the lead in wins or in points. Leads are only compared with each other.
func (t *Tuner) sought(tally *MatchTally) stat.Interval[float64] {
	if t.Points {
		return MatchResult{Tally: tally}.PointLead().Plain()
	}
	return MatchResult{Tally: tally}.Lead().Plain()
}

// play plays deals of one contender against three players of the best values.
func (t *Tuner) play(ctx context.Context, k knob, c *contender, from, deals int) error {
	params := t.best.Params
	k.set(&params, c.value)
	n, err := t.Versus(ctx, params, t.best.Params, from, deals, &c.tally)
	t.spent += (n - from) * Rotations
	if t.Progress != nil {
		t.Progress(t.spent)
	}
	return err
}

// Versus plays one strong player of some parameters against three of others on the deals from a number on, a
// multiple of ShardGames, and adds them to a tally; it returns the number of the deal after the last.
func (t *Tuner) Versus(ctx context.Context, one, three player.Params, from, deals int, into *MatchTally) (next int, err error) {
	a, b := t.Kit.With(player.Tuning{Params: one}), t.Kit.With(player.Tuning{Params: three})
	m := Match{Game: t.Game, Seed: t.Seed, Deals: from + deals}
	for i := range m.Seats {
		m.Seats[i] = func() player.Player { return b.New() }
	}
	m.Seats[0] = func() player.Player { return a.New() }
	return m.Play(ctx, from, into, nil)
}
