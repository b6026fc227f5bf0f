package charleston

import (
	"fmt"

	"secondpass/rules/tile"
)

// Mock is incoming tiles drawn in advance, three for each of the seven steps, without jokers:
// what one does alone at a kitchen table. A blind pass hands on the first of the tiles laid out; nobody
// else stops, and the partner at the courtesy agrees to any number.
type Mock [Steps][PassTiles]tile.Kind

// MockTiles is the number of tiles a Mock needs.
const MockTiles = (Steps - 1) * PassTiles

// DrawMock draws the tiles for all steps from those left in the set once the rack is dealt, each
// physical tile equally likely and none twice. It fails when the set has too few naturals left.
func DrawMock(rack tile.Rack, set tile.Set, lots Lots) (Mock, error) {
	var m Mock
	left, err := set.Less(rack)
	if err != nil {
		return m, err
	}
	left[tile.Joker] = 0
	tiles := left.Tiles()
	if len(tiles) < MockTiles {
		return m, fmt.Errorf("only %d tiles without jokers are left; mock passes take %d", len(tiles), MockTiles)
	}
	for i := range MockTiles {
		j := i + lots.IntN(len(tiles)-i)
		tiles[i], tiles[j] = tiles[j], tiles[i]
		m[1+i/PassTiles][i%PassTiles] = tiles[i]
	}
	return m, nil
}

// Incoming hands on the first blind tiles laid out and gives the next as many as were passed.
func (m *Mock) Incoming(step Step, own Parcel, blind int, _ tile.Rack) (Parcel, error) {
	return ParcelOf(m[step][blind : blind+own.Len()]...)
}

// Stopped is false: nobody else stops.
func (m *Mock) Stopped(bool) (bool, error) { return false, nil }

// Offered agrees to the number named.
func (m *Mock) Offered(n int) (int, error) { return n, nil }

// Entered is incoming tiles that somebody types in from a real table. Next is asked for the
// tiles of each step, Stop and Offer for what the others said; tiles that cannot exist are refused.
type Entered struct {
	Set   tile.Set
	Next  func(step Step, n int) (Parcel, error)
	Stop  func() (bool, error)
	Offer func() (int, error)
}

// Incoming asks for the tiles and checks that so many copies can exist: with what is kept, and
// also with what was just passed unless blind passes can bring a tile back to its giver at once.
func (e *Entered) Incoming(step Step, own Parcel, blind int, kept tile.Rack) (Parcel, error) {
	came, err := e.Next(step, own.Len())
	if err != nil {
		return Parcel{}, err
	}
	seen := kept.Plus(came.Rack())
	if !step.BlindAllowed() {
		seen = seen.Plus(own.Rack())
	}
	if err := e.Set.Holds(seen); err != nil {
		return Parcel{}, fmt.Errorf("%s cannot have come: with the rack that makes %w", came, err)
	}
	return came, nil
}

// Stopped asks whether another seat stopped; with the seat's own stop there is nothing to ask.
func (e *Entered) Stopped(stop bool) (bool, error) {
	if stop {
		return true, nil
	}
	return e.Stop()
}

// Offered asks for the partner's number.
func (e *Entered) Offered(n int) (int, error) {
	if n == 0 {
		return 0, nil
	}
	return e.Offer()
}
