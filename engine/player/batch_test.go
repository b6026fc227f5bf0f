package player

import (
	"math/rand/v2"
	"testing"

	"secondpass/engine/fit"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// Where there is a kernel it gives what Go alone gives, to the bit: on any lines, for racks dealt, racks of one kind, of jokers and of
// nothing, with open groups that the lines have and that they have not, and for any number of copies unseen.
func TestKernelAgrees(t *testing.T) {
	if !fit.AVX512() {
		t.Skip("this processor has no kernel but that in Go")
	}
	c := card.Practice()
	kit := kitOf(c, nil, Tuning{Params: General})
	h := newHopes(kit.book, kit.odds)
	rng := rand.New(rand.NewPCG(4, 15))
	var fast, plain batch
	for round := range 3000 {
		held, unseen := anyHolding(rng)
		z := kit.odds.at(&unseen, rng.IntN(100))
		jokers := int(held.rack[tile.Joker])
		list := make([]int32, 1+rng.IntN(lanes))
		for i := range list {
			list[i] = int32(rng.IntN(len(kit.book.lines)))
		}
		var all tiles
		all.of(&held, &z.live)
		fast.weighAll(allKinds, kit.book, h.weight, list, &all, jokers, &z)
		for i, at := range list {
			l, row := &kit.book.lines[at], &kit.book.slots[at]
			if l.mixed != 0 {
				plain.weighMixed(i, l, row, &all, jokers, &z)
			} else {
				plain.weighLine(i, l, row, &all, jokers, &z)
			}
			plain.close(i, row, h.weight[at], l.rate, &z)
			if fast.value[i] != plain.value[i] || fast.missing[i] != plain.missing[i] || fast.jokered[i] != plain.jokered[i] || fast.tight[i] != plain.tight[i] {
				t.Fatalf("round %d, line %d of %s with %s open: %v, %d missing, joker in %d, tight %b; %v, %d, %d, %b are right", round, at, held.rack, held.opened,
					fast.value[i], fast.missing[i], fast.jokered[i], fast.tight[i], plain.value[i], plain.missing[i], plain.jokered[i], plain.tight[i])
			}
			for j := range l.slots {
				if fast.words[j][i] != plain.words[j][i] {
					t.Fatalf("round %d, slot %d of line %d: %x, %x is right", round, j, at, fast.words[j][i], plain.words[j][i])
				}
			}
		}
	}
}

// anyHolding is tiles as they may be dealt, and as they never are, and what is unseen.
func anyHolding(rng *rand.Rand) (h holding, unseen tile.Rack) {
	tiles := tile.Usual.Tiles()
	rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
	h.rack = tile.RackOf(tiles[:rng.IntN(15)]...)
	unseen = tile.RackOf(tiles[rng.IntN(len(tiles)):]...)
	switch rng.IntN(4) {
	case 0:
		h.open = true
		h.opened[rng.IntN(int(tile.Joker))] = uint8(3 + rng.IntN(3))
	case 1:
		h.rack[rng.IntN(tile.Kinds)] = uint8(rng.IntN(15))
	case 2:
		h.rack = tile.Rack{tile.Joker: uint8(rng.IntN(9))}
	}
	return h, unseen
}

// A slot that lacks nothing does not change a product: the chance of no tile is 1 in every table, also in the first place, where slots
// point that have too many.
func TestNothingLackingIsCertain(t *testing.T) {
	o := NewOdds(General)
	for step := range o.tables {
		for jokers := range o.tables[step] {
			for r := range int(rates) {
				for live := range maxLive + 1 {
					if got := o.tables[step][jokers].come[r*perRate+live]; got != 1 {
						t.Fatalf("step %d, %d jokers, rate %d, %d live: %v", step, jokers, r, live, got)
					}
				}
			}
		}
	}
}
