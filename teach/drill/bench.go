package drill

import (
	"context"
	"fmt"

	"secondpass/advice"
	"secondpass/engine/fit"
	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/sim"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// Maker finds and judges drills for one card, by simulated games. It is read-only and may be shared.
type Maker struct {
	counsel *advice.Counsel
	players string
	aimed   map[string]func() player.Player // by section
	ready   *prepared.Card
}

// NewMaker makes a maker from the counsel of a card and the description of the counsel's other players.
func NewMaker(c *advice.Counsel, players string) (*Maker, error) {
	crd := c.Game.Card()
	if len(crd.Hands) == 0 {
		return nil, fmt.Errorf("card %q has no hands; drills need some", crd.Name)
	}
	m := &Maker{counsel: c, players: players, aimed: map[string]func() player.Player{}, ready: prepared.Of(crd)}
	cast := m.ready.Cast(c.Tuning)
	for _, section := range crd.Sections {
		if strongest, err := cast.Player("strong+aim=" + section); err == nil { // a section without hands is no aim
			m.aimed[section] = strongest
		}
	}
	return m, nil
}

// bench is one worker's means. Not for two goroutines at once.
type bench struct {
	m             *Maker
	own           *player.Strong
	nearest       player.Selective
	thumb         player.Selective
	rater         *fit.Rater
	near          []fit.Reading
	hands         map[int]*fit.Rater // one hand each
	tables        sim.Tables         // four of the counsel's players, for walking
	ahead, inPlay [charleston.Seats]*sim.Ahead
	toward        map[toward]*sim.Ahead
}

// toward is a seat that steers for a section.
type toward struct {
	seat    charleston.Seat
	section string
}

func (m *Maker) bench() (*bench, error) {
	b := &bench{m: m, own: m.counsel.Own.New(), rater: fit.NewRater(m.ready.Index()), hands: map[int]*fit.Rater{}, toward: map[toward]*sim.Ahead{}}
	for name, into := range map[string]*player.Selective{"nearest": &b.nearest, "thumb": &b.thumb} {
		newPlayer, err := m.ready.Cast(m.counsel.Tuning).Named(name)
		if err != nil {
			return nil, err
		}
		*into = newPlayer()
	}
	b.tables = sim.Tables{Game: m.counsel.Game}
	for seat := range b.tables.Players {
		b.tables.Players[seat] = m.counsel.Own.New()
	}
	return b, nil
}

// forget makes the players that are asked about single decisions forget those before, so that an answer does not depend
// on what a worker was asked earlier.
func (b *bench) forget() {
	for _, p := range []player.Player{b.own, b.nearest, b.thumb} {
		p.Begin(nil)
	}
}

// lookahead is the counsel's players at the table, with another at the seat if own is not nil.
func (b *bench) lookahead(seat charleston.Seat, own func() player.Player) (*sim.Lookahead, error) {
	c := b.m.counsel
	level, err := c.Level(context.Background())
	if err != nil {
		return nil, err
	}
	l := sim.Lookahead{Game: c.Game, Judge: c.Own, Level: level}
	for s := range l.Players {
		l.Players[s] = c.Others
	}
	l.Players[seat] = own
	if own == nil {
		l.Players[seat] = func() player.Player { return c.Own.New() }
	}
	return &l, nil
}

func (b *bench) aheadOf(seat charleston.Seat) (*sim.Ahead, error) {
	if b.ahead[seat] == nil {
		l, err := b.lookahead(seat, nil)
		if err != nil {
			return nil, err
		}
		b.ahead[seat] = l.Worker()
	}
	return b.ahead[seat], nil
}

// aheadInPlay is like aheadOf, for a seat in play: the others hold what is believed there.
func (b *bench) aheadInPlay(seat charleston.Seat) (*sim.Ahead, error) {
	if b.inPlay[seat] == nil {
		l, err := b.lookahead(seat, nil)
		if err != nil {
			return nil, err
		}
		if err := b.m.counsel.Believe(context.Background(), l); err != nil {
			return nil, err
		}
		b.inPlay[seat] = l.Worker()
	}
	return b.inPlay[seat], nil
}

func (b *bench) aheadToward(seat charleston.Seat, section string) (*sim.Ahead, error) {
	at := toward{seat, section}
	if b.toward[at] == nil {
		own, there := b.m.aimed[section]
		if !there {
			return nil, fmt.Errorf("the card has no section %q to steer for", section)
		}
		l, err := b.lookahead(seat, own)
		if err != nil {
			return nil, err
		}
		b.toward[at] = l.Worker()
	}
	return b.toward[at], nil
}

// handAway is how far a hand is from a rack.
func (b *bench) handAway(hand int, rack tile.Rack) int {
	if b.hands[hand] == nil {
		b.hands[hand] = fit.NewRater(b.m.ready.Aimed([]int{hand}))
	}
	return b.hands[hand].Away(&rack)
}

// nearestHands reads a rack against all hands; the slice is good until the next call.
func (b *bench) nearestHands(rack tile.Rack) []fit.Reading {
	b.near, _ = b.rater.Nearest(&rack, len(b.m.counsel.Game.Card().Hands), b.near[:0])
	return b.near
}

// score plays game number g for a choice and returns its score.
type score func(choice int, g uint64) (sim.Score, error)

// scorer is how the choices of a drill are played. All choices meet the same games.
func (b *bench) scorer(d *Drill, seed uint64) (score, error) {
	p := &d.Position
	switch d.Ask() {
	case AskSection:
		return b.sectionScorer(d, seed)
	case AskClaim, AskTurn:
		state, err := p.Table(b.m.counsel.Game)
		if err != nil {
			return nil, err
		}
		ahead, err := b.aheadInPlay(p.Seat)
		if err != nil {
			return nil, err
		}
		for _, c := range d.Choices {
			if err := state.Check(c.Play); err != nil {
				return nil, err
			}
		}
		return func(i int, g uint64) (sim.Score, error) {
			r, err := ahead.Play(&state, d.Choices[i].Play, seed, g)
			return sim.WholeOf(r, p.Seat).Result, err
		}, nil
	}
	ahead, err := b.aheadOf(p.Seat)
	if err != nil {
		return nil, err
	}
	return func(i int, g uint64) (sim.Score, error) { return ahead.Short(&p.View, d.Choices[i].Action, seed, g) }, nil
}

func (b *bench) sectionScorer(d *Drill, seed uint64) (score, error) {
	p := &d.Position
	aheads := make([]*sim.Ahead, len(d.Choices))
	first := make([]charleston.Action, len(d.Choices))
	for i, c := range d.Choices {
		var err error
		if aheads[i], err = b.aheadToward(p.Seat, c.Section); err != nil {
			return nil, err
		}
		first[i] = aheads[i].Decide(&p.View)
	}
	return func(i int, g uint64) (sim.Score, error) {
		game, err := aheads[i].Whole(&p.View, first[i], seed, g)
		return game.Result, err
	}, nil
}
