package fit

import (
	"slices"
	"unsafe"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// naturals is the number of kinds that are no joker; they are the kinds before it.
const naturals = int(tile.Joker)

// lanes is the number of variants in a word.
const lanes = 8

// farAway fills the lanes behind the last variant: further away than any variant can be.
const farAway = 0xff

// Index is a card, or some of its hands, prepared for comparison with racks. It is
// read-only and may be shared between goroutines.
type Index struct {
	card *card.Card
	// ids maps the index's own numbering of variants to Card.Variants.
	ids []int32
	// hands are the indices of Card.Hands that have variants here, in card order, with
	// the bounds of their variants in this index.
	hands []handRange
	base  []uint64
	// rows[k][c] says what c tiles of kind k match, c up to the copies in the set; where kernels want it, steps[k][c-1] says
	// what the c-th of them matches.
	rows, steps [naturals][][]uint64
	// none is the row of no tiles; tall are the offsets of the blocks in which a variant can lack as many singles as the
	// tables of sum do not have, see [table.upper].
	none []uint64
	tall []int32
	// touched[k][c-1] are the variants for which the c-th copy of kind k counts.
	touched [naturals][]touch
	// needs are the tiles of each variant, split into singles and groups.
	needs []need
	// canonical is the place of each variant in the canonical order of their tiles.
	canonical []int32
}

type handRange struct{ hand, first, end int }

// touch lists the variants that want one more copy of a kind: as part of a single or
// pair, or as part of a larger group.
type touch struct{ single, group []int32 }

type need struct{ single, group tile.Rack }

// New prepares all hands of a card.
func New(c *card.Card) *Index {
	hands := make([]int, len(c.Hands))
	for i := range hands {
		hands[i] = i
	}
	return Of(c, hands)
}

// Of prepares some hands of a card, given as indices of Card.Hands in any order.
func Of(c *card.Card, hands []int) *Index {
	hands = slices.Clone(hands)
	slices.Sort(hands)
	x := &Index{card: c}
	for _, h := range slices.Compact(hands) {
		first := len(x.ids)
		for v := c.Hands[h].First; v < c.Hands[h].End; v++ {
			x.ids = append(x.ids, int32(v))
			single, group := c.Needs(&c.Variants[v])
			x.needs = append(x.needs, need{single, group})
		}
		if first < len(x.ids) {
			x.hands = append(x.hands, handRange{h, first, len(x.ids)})
		}
	}
	x.lay()
	x.order()
	return x
}

// Card is the card that the index was made from.
func (x *Index) Card() *card.Card { return x.card }

// Len is the number of variants in the index.
func (x *Index) Len() int { return len(x.ids) }

// lay fills base, rows and touched.
func (x *Index) lay() {
	x.clear()
	base := bytesOf(x.base[:cap(x.base)])
	for v := len(x.needs); v < len(base); v++ {
		base[v] = farAway
	}
	for v := range x.needs {
		n := &x.needs[v]
		base[v] = uint8(n.single.Size()<<4 + n.group.Size())
		for k := range x.rows {
			p, g := int(n.single[k]), int(n.group[k])
			for c := 1; c < len(x.rows[k]); c++ {
				single := min(c, p)
				bytesOf(x.rows[k][c])[v] = uint8(single<<4 + min(c-single, g))
				switch t := &x.touched[k][c-1]; {
				case c <= p:
					t.single = append(t.single, int32(v))
				case c <= p+g:
					t.group = append(t.group, int32(v))
				}
			}
		}
	}
	for k := range x.steps {
		for c, step := range x.steps[k] {
			subtract1(step, x.rows[k][c+1], x.rows[k][c])
		}
	}
	for at := 0; at < len(x.needs); at += blockBytes {
		if slices.ContainsFunc(base[at:min(at+blockBytes, len(x.needs))], func(s uint8) bool { return s >= lowStates }) {
			x.tall = append(x.tall, int32(at))
		}
	}
}

// clear makes room for base, rows and steps.
func (x *Index) clear() {
	n := 2
	for _, copies := range x.card.Set[:naturals] {
		n += 2 * int(copies)
	}
	s := newSlab((len(x.needs)+lanes-1)/lanes, n)
	x.base, x.none = s.row(), s.row()
	for k := range x.rows {
		copies := int(x.card.Set[k])
		x.rows[k] = [][]uint64{x.none}
		for range copies {
			x.rows[k] = append(x.rows[k], s.row())
		}
		x.touched[k] = make([]touch, copies)
	}
	if fastest < withAVX512 {
		return
	}
	for k := range x.steps {
		for range x.touched[k] {
			x.steps[k] = append(x.steps[k], s.row())
		}
	}
}

// bytesOf is the same memory seen as bytes, one a variant. Which byte of a word a variant has depends on the
// byte order of the machine, see laneAt.
func bytesOf(words []uint64) []uint8 {
	return unsafe.Slice((*uint8)(unsafe.Pointer(unsafe.SliceData(words))), len(words)*lanes)
}

// laneFlip turns the number of a byte counted from the low end of a word into its place in memory.
var laneFlip = func() int {
	word := [1]uint64{1}
	if bytesOf(word[:])[0] == 1 {
		return 0
	}
	return lanes - 1
}()

// laneAt is the place in memory, 0 to 7, of the byte of a word that starts at a bit.
func laneAt(shift int) int { return shift/8 ^ laneFlip }

// shiftOf is the bit at which the byte of a variant starts in its word.
func shiftOf(v int32) int { return (int(v)%lanes ^ laneFlip) * 8 }

// order ranks the variants by their tiles, see [canonical].
func (x *Index) order() {
	byTiles := make([]int, len(x.ids))
	for v := range byTiles {
		byTiles[v] = v
	}
	order := func(a, b int) int { return canonical(x.card, int(x.ids[a]), int(x.ids[b])) }
	slices.SortStableFunc(byTiles, order)
	x.canonical = make([]int32, len(x.ids))
	for place, v := range byTiles {
		if place > 0 && order(v, byTiles[place-1]) == 0 {
			x.canonical[v] = x.canonical[byTiles[place-1]] // the order of expansion decides
			continue
		}
		x.canonical[v] = int32(place)
	}
}
