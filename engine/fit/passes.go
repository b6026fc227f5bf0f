package fit

import (
	"math/bits"

	"secondpass/rules/tile"
)

// PassTiles is the number of tiles in a pass.
const PassTiles = 3

// Pass is three tiles in rising order of kind and the value of the rack without them.
type Pass struct {
	Tiles [PassTiles]tile.Kind
	Value int64
}

// maxUnits bounds the tiles a pass can choose from: all of a rack of up to 16 that differ in
// kind or are the first three of one kind.
const maxUnits = 16

// unit is one tile that might be passed. The units of a kind come one after another; the first
// stands for the last copy held.
type unit struct {
	kind tile.Kind
	nth  int
}

// record is what Passes notes of a variant: in bits 0-15 the units that it would miss as
// singles, in bits 16-31 those it would miss as group tiles, in bits 32-39 its state, from bit 56
// the number of units.
type record uint64

const (
	groupShift = 16
	stateShift = 32
	countShift = 56
)

func (c record) state() uint8  { return uint8(c >> stateShift) }
func (c record) units() uint16 { return uint16(c) | uint16(c>>groupShift) }

// step is how far one more missing tile, unit u, moves along the table.
func (c record) step(u int) int {
	return perSingle - int(c>>(groupShift+u))&1*(perSingle-perGroup)
}

// passScratch is the working memory of Passes.
type passScratch struct {
	units   [maxUnits]unit
	records []record
	// byCount has the records sorted by their number of units, so that the loops over
	// units run equally often from one record to the next and the processor guesses them right.
	byCount [maxUnits][]record
	equal   equalRecords
	// at and steps are the units of one record and their steps.
	at, steps [maxUnits]int
	// Sums of finite differences over all variants, by one, two and three units.
	ones   [maxUnits]int64
	twos   [maxUnits * (maxUnits - 1) / 2]int64
	threes [maxUnits * (maxUnits - 1) * (maxUnits - 2) / 6]int64
}

func newPassScratch(x *Index) *passScratch {
	s := &passScratch{records: make([]record, len(x.base)*lanes)}
	for i := range s.byCount {
		s.byCount[i] = make([]record, len(s.records))
	}
	s.equal = newEqualRecords(len(s.records))
	return s
}

// pairs[v]+u and triples[w]+pairs[v]+u number the pairs u < v and triples u < v < w.
var pairs, triples = func() (p, t [maxUnits]int) {
	for i := range maxUnits {
		p[i] = i * (i - 1) / 2
		t[i] = i * (i - 1) * (i - 2) / 6
	}
	return
}()

// Passes appends to dst every distinct pass of three naturals from the rack, in rising
// order of tiles, with the value of what stays. A rack may have up to 16 tiles.
func (r *Rater) Passes(w *Weights, rack *tile.Rack, dst []Pass) []Pass {
	if r.pass == nil {
		r.pass = newPassScratch(r.x)
	}
	p := r.pass
	if using == withAVX512 {
		return r.passesBeside(w, rack, dst)
	}
	value := r.Value(w, rack)
	n := p.list(rack)
	p.mark(r, rack, n)
	p.collect(&w.tables[rack[tile.Joker]], n)
	for a := range n {
		if p.units[a].nth > 0 {
			continue
		}
		for b := a + 1; b < n; b++ {
			if p.skips(a, b) {
				continue
			}
			for c := b + 1; c < n; c++ {
				if p.skips(b, c) {
					continue
				}
				dst = append(dst, Pass{
					Tiles: [PassTiles]tile.Kind{p.units[a].kind, p.units[b].kind, p.units[c].kind},
					Value: value + p.ones[a] + p.ones[b] + p.ones[c] +
						p.twos[pairs[b]+a] + p.twos[pairs[c]+a] + p.twos[pairs[c]+b] +
						p.threes[triples[c]+pairs[b]+a],
				})
			}
		}
	}
	return dst
}

// passesBeside is Passes by a sum over all variants for each pass; what the first two tiles take away is taken once for all
// third ones.
func (r *Rater) passesBeside(w *Weights, rack *tile.Rack, dst []Pass) []Pass {
	away, _ := r.load(rack)
	p, tab := r.pass, &w.tables[rack[tile.Joker]]
	n := p.list(rack)
	step := func(u int) []uint64 {
		return r.x.steps[p.units[u].kind][int(rack[p.units[u].kind])-p.units[u].nth-1]
	}
	for a := range n {
		if p.units[a].nth > 0 {
			continue
		}
		r.add(r.one, r.states, step(a))
		for b := a + 1; b < n; b++ {
			if p.skips(a, b) {
				continue
			}
			r.add(r.two, r.one, step(b))
			thirds := 0
			for c := b + 1; c < n; c++ {
				if !p.skips(b, c) {
					r.rows[thirds] = first(step(c))
					thirds++
					dst = append(dst, Pass{Tiles: [PassTiles]tile.Kind{p.units[a].kind, p.units[b].kind, p.units[c].kind}})
				}
			}
			r.sumBeside(r.two, thirds, tab, away)
			for i := range thirds {
				dst[len(dst)-thirds+i].Value = r.sums[i]
			}
		}
	}
	return dst
}

// skips says that unit b may not follow a in a pass: the copies of a kind go in turn, so
// that equal passes are listed once.
func (p *passScratch) skips(a, b int) bool {
	u := p.units[b]
	return u.nth > 0 && (p.units[a].kind != u.kind || p.units[a].nth != u.nth-1)
}

// list lists the units of the rack.
func (p *passScratch) list(rack *tile.Rack) (n int) {
	for k := range naturals {
		for nth := range min(int(rack[k]), PassTiles) {
			p.units[n] = unit{tile.Kind(k), nth}
			n++
		}
	}
	return n
}

// mark notes at every variant which of the first n units it would miss.
func (p *passScratch) mark(r *Rater, rack *tile.Rack, n int) {
	records := p.records[:len(r.bytes)]
	for v, s := range r.bytes {
		records[v] = record(s) << stateShift
	}
	for i, u := range p.units[:n] {
		t := &r.x.touched[u.kind][int(rack[u.kind])-u.nth-1]
		note(p.records, t.single, 1<<countShift|1<<i)
		note(p.records, t.group, 1<<countShift|1<<(groupShift+i))
	}
}

func note(records []record, variants []int32, mark record) {
	for _, v := range variants {
		records[v] += mark
	}
}

// collect sums the finite differences of every variant over the units it would miss.
func (p *passScratch) collect(tab *table, n int) {
	clear(p.ones[:n])
	clear(p.twos[:n*(n-1)/2])
	clear(p.threes[:n*(n-1)*(n-2)/6])
	var ends [maxUnits]int
	for _, c := range p.records {
		count := c >> countShift & tab.worth[c.state()]
		p.byCount[count][ends[count]] = c
		ends[count]++
	}
	// Variants so far away that their weight is 0 stand in byCount[0] and add nothing.
	for _, c := range p.byCount[1][:ends[1]] {
		u := bits.TrailingZeros16(c.units()) & 15
		p.ones[u] += int64(tab.values[(int(c.state())+c.step(u))&tableMask])
	}
	for _, c := range p.byCount[2][:ends[2]] {
		p.spreadTwo(c, tab)
	}
	for count := 3; count < maxUnits; count++ {
		p.equal.gather(p.byCount[count][:ends[count]])
		for _, at := range p.equal.list {
			p.spread(p.equal.slots[at].record, p.equal.slots[at].times, tab)
		}
		p.equal.clear()
	}
}

// spread adds the differences of so many equal records for all their units, singly, in twos and
// in threes.
func (p *passScratch) spread(c record, times int64, tab *table) {
	n := 0
	for m := c.units(); m != 0; m &= m - 1 {
		u := bits.TrailingZeros16(m)
		p.at[n&15], p.steps[n&15] = u, c.step(u)
		n++
	}
	s := int(c.state())
	for i := range n {
		u, one := p.at[i&15], s+p.steps[i&15]
		p.ones[u&15] += times * int64(tab.values[one&tableMask])
		for j := range i {
			v, two := p.at[j&15], one+p.steps[j&15]
			p.twos[pairs[u&15]+v] += times * int64(tab.values[two&tableMask])
			three := triples[u&15] + pairs[v&15]
			for k := range j {
				p.threes[three+p.at[k&15]] += times * int64(tab.values[(two+p.steps[k&15])&tableMask])
			}
		}
	}
}

// spreadTwo is spread for a variant with two units, without its loops.
func (p *passScratch) spreadTwo(c record, tab *table) {
	m, s := c.units(), int(c.state())
	u, v := bits.TrailingZeros16(m)&15, (15-bits.LeadingZeros16(m))&15
	du, dv := c.step(u), c.step(v)
	p.ones[u] += int64(tab.values[(s+du)&tableMask])
	p.ones[v] += int64(tab.values[(s+dv)&tableMask])
	p.twos[pairs[v]+u] += int64(tab.values[(s+du+dv)&tableMask])
}

// equalRecords counts equal records: variants that differ only in tiles the rack has nothing to
// do with give the same, and of those with many units, whose sums are long, there are three for each
// different one. It is a hash table with open addressing.
type equalRecords struct {
	slots []struct {
		record record
		times  int64
	}
	list  []int32 // the slots in use
	shift int     // brings a hash down to the number of slots
}

func newEqualRecords(most int) equalRecords {
	size := bits.Len(uint(2 * most)) // at most half of the slots are ever in use
	e := equalRecords{shift: 64 - size, list: make([]int32, 0, most)}
	e.slots = make([]struct {
		record record
		times  int64
	}, 1<<size)
	return e
}

// gather counts records, none of which is 0.
func (e *equalRecords) gather(records []record) {
	mask := len(e.slots) - 1
	for _, c := range records {
		at := int(uint64(c) * 0x9e3779b97f4a7c15 >> e.shift) // Fibonacci hashing
		for e.slots[at].record != c {
			if e.slots[at].record == 0 {
				e.slots[at].record = c
				e.list = append(e.list, int32(at))
				break
			}
			at = (at + 1) & mask
		}
		e.slots[at].times++
	}
}

func (e *equalRecords) clear() {
	for _, at := range e.list {
		e.slots[at].record, e.slots[at].times = 0, 0
	}
	e.list = e.list[:0]
}
