package compose

import "secondpass/rules/tile"

// packed is the counts of a rack in fields of five bits, twelve kinds a word, so that two
// racks are compared a word at a time. The top bit of a field is free for counts to 15.
type packed [3]uint64

const (
	fieldBits = 5
	fields    = 12

	fieldOnes = 0x0084210842108421 // 1 in every field
	fieldTops = fieldOnes << (fieldBits - 1)
)

func pack(rack tile.Rack) packed {
	var p packed
	for k, n := range rack {
		p[k/fields] |= uint64(n) << (k % fields * fieldBits)
	}
	return p
}

// swapSuits is a rack with two suits, and their dragons, in each other's place.
func swapSuits(rack tile.Rack, s, t tile.Suit) tile.Rack {
	for rank := 1; rank <= 9; rank++ {
		a, b := tile.Ranked(rank, s), tile.Ranked(rank, t)
		rack[a], rack[b] = rack[b], rack[a]
	}
	a, b := s.Dragon(), t.Dragon()
	rack[a], rack[b] = rack[b], rack[a]
	return rack
}

// bySuits says of the variants of a hand whether they stay the same when suits change places, as they do unless a
// dragon or a suit is named, and gives one of each that are then alike.
func bySuits(racks []tile.Rack) (unlike []packed, turns bool) {
	all := map[packed]bool{}
	for _, r := range racks {
		all[pack(r)] = true
	}
	done := map[packed]bool{}
	for _, r := range racks {
		if done[pack(r)] {
			continue
		}
		unlike = append(unlike, pack(r))
		swapped := []tile.Rack{r}
		for i := 0; i < len(swapped); i++ {
			p := pack(swapped[i])
			if done[p] {
				continue
			}
			if done[p] = true; !all[p] {
				return nil, false
			}
			swapped = append(swapped, swapSuits(swapped[i], tile.Bams, tile.Craks), swapSuits(swapped[i], tile.Craks, tile.Dots))
		}
	}
	return unlike, true
}

// common is the number of tiles that two hands of 14 have in common.
func common(a, b *packed) int {
	sum := uint64(0)
	for w := range a {
		x, y := a[w], b[w]
		notLess := ((x | fieldTops) - y) & fieldTops // the top bit where x >= y
		takeY := notLess - notLess>>(fieldBits-1)    // the bits below it
		sum += y&takeY | x&^takeY
	}
	// No field of the sum exceeds 14, so the last field of the product is all of them.
	return int(sum * fieldOnes >> ((fields - 1) * fieldBits) & (1<<fieldBits - 1))
}

// shared is the largest number of tiles that a variant of a has in common with one
// of b, 0 to 14: 14 where both can be the same tiles.
//
// Where both hands stay the same when suits change places, it is enough to take of one of them one variant of each
// that are alike but for their suits.
func shared(a, b *candidate) int {
	if len(a.tiles) < len(b.tiles) {
		a, b = b, a
	}
	some := a.tiles
	if a.turns && b.turns {
		some = a.unlike
	}
	most := 0
	for i := range some {
		for j := range b.tiles {
			most = max(most, common(&some[i], &b.tiles[j]))
		}
	}
	return most
}

// allShared computes shared for pairs of candidates, each when it is first asked for.
func allShared(pools [][]*candidate) func(a, b place) int {
	first := make([]int, len(pools)+1)
	for s, p := range pools {
		first[s+1] = first[s] + len(p)
	}
	n := first[len(pools)]
	known := make([]uint8, n*n) // 0 is unknown, else shared + 1
	return func(a, b place) int {
		i, j := first[a.section]+a.index, first[b.section]+b.index
		i, j = min(i, j), max(i, j)
		if known[i*n+j] == 0 {
			known[i*n+j] = uint8(shared(pools[a.section][a.index], pools[b.section][b.index])) + 1
		}
		return int(known[i*n+j]) - 1
	}
}
