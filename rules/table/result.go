package table

import (
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// Ending is how a game ended; the zero Ending is a game that goes on.
type Ending uint8

const (
	// SelfDrawn: won with a tile from the deal, the wall, or a joker exchange.
	SelfDrawn Ending = 1 + iota
	// OnDiscard: won with another seat's discard.
	OnDiscard
	// WallGame: the wall ran out and nobody won.
	WallGame
)

// Won says whether somebody won.
func (e Ending) Won() bool { return e == SelfDrawn || e == OnDiscard }

// Result is how a game ended and who pays what. Unless Ending.Won() all but Ending is zero.
type Result struct {
	Ending Ending
	Winner charleston.Seat
	// Discarder is the seat whose discard was the last tile; the winner itself for a self-drawn hand.
	Discarder charleston.Seat
	// Variant indexes the card's Variants, Points is what the hand counts on the card.
	Variant, Points int
	// Joker says whether a joker is in the hand, HoldsJoker whether the variant can hold one at all.
	Joker, HoldsJoker bool
	// Net is what each seat gains, or loses where it is negative; the sum is 0. Without the house rule
	// `points` it is all zeros.
	Net [charleston.Seats]int
}

// The factors of payment, docs/rules.md 5.1 and 5.2 (common practice, no source).
const (
	discarderFactor = 2
	otherFactor     = 1
	selfDrawnFactor = 2
	jokerlessFactor = 2
)

// Pay is what each seat gains by a win of so many points, indexed by seat; losses are negative
// and the sum is 0. The discarder pays twice the points and the others once; where the hand is
// self-drawn, which is said by naming the winner as discarder, all three pay twice. All of it is
// doubled where no joker is in a hand that can hold one. Seats with a dead hand pay as the
// others. (Common practice, no source.)
func Pay(points int, winner, discarder charleston.Seat, joker, holdsJoker bool) (net [charleston.Seats]int) {
	if holdsJoker && !joker {
		points *= jokerlessFactor
	}
	for seat := range charleston.Seat(charleston.Seats) {
		factor := otherFactor
		switch {
		case seat == winner:
			continue
		case winner == discarder:
			factor = selfDrawnFactor
		case seat == discarder:
			factor = discarderFactor
		}
		net[seat] = -factor * points
		net[winner] += factor * points
	}
	return net
}

// Result is how the game ended; its Ending is 0 as long as it goes on.
func (s *State) Result() Result {
	if !s.ending.Won() {
		return Result{Ending: s.ending}
	}
	v := &s.game.variants[s.variant]
	r := Result{
		Ending: s.ending, Winner: s.turn, Discarder: s.turn,
		Variant: int(s.variant), Points: v.points,
		Joker:      s.racks[s.turn][tile.Joker]+s.open[s.turn].jokers > 0,
		HoldsJoker: v.holdsJoker,
	}
	if s.ending == OnDiscard {
		r.Discarder, _ = s.discard(int(s.thrown) - 1)
	}
	if s.game.rules.Points {
		r.Net = Pay(r.Points, r.Winner, r.Discarder, r.Joker, r.HoldsJoker)
	}
	return r
}
