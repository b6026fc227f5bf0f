package fit

import "secondpass/rules/tile"

// Rater compares racks with an index. It owns its working memory, so each goroutine
// needs its own; no method allocates except to grow the slice it is given, and what Passes needs when it is first called.
type Rater struct {
	x *Index
	// states and bytes are the same memory: the state of every variant for the rack loaded last.
	states []uint64
	bytes  []uint8
	// one and two are states with one and two tiles fewer.
	one, two []uint64
	// rows are what a kernel goes through, sums what it finds.
	rows [naturals]*uint8
	sums [naturals]int64
	pass *passScratch

	candidates []candidate
}

// NewRater makes a rater for an index.
func NewRater(x *Index) *Rater {
	s := newSlab(len(x.base), 3)
	r := &Rater{x: x, states: s.row(), one: s.row(), two: s.row()}
	r.bytes = bytesOf(r.states)
	return r
}

// load computes the states of all variants for a rack: the base less one row a kind held. Where that costs nothing it returns
// the least away among them; known says whether it did.
func (r *Rater) load(rack *tile.Rack) (away int, known bool) {
	var rows [naturals][]uint64
	n := 0
	for k := range naturals {
		if c := rack[k]; c > 0 {
			rows[n] = r.x.rows[k][c]
			r.rows[n] = first(rows[n])
			n++
		}
	}
	if away, known = r.loadRows(r.rows[:n], most(rack[tile.Joker])); known {
		return away, true
	}
	r.loadWords(rows[:n])
	return 0, false
}

// most bounds a number of jokers to what makes a difference.
func most(jokers uint8) int { return min(int(jokers), 2*maxMissing) }

// loadWords is load for eight variants at a time.
func (r *Rater) loadWords(rows [][]uint64) {
	n := len(rows)
	from, dst := r.x.base, r.states
	i := 0
	for ; i+4 <= n; i += 4 {
		subtract4(dst, from, rows[i], rows[i+1], rows[i+2], rows[i+3])
		from = dst
	}
	for ; i+2 <= n; i += 2 {
		subtract2(dst, from, rows[i], rows[i+1])
		from = dst
	}
	for ; i < n; i++ {
		subtract1(dst, from, rows[i])
		from = dst
	}
	if n == 0 {
		copy(dst, from)
	}
}

// The subtractions never borrow from one byte to the next: no row matches more than is missing.

func subtract4(dst, from, a, b, c, d []uint64) {
	n := len(dst)
	from, a, b, c, d = from[:n], a[:n], b[:n], c[:n], d[:n]
	for w := range dst {
		dst[w] = from[w] - a[w] - b[w] - c[w] - d[w]
	}
}

func subtract2(dst, from, a, b []uint64) {
	n := len(dst)
	from, a, b = from[:n], a[:n], b[:n]
	for w := range dst {
		dst[w] = from[w] - a[w] - b[w]
	}
}

func subtract1(dst, from, a []uint64) {
	n := len(dst)
	from, a = from[:n], a[:n]
	for w := range dst {
		dst[w] = from[w] - a[w]
	}
}

const (
	ones = 0x0101010101010101
	tops = 0x8080808080808080
	lows = 0x0f0f0f0f0f0f0f0f
)

// Away is the smallest number of tiles away over all variants of the index.
func (r *Rater) Away(rack *tile.Rack) int {
	if away, known := r.load(rack); known {
		return away
	}
	jokers := uint64(most(rack[tile.Joker])) * ones
	best := uint64(0x7f * ones)
	for _, s := range r.states {
		best = lesser(best, costs(s, jokers, 1, 1))
	}
	return leastByte(best)
}

// Value is the sum of the weights of all variants, in units of which a complete hand has 1<<27.
func (r *Rater) Value(w *Weights, rack *tile.Rack) int64 {
	away, _ := r.load(rack)
	t := &w.tables[rack[tile.Joker]]
	if using == withAVX512 {
		return r.sumAlone(r.states, t, away)
	}
	return r.sum(t.weights())
}

func (r *Rater) sum(weight *[256]int32) int64 {
	var a, b int64
	for _, s := range r.states {
		a += int64(weight[s&0xff]) + int64(weight[s>>8&0xff]) + int64(weight[s>>16&0xff]) + int64(weight[s>>24&0xff])
		b += int64(weight[s>>32&0xff]) + int64(weight[s>>40&0xff]) + int64(weight[s>>48&0xff]) + int64(weight[s>>56])
	}
	return a + b
}

// change sums the change of weight over the variants for which a copy counts, when it is
// taken away.
func (r *Rater) change(t *touch, tab *table) int64 {
	return gather(r.bytes, t.single, tab.single()) + gather(r.bytes, t.group, tab.group())
}

func gather(states []uint8, variants []int32, weight *[256]int32) int64 {
	var a, b int64
	for len(variants) >= 4 {
		q := (*[4]int32)(variants)
		a += int64(weight[states[q[0]]]) + int64(weight[states[q[1]]])
		b += int64(weight[states[q[2]]]) + int64(weight[states[q[3]]])
		variants = variants[4:]
	}
	for _, v := range variants {
		a += int64(weight[states[v]])
	}
	return a + b
}

// Discards fills out, indexed by kind, with the value of the rack after one tile of
// that kind is gone, for every kind held; other entries are left as they are. It
// returns the value of the whole rack.
func (r *Rater) Discards(w *Weights, rack *tile.Rack, out *[tile.Kinds]int64) int64 {
	if using == withAVX512 {
		return r.discardsBeside(w, rack, out)
	}
	tab := &w.tables[rack[tile.Joker]]
	value := r.Value(w, rack)
	for k := range naturals {
		if c := rack[k]; c > 0 {
			out[k] = value + r.change(&r.x.touched[k][c-1], tab)
		}
	}
	if j := rack[tile.Joker]; j > 0 {
		out[tile.Joker] = r.sum(w.tables[j-1].weights())
	}
	return value
}

// discardsBeside is Discards by a sum over all variants for each tile.
func (r *Rater) discardsBeside(w *Weights, rack *tile.Rack, out *[tile.Kinds]int64) int64 {
	away, _ := r.load(rack)
	jokers := rack[tile.Joker]
	tab := &w.tables[jokers]
	n := 0
	for k := range naturals {
		if c := rack[k]; c > 0 {
			r.rows[n] = first(r.x.steps[k][c-1])
			n++
		}
	}
	r.sumBeside(r.states, n, tab, away)
	n = 0
	for k := range naturals {
		if rack[k] > 0 {
			out[k] = r.sums[n]
			n++
		}
	}
	if jokers > 0 {
		out[tile.Joker] = r.sumAlone(r.states, &w.tables[jokers-1], away)
	}
	return r.sumAlone(r.states, tab, away)
}
