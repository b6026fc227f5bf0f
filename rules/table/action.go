package table

import (
	"cmp"
	"fmt"

	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// ActionKind is what a seat does; each kind belongs to one phase.
type ActionKind uint8

const (
	// Exchange puts a natural tile in the place of a joker in an open group and takes the joker.
	Exchange ActionKind = 1 + iota
	// Discard lays a tile on the table and ends the turn.
	Discard
	// Declare says, on the seat's own turn, that the hand is complete.
	Declare
	// Decline lets the last discard go.
	Decline
	// Expose claims the last discard for a group that is laid open.
	Expose
	// Mahjong claims the last discard as the tile that completes the hand.
	Mahjong
)

// Action is one seat's decision. Fields that its kind does not name are not looked at.
type Action struct {
	Seat charleston.Seat
	Kind ActionKind
	// Tile is the tile of a Discard, the natural of an Exchange, or the discard that an Expose or a
	// Mahjong claims.
	Tile tile.Kind
	// From is, for an Exchange, the seat in whose group the joker lies; it may be the seat itself.
	From charleston.Seat
	// Size is, for an Expose, the number of tiles in the group, the claimed one among them; Jokers
	// is how many of them are jokers from the claimer's rack.
	Size, Jokers uint8
}

// Compare orders actions by seat, kind, tile, the seat of the joker, size and jokers: the order
// in which [State.Legal] lists them. It is negative, 0 or positive as a comes before, is equal to, or comes after b.
func (a Action) Compare(b Action) int {
	return cmp.Or(
		cmp.Compare(a.Seat, b.Seat), cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Tile, b.Tile),
		cmp.Compare(a.From, b.From), cmp.Compare(a.Size, b.Size), cmp.Compare(a.Jokers, b.Jokers),
	)
}

// String is the action as a line of a [Record], as in "S claims 4c: 444c J".
func (a Action) String() string {
	who := letter(a.Seat)
	switch a.Kind {
	case Exchange:
		return fmt.Sprintf("%s exchanges %s for a joker of %s", who, a.Tile, letter(a.From))
	case Discard:
		return fmt.Sprintf("%s discards %s", who, a.Tile)
	case Declare:
		return who + " declares mahjong"
	case Decline:
		return who + " declines"
	case Expose:
		return fmt.Sprintf("%s claims %s: %s", who, a.Tile, Exposure{Tile: a.Tile, Size: a.Size, Jokers: a.Jokers})
	case Mahjong:
		return fmt.Sprintf("%s claims %s: mahjong", who, a.Tile)
	}
	return who + " does nothing"
}

// letter is a seat's letter, or "?" for a seat that does not exist.
func letter(s charleston.Seat) string {
	if s >= charleston.Seats {
		return "?"
	}
	return s.String()
}

// Claim is a seat's answer to a discard. The zero Claim lets it go.
type Claim struct {
	// Mahjong claims the tile to complete the hand; Size and Jokers are then not looked at.
	Mahjong bool
	// Size is the number of tiles, 3 to 6, in the group to lay open, the claimed one among
	// them; Jokers is how many of them are jokers from the claimer's rack.
	Size, Jokers uint8
}

// By is the claim as an action of a seat that answers the discard of a tile.
func (c Claim) By(seat charleston.Seat, discard tile.Kind) Action {
	switch {
	case c.Mahjong:
		return Action{Seat: seat, Kind: Mahjong, Tile: discard}
	case c == Claim{}:
		return Action{Seat: seat, Kind: Decline}
	}
	return Action{Seat: seat, Kind: Expose, Tile: discard, Size: c.Size, Jokers: c.Jokers}
}

// Claim is the answer that a Decline, Expose or Mahjong gives; for other kinds it is the zero Claim.
func (a Action) Claim() Claim {
	switch a.Kind {
	case Expose:
		return Claim{Size: a.Size, Jokers: a.Jokers}
	case Mahjong:
		return Claim{Mahjong: true}
	}
	return Claim{}
}
