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
func shared(a, b *candidate) int {
	most := 0
	for i := range a.tiles {
		for j := range b.tiles {
			most = max(most, common(&a.tiles[i], &b.tiles[j]))
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
