package cardreport

import (
	"slices"
	"sync"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// aim is a hand or a section that one seat steers for, against three that are free.
type aim struct {
	// hand or section says what it is; the other is -1.
	hand, section int
	// written is the card as it is; open and jokered are with the hand exposed, or taking jokers, and nil where
	// that is no change.
	written, open, jokered *setting
}

// setting is a card and those who play it: one with an aim and three without. It is made when first needed.
type setting struct {
	make func() *made
}

type made struct {
	game        *table.Game
	aimed, free *player.StrongKit
}

// aimedSeat is the seat with the aim on a deal.
func aimedSeat(deal int) charleston.Seat { return charleston.Seat(deal % charleston.Seats) }

// listAims lists the hands to aim at, then the sections.
func (s *Survey) listAims() []*aim {
	var list []*aim
	c := s.Card
	for h := range c.Hands {
		if !s.wants(h) {
			continue
		}
		a := &aim{hand: h, section: -1, written: s.setting(c, []int{h})}
		if couldBeOpen(c, h) {
			a.open = s.setting(with(c, []int{h}, func(h *card.Hand) { h.Concealed = false }), []int{h})
		}
		if couldTakeJokers(c, h) {
			a.jokered = s.setting(with(c, []int{h}, func(h *card.Hand) { h.Jokers = true }), []int{h})
		}
		list = append(list, a)
	}
	for section := range c.Sections {
		hands := c.SectionOf(section)
		if len(hands) > 0 && !slices.ContainsFunc(hands, func(h int) bool { return !s.wants(h) }) {
			list = append(list, &aim{hand: -1, section: section, written: s.setting(c, hands)})
		}
	}
	return list
}

func (s *Survey) wants(hand int) bool { return s.Hands == nil || slices.Contains(s.Hands, hand) }

func (s *Survey) setting(c *card.Card, hands []int) *setting {
	return &setting{sync.OnceValue(func() *made {
		m := &made{game: s.game, aimed: s.kit.ForAim(c, hands), free: s.kit}
		if c != s.Card {
			m.game, m.free = prepared.New(c).Game(s.House), s.kit.ForAim(c, nil)
		}
		return m
	})}
}

// aimWorker plays games with aims for one core: turn number n is deal n/aims with aim n%aims, so that all aims have met
// the same deals wherever it stops.
func (s *Survey) aimWorker() func(sim.Shard) (*Aims, error) {
	p := &aimPlayer{survey: s, aimed: map[*setting]player.Player{}, free: map[*player.StrongKit]*opponents{}}
	return func(shard sim.Shard) (*Aims, error) {
		hands, sections := len(s.Card.Hands), len(s.Card.Sections)
		a := &Aims{
			Hands: make([]Aim, hands), Sections: make([]Aim, sections),
			Open: make([]Change, hands), Jokered: make([]Change, hands),
		}
		for n := shard.First; n < shard.First+shard.Count; n++ {
			if err := p.play(a, s.aims[n%len(s.aims)], n/len(s.aims)); err != nil {
				return nil, err
			}
			a.Played++
		}
		return a, nil
	}
}

// aimPlayer is the players of one core, each made when first needed.
type aimPlayer struct {
	survey *Survey
	aimed  map[*setting]player.Player
	free   map[*player.StrongKit]*opponents
}

// opponents are three free players.
type opponents [charleston.Seats - 1]player.Player

func (p *aimPlayer) play(a *Aims, m *aim, deal int) error {
	written, err := p.outcome(m.written, deal)
	if err != nil {
		return err
	}
	if m.hand < 0 {
		a.Sections[m.section].add(written.won, written.points)
		return nil
	}
	a.Hands[m.hand].add(written.won, written.points)
	for _, eased := range []struct {
		how  *setting
		into *Change
	}{{m.open, &a.Open[m.hand]}, {m.jokered, &a.Jokered[m.hand]}} {
		if eased.how == nil {
			continue
		}
		o, err := p.outcome(eased.how, deal)
		if err != nil {
			return err
		}
		eased.into.add(o.won, written.won, o.points-written.points)
	}
	return nil
}

// aimedOutcome is what a game brought the seat with the aim.
type aimedOutcome struct {
	won    bool
	points int
}

// outcome plays a deal with the aim at one seat.
func (p *aimPlayer) outcome(how *setting, deal int) (aimedOutcome, error) {
	m := how.make()
	if p.aimed[how] == nil {
		p.aimed[how] = m.aimed.New()
	}
	if p.free[m.free] == nil {
		p.free[m.free] = &opponents{m.free.New(), m.free.New(), m.free.New()}
	}
	seat := aimedSeat(deal)
	tables := sim.Tables{Game: m.game}
	tables.Players[seat] = p.aimed[how]
	for i, free := range p.free[m.free] {
		tables.Players[(int(seat)+1+i)%charleston.Seats] = free
	}
	o, err := tables.Play(p.survey.Seed, uint64(deal))
	return aimedOutcome{o.Ending.Won() && o.Winner == seat, o.Net[seat]}, err
}

// wins is the difference of win shares, eased less written, -1..1.
func (c *Change) wins() stat.Interval[unit.ChanceDifference] {
	return stat.PairedProportions(int(c.Both), int(c.Eased), int(c.Written), int(c.Neither))
}
