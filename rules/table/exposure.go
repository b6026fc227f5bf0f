package table

import (
	"strings"

	"secondpass/rules/tile"
)

const (
	// MinGroup and MaxGroup are the fewest and the most tiles of a group that can be claimed: pung,
	// kong, quint and sextet.
	MinGroup, MaxGroup = 3, 6
	// MaxOpen is the most groups a seat can lay open: fourteen tiles hold four of three.
	MaxOpen = 4
	// NoDiscard is the Discard of an exposure in a state that began in mid-game.
	NoDiscard = 255
)

// Exposure is a group laid open. It never changes its size; its jokers can be exchanged.
type Exposure struct {
	Tile tile.Kind
	// Size is the number of tiles, 3 to 6, Jokers how many of them are jokers: fewer than Size,
	// since the tile that was claimed is a natural one.
	Size, Jokers uint8
	// Discard is the number of the discard that was claimed, counted as [View.Discard] counts, or
	// NoDiscard where that is not known.
	Discard uint8
}

// Naturals is the number of tiles that are no jokers.
func (e Exposure) Naturals() uint8 { return e.Size - e.Jokers }

// String is the group's tiles in canonical text, as in "444c J".
func (e Exposure) String() string {
	if e.Jokers > e.Size {
		return "?" // no group has more jokers than tiles, but any value can be printed
	}
	naturals := strings.Repeat(e.Tile.String()[:1], int(e.Naturals()))
	if suit, ranked := e.Tile.Suit(); ranked && naturals != "" {
		naturals += string(suit.Letter())
	}
	return strings.TrimSpace(naturals + " " + strings.Repeat("J", int(e.Jokers)))
}

// front is what one seat has laid open.
type front struct {
	// shape is the place of the groups in Game.shapes, or noShape where they fit no hand.
	shape int32
	// jokers is the number of jokers in all groups.
	jokers uint8
	n      uint8
	groups [MaxOpen]Exposure
}

// add lays one more group open.
func (f *front) add(e Exposure, shape int32) {
	f.groups[f.n] = e
	f.n++
	f.jokers += e.Jokers
	f.shape = shape
}

// withJoker is the first group of a kind that holds a joker, or nil. Where two do it makes no
// difference to anybody which of them gives its joker.
func (f *front) withJoker(k tile.Kind) *Exposure {
	for i := range f.groups[:f.n] {
		if e := &f.groups[i]; e.Tile == k && e.Jokers > 0 {
			return e
		}
	}
	return nil
}

// tiles counts the tiles of all groups, each joker as the tile it stands for.
func (f *front) tiles() tile.Rack {
	var r tile.Rack
	for _, e := range f.groups[:f.n] {
		r[e.Tile] += e.Size
	}
	return r
}
