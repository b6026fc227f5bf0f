package player

import (
	"math/rand/v2"

	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// receiverRacks is the number of racks that askReceivers deals.
const receiverRacks = 2000

// askReceivers finds out what a tile of each kind is worth on average: the part of its value that a rack dealt at
// random loses without it, times a factor. The racks are the same every time.
func (k *StrongKit) askReceivers(factor float64) {
	s, rng := k.New(), rand.New(rand.NewPCG(1, 1))
	tiles := k.set.Tiles()
	var held [tile.Kinds]float64
	for range receiverRacks {
		rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
		rack := tile.RackOf(tiles[:card.HandTiles-1]...)
		z := s.before(&rack)
		total := s.value(&rack, &z)
		s.hopes.lose(&z)
		for kind := range tile.Joker {
			if rack[kind] > 0 && total > 0 {
				held[kind]++
				k.wanted[kind] += s.hopes.loss[kind] / total
			}
		}
	}
	for kind := range tile.Joker {
		k.wanted[kind] *= factor / max(held[kind], 1)
	}
}

// mindReceiver adds to what each natural's loss costs what it would be worth to a neighbour; twice for a second
// equal tile.
func (s *Strong) mindReceiver(going []tile.Kind) {
	if s.kit.odds.params.Receiver == 0 {
		return
	}
	for k := range tile.Joker {
		s.hopes.loss[k] += float64(s.hopes.total * s.kit.wanted[k])
	}
	for _, k := range going {
		s.hopes.loss[k] += float64(s.hopes.total * s.kit.wanted[k])
	}
}

const (
	// dangerWall is the number of tiles left in the wall from which on strong minds what others wait for, and
	// dangerOpen the open groups from which on they show it. Our choice, by self-play.
	dangerWall = 30
	dangerOpen = 2
)

// mindDanger adds to what each natural's loss costs the danger of discarding it late: for each opponent whose
// open groups tell much, the share of the hands left to it that still want the tile.
func (s *Strong) mindDanger(v table.View) {
	danger := s.kit.odds.params.Danger
	if danger == 0 || v.WallLeft() > dangerWall {
		return
	}
	for seat := range charleston.Seat(charleston.Seats) {
		groups, n := v.Open(seat)
		if seat == v.Seat() || n < dangerOpen || v.Dead(seat) {
			continue
		}
		var open tile.Rack
		for _, g := range groups[:n] {
			open[g.Tile] += g.Size
		}
		variants := v.Variants(seat)
		var wants [tile.Kinds]int
		for _, i := range variants {
			s.kit.countWants(i, &open, &wants)
		}
		for k := range tile.Joker {
			s.hopes.loss[k] += danger * s.hopes.total * float64(wants[k]) / float64(len(variants))
		}
	}
}

// countWants counts the kinds that a variant wants beside open groups. The card may have hands that the
// own aim leaves out.
func (k *StrongKit) countWants(variant int32, open *tile.Rack, wants *[tile.Kinds]int) {
	v := &k.book.card.Variants[variant]
	for kind := range tile.Joker {
		if v.Small[kind]+v.Large[kind] > open[kind] {
			wants[kind]++
		}
	}
}
