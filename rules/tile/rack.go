package tile

import (
	"encoding/binary"
	"strings"
)

// Rack is how many tiles of each kind are held, indexed by Kind. The zero Rack
// is empty. It is a plain value: copies are independent.
type Rack [Kinds]uint8

// RackOf counts a list of tiles.
func RackOf(tiles ...Kind) Rack {
	var r Rack
	for _, k := range tiles {
		r[k]++
	}
	return r
}

// Size is the number of tiles.
func (r Rack) Size() int {
	n := 0
	for _, c := range r {
		n += int(c)
	}
	return n
}

// Naturals is the number of tiles that are no jokers.
func (r Rack) Naturals() int { return r.Size() - int(r[Joker]) }

// Tiles lists the tiles in canonical order, one entry a tile; the caller owns the slice.
func (r Rack) Tiles() []Kind {
	tiles := make([]Kind, 0, r.Size())
	for k, c := range r {
		for range c {
			tiles = append(tiles, Kind(k))
		}
	}
	return tiles
}

// Held has a bit for each kind of which the rack has a tile.
func (r *Rack) Held() uint64 { return r.Differs(&Rack{}) }

// Differs has a bit for each kind of which two racks have another number. It looks at eight kinds at a time.
func (r *Rack) Differs(other *Rack) (kinds uint64) {
	const words = Kinds / 8
	for w := range words {
		at := 8 * w
		kinds |= nonzero(word(r[at:])^word(other[at:])) << at
	}
	const rest = Kinds - 8 // the last eight again, some of which were looked at
	return kinds | nonzero(word(r[rest:])^word(other[rest:]))<<rest
}

func word(counts []uint8) uint64 { return binary.LittleEndian.Uint64(counts) }

// nonzero has one bit for each byte of a word that is not 0, the lowest first.
func nonzero(w uint64) uint64 {
	const lows = 0x7f7f7f7f7f7f7f7f
	tops := (w&lows + lows | w) &^ lows
	return (tops >> 7) * 0x0102040810204080 >> 56
}

// Contains says whether every tile of other is in r.
func (r Rack) Contains(other Rack) bool {
	for k := range r {
		if other[k] > r[k] {
			return false
		}
	}
	return true
}

// Plus is the rack with the tiles of other added.
func (r Rack) Plus(other Rack) Rack {
	for k := range r {
		r[k] += other[k]
	}
	return r
}

// Minus is the rack with the tiles of other taken away, as far as they are
// held: a kind never falls below none.
func (r Rack) Minus(other Rack) Rack {
	for k := range r {
		r[k] -= min(r[k], other[k])
	}
	return r
}

// Multiples is the kinds of which the rack holds two or more, jokers aside, in canonical order.
func (r Rack) Multiples() []Kind {
	var multiples []Kind
	for k := range Joker {
		if r[k] >= 2 {
			multiples = append(multiples, k)
		}
	}
	return multiples
}

// Only is the tiles of the rack that are of some kinds.
func (r Rack) Only(kinds []Kind) Rack {
	var only Rack
	for _, k := range kinds {
		only[k] = r[k]
	}
	return only
}

// String is the canonical text: bams, craks, dots, winds, dragons, flowers,
// jokers, with one blank between clusters, as in "3445579b 17c NEWS GG 0 FF J".
// The empty rack is "".
func (r Rack) String() string { return r.Text(SuitOrder) }

// Order is a way to lay out the clusters of a rack.
type Order int

const (
	// SuitOrder is the canonical order, a suit's ranks in one cluster.
	SuitOrder Order = iota
	// RankOrder puts equal ranks of the three suits side by side, as in
	// "3b 3d 44b 4c"; honours follow as in SuitOrder.
	RankOrder
)

// Text is the rack in the order asked for; [Parse] reads it back.
func (r Rack) Text(o Order) string {
	var clusters []string
	add := func(kinds ...Kind) {
		var b strings.Builder
		for _, k := range kinds {
			name := k.String()
			b.WriteString(strings.Repeat(name[:1], int(r[k])))
		}
		if b.Len() == 0 {
			return
		}
		if s, ranked := kinds[0].Suit(); ranked {
			b.WriteByte(s.Letter())
		}
		clusters = append(clusters, b.String())
	}
	if o == RankOrder {
		for rank := 1; rank <= 9; rank++ {
			for s := range Suit(Suits) {
				add(Ranked(rank, s))
			}
		}
	} else {
		for s := range Suit(Suits) {
			add(kindRange(Ranked(1, s), Ranked(9, s))...)
		}
	}
	add(North, East, West, South)
	for k := Red; k < Kinds; k++ {
		add(k)
	}
	return strings.Join(clusters, " ")
}

func kindRange(from, to Kind) []Kind {
	kinds := make([]Kind, 0, to-from+1)
	for k := from; k <= to; k++ {
		kinds = append(kinds, k)
	}
	return kinds
}

// List is a list of tiles in canonical text, whatever order they stand in.
func List(tiles []Kind) string { return RackOf(tiles...).String() }
