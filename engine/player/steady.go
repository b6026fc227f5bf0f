package player

import (
	"secondpass/engine/fit"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// Passer decides in the Charleston. It may keep working memory, so that each goroutine needs
// its own; equal views give equal decisions.
type Passer interface {
	// Pass chooses the tiles for a pass and how many of the incoming ones to hand on unseen.
	Pass(v *charleston.View) (own charleston.Parcel, blind int)
	// Stop votes against the second Charleston.
	Stop(v *charleston.View) bool
	// Offer is the number of tiles offered at the courtesy, 0 to 3.
	Offer(v *charleston.View) int
	// Give chooses the tiles of the courtesy, as many as v.Exchange says.
	Give(v *charleston.View) charleston.Parcel
}

// PlanHands is the number of hands in a walker's plan: it steers for so many of the nearest at once.
const PlanHands = 3

// Steady keeps what serves the nearest hands under its aim. Every variant of every hand of the
// aim counts, the more the nearer it is: each missing tile of a single or pair, which
// neither a claim nor a joker can bring, makes it count for about an eighth, each missing tile of a larger
// group for a fifth. It passes the three tiles without which the sum stays greatest.
//
// Its plan is the three hands of the aim that are nearest. Of tiles that none of them uses it
// never has to break the plan: where fewer than three are left it passes the rest blind if
// it may, votes to stop, and offers no more than those at the courtesy. It does not think about
// what its neighbours receive, nor about points or what the others hold.
type Steady struct {
	rater   *fit.Rater
	weights *fit.Weights
	passes  []fit.Pass
	near    []fit.Reading
}

// The factors are those with which this player did best in self-play (our choice).
const steadySingle, steadyGroup = 0.12, 0.2

// NewSteady makes a walker for a card and the index of the hands that it steers for.
func NewSteady(c *card.Card, x *fit.Index) *Steady {
	return &Steady{
		rater:   fit.NewRater(x),
		weights: fit.NewWeights(steadySingle, steadyGroup, int(c.Set[tile.Joker])),
	}
}

// Plan is the readings of the hands it steers for with a rack: the nearest of its aim, three at
// most, best first. The slice is good until the next call.
func (s *Steady) Plan(rack tile.Rack) []fit.Reading {
	s.near, _ = s.rater.Nearest(&rack, PlanHands, s.near[:0])
	return s.near
}

// spare is the number of tiles that the plan does not use.
func (s *Steady) spare(rack tile.Rack) int { return fit.Spare(rack, s.Plan(rack)).Size() }

// Pass gives the three tiles that the aim misses least; where the plan has fewer than three to
// spare and blind passes are allowed, only those, and the rest blind.
func (s *Steady) Pass(v *charleston.View) (charleston.Parcel, int) {
	blind := 0
	if v.Rules.Blind && v.Step.BlindAllowed() {
		blind = max(0, charleston.PassTiles-s.spare(v.Rack))
	}
	return s.least(v.Rack, charleston.PassTiles-blind), blind
}

// Stop votes to stop when the plan has fewer than three tiles to spare.
func (s *Steady) Stop(v *charleston.View) bool { return s.spare(v.Rack) < charleston.PassTiles }

// Offer offers the tiles that the plan can spare, three at most.
func (s *Steady) Offer(v *charleston.View) int { return min(charleston.PassTiles, s.spare(v.Rack)) }

// Give hands over the tiles that the aim misses least.
func (s *Steady) Give(v *charleston.View) charleston.Parcel { return s.least(v.Rack, v.Exchange) }

// least is the parcel of n tiles without which the rest of the rack is worth most; of equals the
// first in rising order. A rack has always three tiles that are no jokers unless the set was changed.
func (s *Steady) least(rack tile.Rack, n int) charleston.Parcel {
	var best charleston.Parcel
	bestValue := int64(-1)
	if n == fit.PassTiles {
		s.passes = s.rater.Passes(s.weights, &rack, s.passes[:0])
		for i := range s.passes {
			if p := &s.passes[i]; p.Value > bestValue {
				bestValue = p.Value
				best, _ = charleston.ParcelOf(p.Tiles[:]...) // three tiles always fit
			}
		}
		return best
	}
	for _, p := range charleston.Parcels(rack, n) {
		rest := rack.Minus(p.Rack())
		if value := s.rater.Value(s.weights, &rest); value > bestValue {
			best, bestValue = p, value
		}
	}
	return best
}

// Walk lets a passer take a seat through the passing to its end. The passer's own mistakes come
// back as errors of the rules.
func Walk(s *charleston.Solo, p Passer) error {
	for s.Phase() != charleston.Over {
		if err := Act(s, p); err != nil {
			return err
		}
	}
	return nil
}

// Act lets a passer make the one decision that is due.
func Act(s *charleston.Solo, p Passer) error {
	v := s.View()
	var err error
	switch v.Phase {
	case charleston.Passing:
		own, blind := p.Pass(&v)
		_, err = s.Pass(own, blind)
	case charleston.Voting:
		_, err = s.Vote(p.Stop(&v))
	case charleston.Naming:
		_, err = s.Name(p.Offer(&v))
	case charleston.Giving:
		_, err = s.Give(p.Give(&v))
	}
	return err
}
