package table

import (
	"errors"

	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// errNotOwn refuses to judge another seat's actions, which would tell what that seat holds.
var errNotOwn = errors.New("the action is another seat's")

// View is the table as one seat may know it: its own rack, what lies open for all, and how many tiles are
// hidden where. It looks at a [State] without copying it and lets nobody change it.
type View struct {
	s    *State
	seat charleston.Seat
}

// Discarded is a tile that was discarded.
type Discarded struct {
	Seat charleston.Seat
	Tile tile.Kind
	// Claimed says whether somebody took it.
	Claimed bool
}

// Seat is the seat that looks.
func (v View) Seat() charleston.Seat { return v.seat }

// Game is the game that is played.
func (v View) Game() *Game { return v.s.game }

// Phase is what the table waits for.
func (v View) Phase() Phase { return v.s.phase }

// Turn is the seat in turn, as [State.Turn] has it.
func (v View) Turn() charleston.Seat { return v.s.turn }

// Waits says whether the table waits for a decision of the seat that looks. Whether others have
// answered a discard is not to be seen.
func (v View) Waits() bool { return v.s.Waits(v.seat) }

// Legal lists what the seat that looks may do now, as [State.Legal] does.
func (v View) Legal() []Action { return v.s.Legal(v.seat) }

// AppendLegal appends to dst what [View.Legal] lists.
func (v View) AppendLegal(dst []Action) []Action { return v.s.AppendLegal(dst, v.seat) }

// Check says why an action of the seat that looks is not among those that [View.Legal] lists, as [State.Check]
// does; an action of another seat is refused.
func (v View) Check(a Action) error {
	if a.Seat != v.seat {
		return errNotOwn
	}
	return v.s.Check(a)
}

// Rack is the concealed tiles of the seat that looks.
func (v View) Rack() tile.Rack { return v.s.racks[v.seat] }

// Open is the groups a seat has laid open, in the order in which it did: groups[:n].
func (v View) Open(seat charleston.Seat) (groups [MaxOpen]Exposure, n int) {
	f := &v.s.open[seat]
	return f.groups, int(f.n)
}

// Hidden is the number of concealed tiles of a seat.
func (v View) Hidden(seat charleston.Seat) int { return v.s.racks[seat].Size() }

// Jokers is how many jokers a seat is known to hold among its concealed tiles, since it took them in
// exchange and has neither laid them open nor discarded as many since; it may hold more. For the
// seat that looks it says what the others know.
func (v View) Jokers(seat charleston.Seat) int { return int(v.s.taken[seat]) }

// Dead says whether a seat's hand is dead.
func (v View) Dead(seat charleston.Seat) bool { return v.s.dead[seat] }

// Variants are the variants of the card, as indices of its Variants in rising order, that a seat's
// open groups still allow, whatever its concealed tiles are; with nothing open those are all. None are
// left to a dead hand. The slice is shared and must not be changed.
func (v View) Variants(seat charleston.Seat) []int32 { return v.s.game.open(&v.s.open[seat]) }

// Discards is the number of tiles discarded so far, claimed ones among them.
func (v View) Discards() int { return int(v.s.thrown) }

// Discard is a discard, numbered from 0 in the order of play; i must be below [View.Discards].
func (v View) Discard(i int) Discarded {
	s := v.s
	seat, k := s.discard(i)
	d := Discarded{Seat: seat, Tile: k, Claimed: s.ending == OnDiscard && i == int(s.thrown)-1}
	for f := range s.open {
		for _, e := range s.open[f].groups[:s.open[f].n] {
			d.Claimed = d.Claimed || int(e.Discard) == i
		}
	}
	return d
}

// Claimable is the discard that waits for answers; ok is false when none does.
func (v View) Claimable() (d Discarded, ok bool) {
	if v.s.phase != Claiming {
		return Discarded{}, false
	}
	return Discarded{Seat: v.s.turn, Tile: v.s.waiting()}, true
}

// WallLeft is the number of tiles still to be drawn.
func (v View) WallLeft() int { return len(v.s.wall) - int(v.s.drawn) }

// Seen counts the tiles that the seat sees: its own rack, all open groups, and the discards that were not claimed.
func (v View) Seen() tile.Rack { return v.s.shown.Plus(v.s.racks[v.seat]) }

// Unseen counts the tiles that the seat does not see: those concealed by the others and the wall.
func (v View) Unseen() tile.Rack { return tile.Rack(v.s.game.card.Set).Minus(v.Seen()) }

// Result is how the game ended, as [State.Result] has it.
func (v View) Result() Result { return v.s.Result() }
