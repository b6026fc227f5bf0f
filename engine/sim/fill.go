package sim

import (
	"fmt"
	"math/rand/v2"

	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Fill lays out what a seat cannot see while it passes: the racks of the other three and the wall,
// drawn uniformly from all layouts that agree with what it knows. That is its own rack, the number of tiles of each
// seat, and the tiles it gave at the last pass, which lie with the seat that got them, for that seat has
// not passed since; after a step with blind passes they may have been handed on unseen and lie anywhere, and after the courtesy those
// given there lie across, while what was given before may have gone on in the courtesy of two others.
// What the others' choices say about their tiles is left aside.
func Fill(v *charleston.View, set tile.Set, rng *rand.Rand) (racks [charleston.Seats]tile.Rack, wall []tile.Kind, err error) {
	known := given(v)
	racks = known
	hidden, err := set.Less(v.Rack)
	if err != nil {
		return racks, nil, err
	}
	for _, k := range known {
		if hidden, err = hidden.Less(k); err != nil {
			return racks, nil, fmt.Errorf("what the seat knows cannot be: %w", err)
		}
	}
	tiles := hidden.Tiles()
	rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
	for seat := range charleston.Seat(charleston.Seats) {
		if seat == v.Seat {
			racks[seat] = v.Rack
			continue
		}
		n := seat.DealtTiles() - racks[seat].Size()
		racks[seat] = racks[seat].Plus(tile.RackOf(tiles[:n]...))
		tiles = tiles[n:]
	}
	return racks, tiles, nil
}

// given is the tiles known to lie with each of the others.
func given(v *charleston.View) (known [charleston.Seats]tile.Rack) {
	if v.Step == charleston.Courtesy && v.Phase == charleston.Over {
		known[charleston.Across.To(v.Seat)] = v.Gave[charleston.Courtesy].Rack()
		return known
	}
	last := v.Step
	if v.Phase == charleston.Passing || v.Step == charleston.Courtesy {
		last--
	}
	for last > 0 && v.Gave[last].Len() == 0 && v.Blind[last] == 0 {
		last-- // steps that fell away
	}
	if last == 0 || v.Rules.Blind && last.BlindAllowed() {
		return known
	}
	known[last.Direction().To(v.Seat)] = v.Gave[last].Rack()
	return known
}

// Refill replaces, in a state of play, what a seat cannot see by a layout drawn uniformly from all that
// agree with what it knows: the number of concealed tiles of each seat, jokers taken in exchange before all eyes, and
// everything that lies open. The seat's View is the same afterwards.
func Refill(s *table.State, seat charleston.Seat, rng *rand.Rand) error {
	v := s.View(seat)
	hidden := v.Unseen()
	var racks [charleston.Seats]tile.Rack
	for other := range charleston.Seat(charleston.Seats) {
		if other != seat {
			n := uint8(v.Jokers(other))
			racks[other][tile.Joker] = n
			hidden[tile.Joker] -= n
		}
	}
	tiles := hidden.Tiles()
	rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
	for other := range charleston.Seat(charleston.Seats) {
		if other == seat {
			continue
		}
		n := v.Hidden(other) - racks[other].Size()
		racks[other] = racks[other].Plus(tile.RackOf(tiles[:n]...))
		tiles = tiles[n:]
	}
	return s.Redeal(seat, &racks, tiles)
}
