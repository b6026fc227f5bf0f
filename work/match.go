package work

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
)

// Match lets four players meet on the same deals. Its result is a [MatchResult].
type Match struct {
	Card   CardText      `json:"card"`
	House  house.House   `json:"house"`
	Tuning player.Tuning `json:"tuning"`
	// Seats are the players as [player.Cast] reads them, or [Advised], in the order of play.
	Seats [charleston.Seats]string `json:"seats"`
	Seed  uint64                   `json:"seed"`
	Deals int                      `json:"deals"`
	// Effect, where it is not 0, is the smallest difference of win shares that matters: the match ends as soon as a
	// sequential test has its verdict.
	Effect unit.ChanceDifference `json:"effect,omitempty"`
}

// Advised is the player that plays on before it decides, see [sim.Advised], with the budget [sim.AdvisedGames].
const Advised = "advised"

// MatchResult is what a match has come to.
type MatchResult struct {
	Deals int             `json:"deals"`
	Tally *sim.MatchTally `json:"tally"`
	// Verdict is what the test says, NotShown without a test.
	Verdict stat.Verdict `json:"verdict"`
}

// Kind is KindMatch.
func (*Match) Kind() Kind { return KindMatch }

// Check says why the match cannot be played, or nil.
func (m *Match) Check() error {
	_, _, err := m.prepare()
	return err
}

// prepare seats all players but advised ones.
func (m *Match) prepare() (*sim.Match, *prepared.Cast, error) {
	c, err := m.Card.under(m.House)
	if err != nil {
		return nil, nil, err
	}
	cast := prepared.Of(c).Cast(m.Tuning)
	match := &sim.Match{Game: prepared.Of(c).Game(m.House), Seed: m.Seed, Deals: m.Deals}
	for i, name := range m.Seats {
		if name == Advised {
			continue
		}
		if match.Seats[i], err = cast.Player(name); errors.Is(err, player.ErrUnknown) {
			err = fmt.Errorf("%w, and in a match %s", err, Advised)
		}
		if err != nil {
			return nil, nil, err
		}
	}
	return match, cast, nil
}

// seatAdvised seats advised players, after games that show them the table.
func (m *Match) seatAdvised(ctx context.Context, match *sim.Match, cast *prepared.Cast) error {
	if !slices.Contains(m.Seats[:], Advised) {
		return nil
	}
	seed := sim.TableSeed(match.Game.Card(), m.House.Passing, m.Tuning.Params, "strong")
	kit, err := sim.NewAdvisedKit(ctx, match.Game, cast.Kit(), seed, sim.AdvisedGames)
	if err != nil {
		return err
	}
	for i, name := range m.Seats {
		if name == Advised {
			match.Seats[i] = func() player.Player { return kit.New() }
		}
	}
	return nil
}

// Do plays the deals.
func (m *Match) Do(ctx context.Context, tell Tell) (any, error) {
	match, cast, err := m.prepare()
	if err != nil {
		return nil, err
	}
	if err := m.seatAdvised(ctx, match, cast); err != nil {
		return nil, err
	}
	r := &MatchResult{Tally: &sim.MatchTally{}}
	r.Deals, err = match.Play(ctx, 0, r.Tally, func(deals int) bool {
		r.Deals = deals
		m.test(r)
		return tell(Progress{"deals", deals, m.Deals, r}) || r.Verdict != stat.NotShown
	})
	m.test(r)
	return r, err
}

// test tests what was played.
func (m *Match) test(r *MatchResult) {
	if m.Effect > 0 {
		_, r.Verdict = r.Tally.Test(m.Effect)
	}
}
