package advice

import (
	"secondpass/engine/fit"
	"secondpass/engine/prepared"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// Facts is what a pass does to a rack, before anything comes back.
type Facts struct {
	// Best is the nearest hand before the pass, After that after it.
	Best, After fit.Reading
	// Kept are the hands of the card that were options before and are no further away after the
	// pass, Lost those that are; both by card order.
	Kept, Lost []int
	// Broken is the multiples that lose a tile which the nearest hand before the pass uses, see [fit.Reading.Breaks].
	Broken tile.Rack
	// Gift is what the pass is worth to the receiver by its looks.
	Gift Gift
}

// Gift says what a receiver may do with tiles: the most useful thing found.
type Gift int

const (
	// GiftNothing: fewer than two tiles.
	GiftNothing Gift = iota
	// GiftScattered: tiles of different suits, or honours of different kinds.
	GiftScattered
	// GiftOneSuit: two tiles of one suit that are far apart.
	GiftOneSuit
	// GiftNeighbours: two tiles of one suit at most two ranks apart.
	GiftNeighbours
	// GiftLike: two tiles of one rank in two suits.
	GiftLike
	// GiftPair: two equal tiles.
	GiftPair
)

// factFinder compares racks before and after passes.
type factFinder struct {
	v      charleston.View
	rater  *fit.Rater
	hands  int
	before []fit.Reading
	away   []int // by hand, before
}

func newFactFinder(c *card.Card, v charleston.View) *factFinder {
	f := &factFinder{v: v, rater: fit.NewRater(prepared.Of(c).Index()), hands: len(c.Hands), away: make([]int, len(c.Hands))}
	f.before, _ = f.rater.Nearest(&v.Rack, f.hands, nil)
	for i := range f.before {
		f.away[f.before[i].Hand] = f.before[i].Away
	}
	return f
}

// find reads the facts of one candidate; votes and numbers have none but the nearest hand.
func (f *factFinder) find(a charleston.Action) Facts {
	facts := Facts{Best: f.before[0], After: f.before[0], Gift: giftOf(a.Own)}
	if a.Kind == charleston.Vote || a.Kind == charleston.Name {
		return facts
	}
	given := a.Own.Rack()
	rest := f.v.Rack.Minus(given)
	after, _ := f.rater.Nearest(&rest, f.hands, nil)
	facts.After = after[0]
	options := make([]bool, f.hands)
	for i := range after {
		if r := &after[i]; f.away[r.Hand] <= f.before[0].Away+1 {
			options[r.Hand] = r.Away <= f.away[r.Hand]
		}
	}
	for hand, away := range f.away {
		switch {
		case away > f.before[0].Away+1:
		case options[hand]:
			facts.Kept = append(facts.Kept, hand)
		default:
			facts.Lost = append(facts.Lost, hand)
		}
	}
	facts.Broken = f.before[0].Breaks(given)
	return facts
}

// giftOf looks at every two tiles of a pass.
func giftOf(p charleston.Parcel) Gift {
	best := GiftNothing
	tiles := p.Tiles()
	for i, a := range tiles {
		for _, b := range tiles[i+1:] {
			best = max(best, giftOfTwo(a, b))
		}
	}
	return best
}

func giftOfTwo(a, b tile.Kind) Gift {
	suitA, rankedA := a.Suit()
	suitB, rankedB := b.Suit()
	apart := max(a.Rank(), b.Rank()) - min(a.Rank(), b.Rank())
	switch {
	case a == b:
		return GiftPair
	case !rankedA || !rankedB:
		return GiftScattered
	case suitA != suitB && apart == 0:
		return GiftLike
	case suitA == suitB && apart <= 2:
		return GiftNeighbours
	case suitA == suitB:
		return GiftOneSuit
	}
	return GiftScattered
}
