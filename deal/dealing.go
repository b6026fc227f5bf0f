package deal

import (
	"fmt"
	"math/rand/v2"

	"secondpass/engine/fit"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// Dealing deals one rack after another to a condition. It owns working memory: one for each goroutine.
type Dealing struct {
	dealer  *dealer
	matcher matcher
	also    func(*tile.Rack) bool
}

// NewDealing prepares to deal racks of a size as [Draw] does. also, which may be nil, is one condition more, met by
// trying as the searched part is. The index x may be nil to ask only whether there are such deals at all.
func NewDealing(cond Condition, size int, set tile.Set, x *fit.Index, also func(*tile.Rack) bool) (*Dealing, error) {
	d, err := newDealer(cond, size, set)
	if err != nil {
		return nil, err
	}
	if r := cond.BestAway; r != nil && (r.High < card.HandTiles-size || r.Low > card.HandTiles) {
		return nil, fmt.Errorf("impossible: %d tiles are %d to %d away from a hand of %d", size, card.HandTiles-size, card.HandTiles, card.HandTiles)
	}
	m := matcher{cond: cond, x: x}
	if x != nil && cond.searched() {
		m.rater = fit.NewRater(x)
	}
	return &Dealing{dealer: d, matcher: m, also: also}, nil
}

// Deal deals one rack, by as many trials as it takes; the condition is in error where it is too rare for that.
func (d *Dealing) Deal(rng *rand.Rand) (tile.Rack, error) {
	for range maxTrials {
		rack := d.dealer.deal(rng)
		if (!d.matcher.cond.searched() || d.matcher.fits(rack)) && (d.also == nil || d.also(&rack)) {
			return rack, nil
		}
	}
	return tile.Rack{}, fmt.Errorf("%w: none of %d deals fits; ask for less", ErrTooRare, maxTrials)
}
