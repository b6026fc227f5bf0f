package cardreport

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"secondpass/engine/fit"
	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/sim"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/rules/table"
)

// Settings say what a survey looks at and how long.
type Settings struct {
	// Card must have hands.
	Card   *card.Card
	Tuning player.Tuning
	// House is the house rules; the set is that of the card.
	House house.House
	Seed  uint64
	// Hands are those to aim at, as indices of Card.Hands; nil is all. A section is aimed at when all of its
	// hands are.
	Hands []int
	// Deals is the number of random racks to read, Games of games of four strong players, Aimed of games for each
	// hand and section to aim at. Each may be 0.
	Deals, Games, Aimed int
}

// Survey is a card prepared for the three stages. It is read-only but for what is built when first needed.
type Survey struct {
	Settings
	game     *table.Game
	index    *fit.Index
	holdings []Holding
	// eased is the index of the hands marked to take no jokers, as if they did; nil where there are none.
	eased *fit.Index
	kit   *player.StrongKit
	aims  []*aim
}

// New prepares a survey.
func New(s Settings) (*Survey, error) {
	switch {
	case len(s.Card.Hands) == 0:
		return nil, fmt.Errorf("card %q has no hands yet", s.Card.Name)
	case s.Deals < 0 || s.Games < 0 || s.Aimed < 0:
		return nil, fmt.Errorf("%d deals, %d games, %d games with each aim: 0 or more of each is right", s.Deals, s.Games, s.Aimed)
	}
	for _, h := range s.Hands {
		if h < 0 || h >= len(s.Card.Hands) {
			return nil, fmt.Errorf("there is no hand %d; the card has %d", h, len(s.Card.Hands))
		}
	}
	p := prepared.Of(s.Card)
	v := &Survey{
		Settings: s, game: p.Game(s.House), index: p.Index(), holdings: holdings(),
		kit: p.Cast(s.Tuning).Kit(),
	}
	var jokerless []int
	for h := range s.Card.Hands {
		if couldTakeJokers(s.Card, h) {
			jokerless = append(jokerless, h)
		}
	}
	if len(jokerless) > 0 {
		v.eased = prepared.New(with(s.Card, jokerless, func(h *card.Hand) { h.Jokers = true })).Aimed(jokerless)
	}
	v.aims = v.listAims()
	return v, nil
}

// couldTakeJokers says whether a hand is marked to take no jokers and has a group in which one could stand
// otherwise.
func couldTakeJokers(c *card.Card, hand int) bool {
	return !c.Hands[hand].Jokers && hasGroups(c, hand)
}

// couldBeOpen says whether a hand is concealed and has a group that could be laid open otherwise.
func couldBeOpen(c *card.Card, hand int) bool {
	return c.Hands[hand].Concealed && hasGroups(c, hand)
}

// hasGroups says whether some variant of a hand has a group of three or more.
func hasGroups(c *card.Card, hand int) bool {
	return slices.ContainsFunc(c.VariantsOf(hand), func(v card.Variant) bool { return v.Large.Size() > 0 })
}

// with is a card on which some hands are changed.
func with(c *card.Card, hands []int, change func(*card.Hand)) *card.Card {
	changed := *c
	changed.Source = "" // which says other hands
	changed.Hands = slices.Clone(c.Hands)
	for _, h := range hands {
		change(&changed.Hands[h])
	}
	return &changed
}

// Stage is a part of a survey.
type Stage string

// The stages, in their order.
const (
	ReadDeals Stage = "deals"
	PlayGames Stage = "games"
	PlayAims  Stage = "games with an aim"
)

// ErrStopped says that a survey ended before its games were played; the tally keeps what was.
var ErrStopped = errors.New("the survey was stopped")

// Run goes on from where a tally of the same settings stands, which may be the zero Tally, until all is counted
// or ctx ends, and then returns ErrStopped. watch, which may be nil, is told how far a stage has come, in units of
// which AimTurns is the number for PlayAims.
func (s *Survey) Run(ctx context.Context, t *Tally, watch func(stage Stage, done, of int)) error {
	told := func(stage Stage, of int) func(int) bool {
		return func(done int) bool {
			if watch != nil {
				watch(stage, done, of)
			}
			return false
		}
	}
	n, err := sim.Run(ctx, int(t.Deals.Read), s.Deals, &t.Deals, s.dealReader, told(ReadDeals, s.Deals))
	if err != nil || n < s.Deals {
		return stopped(err)
	}
	n, err = sim.Run(ctx, int(t.Games.Played), s.Games, &t.Games, s.gamePlayer, told(PlayGames, s.Games))
	if err != nil || n < s.Games {
		return stopped(err)
	}
	n, err = sim.Run(ctx, int(t.Aims.Played), s.AimTurns(), &t.Aims, s.aimWorker, told(PlayAims, s.AimTurns()))
	if err != nil || n < s.AimTurns() {
		return stopped(err)
	}
	return nil
}

// Counted says that a tally has all that the survey counts.
func (s *Survey) Counted(t *Tally) bool {
	return int(t.Deals.Read) >= s.Deals && int(t.Games.Played) >= s.Games && int(t.Aims.Played) >= s.AimTurns()
}

func stopped(err error) error {
	if err == nil {
		return ErrStopped
	}
	return err
}

// AimTurns is the length of the last stage: a game for each aim on each deal. Those for a hand that is concealed or
// marked to take no jokers are played once or twice more.
func (s *Survey) AimTurns() int { return s.Aimed * len(s.aims) }
