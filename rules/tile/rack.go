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
func (r *Rack) Held() (kinds uint64) {
	for at := 0; at < Kinds; at += 8 {
		at := min(at, Kinds-8) // the last eight, some of which were looked at
		kinds |= nonzero(word(r[at:])) << at
	}
	return kinds
}

// Differs has a bit for each kind of which two racks have another number.
func (r *Rack) Differs(other *Rack) (kinds uint64) {
	for at := 0; at < Kinds; at += 8 {
		at := min(at, Kinds-8)
		if w := word(r[at:]) ^ word(other[at:]); w != 0 {
			kinds |= nonzero(w) << at
		}
	}
	return kinds
}

// word is the numbers of eight kinds at once.
func word(counts []uint8) uint64 { return binary.LittleEndian.Uint64(counts) }

func put(counts []uint8, w uint64) { binary.LittleEndian.PutUint64(counts, w) }

// tops has the highest bit of each byte, lows all others.
const (
	tops = 0x8080808080808080
	lows = 0x7f7f7f7f7f7f7f7f
)

// nonzero has one bit for each byte of a word that is not 0, the lowest first.
func nonzero(w uint64) uint64 {
	return (w&lows + lows | w) & tops >> 7 * 0x0102040810204080 >> 56
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
func (r Rack) Plus(other Rack) (sum Rack) {
	for at := 0; at < Kinds; at += 8 {
		at := min(at, Kinds-8)
		a, b := word(r[at:]), word(other[at:])
		put(sum[at:], (a&lows+b&lows)^(a^b)&tops) // no number is carried over to the next
	}
	return sum
}

// Minus is the rack with the tiles of other taken away, as far as they are
// held: a kind never falls below none.
func (r Rack) Minus(other Rack) (rest Rack) {
	for at := 0; at < Kinds; at += 8 {
		at := min(at, Kinds-8)
		a, b := word(r[at:]), word(other[at:])
		if (a|b)&tops != 0 { // more than any set has
			for k := at; k < at+8; k++ {
				rest[k] = r[k] - min(r[k], other[k])
			}
			continue
		}
		less := (a | tops) - b // keeps the highest bit where enough is held
		put(rest[at:], less&((less&tops)>>7*0x7f))
	}
	return rest
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
