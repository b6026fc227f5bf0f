package charleston

import (
	"fmt"
	"slices"

	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// PassTiles is the number of tiles that change hands at steps one to six, and the most at
// the courtesy.
const PassTiles = 3

// Parcel is up to three tiles in canonical order. It is a plain value.
type Parcel struct {
	n     uint8
	tiles [PassTiles]tile.Kind
}

// ParcelOf makes a parcel; more than three tiles are an error.
func ParcelOf(tiles ...tile.Kind) (Parcel, error) {
	var p Parcel
	if len(tiles) > PassTiles {
		return p, fmt.Errorf("%d tiles: never more than %d change hands at once", len(tiles), PassTiles)
	}
	p.n = uint8(copy(p.tiles[:], tiles))
	slices.Sort(p.tiles[:p.n])
	return p, nil
}

// Len is the number of tiles.
func (p Parcel) Len() int { return int(p.n) }

// Tiles lists the tiles in canonical order; the slice must not be changed.
func (p *Parcel) Tiles() []tile.Kind { return p.tiles[:p.n] }

// Rack counts the tiles.
func (p Parcel) Rack() tile.Rack { return tile.RackOf(p.tiles[:p.n]...) }

// String is the canonical text.
func (p Parcel) String() string { return p.Rack().String() }

// checkGive says why a rack cannot give a parcel of want tiles at a step, so many more passed blind, or nil.
func checkGive(rack *tile.Rack, p Parcel, want int, step Step, blind int) error {
	if p.Len() != want {
		what := fmt.Sprintf("the %s", step)
		if blind > 0 {
			what += fmt.Sprintf(" with %d blind", blind)
		}
		return fmt.Errorf("%s takes %s, not %d", what, count(want), p.Len())
	}
	given := p.Rack()
	if given[tile.Joker] > 0 {
		return fmt.Errorf("a joker is never passed")
	}
	for _, k := range p.Tiles() {
		switch held := rack[k]; {
		case held == 0:
			return fmt.Errorf("%s is not in the rack", k)
		case held < given[k]:
			return fmt.Errorf("%s is in the rack %s, not %d times", k, times(int(held)), given[k])
		}
	}
	return nil
}

func count(n int) string {
	if n == 1 {
		return "1 tile"
	}
	return fmt.Sprintf("%d tiles", n)
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

// checkPass says why own tiles with so many blind are no pass at this step, or nil.
func checkPass(r house.Passing, step Step, rack *tile.Rack, own Parcel, blind int) error {
	switch {
	case blind < 0 || blind > PassTiles:
		return fmt.Errorf("%d blind tiles: 0 to %d can be passed blind", blind, PassTiles)
	case blind > 0 && !step.BlindAllowed():
		return fmt.Errorf("no blind pass at the %s: only first left and last right allow it", step)
	case blind > 0 && !r.Blind:
		return fmt.Errorf("no blind pass: the house rule is off")
	}
	return checkGive(rack, own, PassTiles-blind, step, blind)
}

func checkName(n int) error {
	if n < 0 || n > PassTiles {
		return fmt.Errorf("%d tiles at the courtesy: 0 to %d can be named", n, PassTiles)
	}
	return nil
}
