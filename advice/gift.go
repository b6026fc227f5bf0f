package advice

import (
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

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
