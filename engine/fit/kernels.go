package fit

//go:generate go run ../../internal/kernels -out kernels_amd64.s -stubs kernels_amd64.go -pkg fit

// The kernels are the loops over all variants that cost the time. Each is written here, or where it is used, in Go that runs
// everywhere, and for amd64 in assembly, made by the generator in internal/kernels. Which are used is found at the start from what
// the processor and the system allow; GODEBUG=cpu.avx512vbmi=off or =cpu.avx2=off lets a program do without, and tests go
// through all that the processor has. The results are the same to the bit.

// level is a set of instructions that kernels are written for.
type level int

const (
	portable   level = iota // Go alone
	withAVX2                // states and prices 32 at a time
	withAVX512              // 64 at a time, and weights looked up in registers
)

func (l level) String() string { return [...]string{"portable", "AVX2", "AVX-512"}[l] }

// using is the level of the kernels in use; tests alone change it.
var using = fastest

// AVX512 says whether kernels with AVX-512 are used; other packages that have some go by it.
func AVX512() bool { return using == withAVX512 }

// blockBytes is what a kernel takes at a time: memory that kernels work on is aligned to it and filled up to it.
const blockBytes = 64

// blocks is the number of blocks that the variants of the index fill.
func (x *Index) blocks() int { return (len(x.base)*lanes + blockBytes - 1) / blockBytes }

// loadRows is the kernel of load: the states of a rack, and the least away among them. rows are those of the kinds held. It
// reports false where there is no kernel for it.
func (r *Rater) loadRows(rows []*uint8, jokers int) (away int, done bool) {
	switch blocks, to := r.x.blocks(), first(r.states); using {
	case withAVX512:
		return loadAVX512(to, first(r.x.base), blocks, pointers(rows), len(rows), jokers), true
	case withAVX2:
		return loadAVX2(to, first(r.x.base), blocks, pointers(rows), len(rows), jokers), true
	}
	return 0, false
}

// add fills dst with states that miss one row more.
func (r *Rater) add(dst, src, row []uint64) {
	addAVX512(first(dst), first(src), first(row), r.x.blocks())
}

// sumBeside fills the front of r.sums with the sums of the weights of states that miss one of r.rows more, the first n of
// them; none of the states is fewer tiles away than away.
func (r *Rater) sumBeside(states []uint64, n int, t *table, away int) {
	blocks, s, rows := r.x.blocks(), first(states), &r.rows[0]
	lower, out := &t.lower[0][0], &r.sums[0]
	switch t.bytesFrom[away] {
	case 0:
		clear(r.sums[:n])
	case 1:
		sum1AVX512(s, rows, n, blocks, lower, out)
	case 2:
		sum2AVX512(s, rows, n, blocks, lower, out)
	case 3:
		sum3AVX512(s, rows, n, blocks, lower, out)
	case 4:
		sum4AVX512(s, rows, n, blocks, lower, out)
	}
	if tall := r.x.tall; len(tall) > 0 {
		for p := range t.tallBytes {
			tallAVX512(s, rows, n, &tall[0], len(tall), &t.upper[p][0], 8*p, out)
		}
	}
}

// sumAlone is sumBeside for the states as they are.
func (r *Rater) sumAlone(states []uint64, t *table, away int) int64 {
	r.rows[0] = first(r.x.none)
	r.sumBeside(states, 1, t, away)
	return r.sums[0]
}

// track is the kernel of Tracker: kinds of which the rack has another number now give their old row back and take the new
// one; all variants are priced. It returns the least price.
func (t *Tracker) track(less, more []*uint8) (least int) {
	blocks, states, costs := t.x.blocks(), first(t.states), first(t.costs)
	if using == withAVX512 {
		return trackAVX512(states, costs, blocks, pointers(less), pointers(more), len(less), &t.prices[0])
	}
	return trackAVX2(states, costs, blocks, pointers(less), pointers(more), len(less), &t.prices[0])
}

// mark sets a bit in marks, a word for each 64 variants, for every variant that costs at most so much.
func (t *Tracker) mark(price int) {
	blocks, costs := t.x.blocks(), first(t.costs)
	if using == withAVX512 {
		belowAVX512(costs, blocks, price+1, &t.marks[0])
		return
	}
	belowAVX2(costs, blocks, price+1, &t.marks[0])
}
