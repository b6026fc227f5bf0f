package table

import (
	"fmt"

	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// Game is a card prepared for play under house rules, with the set of tiles that the card was
// read for. It is read-only and may be shared between goroutines.
type Game struct {
	card  *card.Card
	rules house.House
	// variants are those of the card, in its order.
	variants []variant
	// shapes are the ways to have groups open that fit a hand; shapes[0] is nothing open.
	shapes []shape
	// byOutline finds shapes.
	byOutline map[outline]int32
	// byKind lists, for each natural kind, the variants with a tile of that kind.
	byKind [tile.Joker][]int32
}

// NewGame prepares a card. Its set is that of the card, whatever the house rules say of the tiles.
func NewGame(c *card.Card, rules house.House) *Game {
	rules.Tiles = house.TilesOf(c.Set)
	g := &Game{card: c, rules: rules}
	g.addVariants()
	g.addShapes()
	return g
}

// Card is the card in play.
func (g *Game) Card() *card.Card { return g.card }

// Set is the set of tiles in play.
func (g *Game) Set() tile.Set { return g.card.Set }

// House is the house rules.
func (g *Game) House() house.House { return g.rules }

// With is the same card under other house rules of the passing and the play, at no cost.
func (g *Game) With(rules house.House) *Game {
	rules.Tiles = g.rules.Tiles
	if rules == g.rules {
		return g
	}
	other := *g
	other.rules = rules
	return &other
}

// dealt is the number of tiles in the four racks after the deal.
const dealt = 4*13 + 1

// Deal shuffles a set of at least 53 tiles and deals: East 14 tiles, the others 13, the rest
// being the wall in the order in which it is drawn. Every order of the tiles is equally likely
// if the lots are fair. The caller owns the wall.
func Deal(set tile.Set, lots charleston.Lots) (racks [charleston.Seats]tile.Rack, wall []tile.Kind) {
	tiles := set.Tiles()
	for i := len(tiles) - 1; i > 0; i-- {
		j := lots.IntN(i + 1)
		tiles[i], tiles[j] = tiles[j], tiles[i]
	}
	for seat := range charleston.Seat(charleston.Seats) {
		n := seat.DealtTiles()
		racks[seat] = tile.RackOf(tiles[:n]...)
		tiles = tiles[n:]
	}
	return racks, tiles
}

// Start is the play after the passes: East is to act and holds 14 tiles, the others 13, and the wall is
// drawn from its beginning. Racks and wall must make up the set. The wall is copied.
func (g *Game) Start(racks [charleston.Seats]tile.Rack, wall []tile.Kind) (State, error) {
	return g.At(Position{Phase: Discarding, Turn: charleston.East, Racks: racks, Wall: wall})
}

// DealtWin is the result when East declares the rack it was dealt, before any pass: self-drawn. ok
// is false where the rack completes no hand of the card.
func (g *Game) DealtWin(rack tile.Rack) (result Result, ok bool) {
	if rack.Size() != card.HandTiles {
		return Result{}, false
	}
	s := State{game: g, phase: Discarding}
	s.racks[charleston.East] = rack
	if !s.complete(charleston.East) || s.Apply(Action{Seat: charleston.East, Kind: Declare}) != nil {
		return Result{}, false
	}
	return s.Result(), true
}

// accounts says why tiles do not make up the set, or nil. The counts are of all tiles, wherever they lie.
func (g *Game) accounts(counts *[tile.Kinds]int) error {
	for k, n := range counts {
		if want := int(g.card.Set[k]); n != want {
			return fmt.Errorf("racks, open groups, discards and wall hold %d of %s in all, but the set has %d", n, tile.Kind(k), want)
		}
	}
	return nil
}
