package player

//go:generate go run ../../internal/kernels -out kernels_amd64.s -stubs kernels_amd64.go -pkg player

import (
	"math/bits"

	"secondpass/engine/fit"
	"secondpass/rules/tile"
)

// slot is what a line needs of one kind, for its singles and pairs or for its larger groups, packed for the kernel: the kind in the
// low byte; five bits for the number of tiles; from bit 14 whether they are a group and whether jokers may stand for them; in the
// upper half where the chances of its tiles begin in a table.
type slot uint32

const (
	slotSize     = 8
	slotSizes    = 0x1f
	slotGrouped  = 1 << 14
	slotJokerBit = 15
	slotJoker    = 1 << slotJokerBit
	slotOdds     = 16

	// lineSlots is the slots of a line, of which fourteen tiles fill fourteen at most.
	lineSlots = 16
	// noSlot is where a line has no more: of its kind one tile is held and none wanted.
	noSlot     slot = noSlotKind
	noSlotKind      = slotKinds - 1
	slotKinds       = 64
)

func (s slot) kind() tile.Kind { return tile.Kind(s & 0xff) }
func (s slot) size() uint8     { return uint8(s >> slotSize & slotSizes) }

// slotsOf packs a line.
func slotsOf(l *line) (row [lineSlots]slot, n int) {
	put := func(k tile.Kind, size uint8, more slot) {
		row[n] = slot(k) | slot(size)<<slotSize | more
		n++
	}
	grouped := slotGrouped | slot(l.rate)*perRate<<slotOdds
	if l.jokers() {
		grouped |= slotJoker
	}
	for i := range row {
		row[i] = noSlot
	}
	for i := range l.parts {
		p := &l.parts[i]
		if p.single > 0 {
			put(p.kind, p.single, 0)
		}
		if p.group > 0 {
			put(p.kind, p.group, grouped)
		}
	}
	return row, n
}

// tiles are the numbers of tiles by kind as the kernel reads them.
type tiles struct {
	held, opened, live [slotKinds]uint8
}

// of takes a holding and what is unseen.
func (t *tiles) of(held *holding, live *tile.Rack) {
	copy(t.held[:], held.rack[:])
	copy(t.opened[:], held.opened[:])
	copy(t.live[:], live[:])
	t.held[noSlotKind] = 1
}

// lanes is the lines that a batch has beside each other.
const lanes = 16

// word is what a line lacks in a slot, after jokers: the number of tiles in the upper half, in the lower one the place of that in
// the odds.
type word uint32

const placed word = 1<<16 + perNeed // what a joker takes off

func (w word) need() int { return int(w >> 16) }
func (w word) at() int   { return int(w & 0xffff) }

// batch is lines as a holding has them, 16 beside each other. Its layout is known to the kernel.
type batch struct {
	// value is the chance of a line; when all is weighed, times its weight.
	value   [lanes]float32
	missing [lanes]int32 // tiles, after jokers
	jokered [lanes]int32 // the slot that got the last joker; -1 if none did or one is left over
	// tight has a bit for each slot in which one tile more would be lacking if one of the kind went.
	tight [lanes]uint32
	words [lineSlots][lanes]word
}

// weigh finds what lines lack, jokers placed where they raise the chance most, and their chances, in the lanes of lines that use one of
// some kinds; others stay as they were or come out the same. More than 16 lines are not looked at.
func (b *batch) weigh(kinds uint64, book *book, weight []float32, list []int32, t *tiles, jokers int, z *chances) {
	list = list[:min(len(list), lanes)]
	if fit.AVX512() {
		b.weighAll(kinds, book, weight, list, t, jokers, z)
		return
	}
	for i, at := range list {
		l, row := &book.lines[at], &book.slots[at]
		if l.kinds&kinds == 0 {
			continue
		}
		if l.mixed != 0 {
			b.weighMixed(i, l, row, t, jokers, z)
		} else {
			b.weighLine(i, l, row, t, jokers, z)
		}
		b.close(i, row, weight[at], l.rate, z)
	}
}

// weighAll is weigh by the kernel, which mixed lines come out of wrong.
func (b *batch) weighAll(kinds uint64, book *book, weight []float32, list []int32, t *tiles, jokers int, z *chances) {
	var all [lanes]int32
	slots, uses := int32(0), uint64(0)
	for i, at := range list {
		l := &book.lines[at]
		all[i], slots, uses = at, max(slots, l.slots), uses|l.kinds
	}
	if uses&kinds == 0 {
		return
	}
	for i := len(list); i < lanes; i++ {
		all[i] = int32(len(book.lines))
	}
	weighAVX512(&b.value[0], (*uint32)(&book.slots[0][0]), &all[0], int(slots), &t.held[0], jokers, &z.come[0], &z.less[0])
	for i, at := range list {
		l, row := &book.lines[at], &book.slots[at]
		if l.mixed != 0 {
			b.weighMixed(i, l, row, t, jokers, z)
		}
		b.close(i, row, weight[at], l.rate, z)
	}
}

// weighLine is what the kernel does, for one line.
func (b *batch) weighLine(i int, l *line, row *[lineSlots]slot, t *tiles, jokers int, z *chances) {
	var d draft
	chance := float32(1)
	for j := range l.slots {
		s := row[j%lineSlots]
		have, size := t.held[s.kind()%slotKinds], s.size()
		if s&slotGrouped != 0 {
			size -= min(size, t.opened[s.kind()%slotKinds])
		}
		if have > size {
			b.words[j%lineSlots][i] = 0 // of which the chance is 1
			continue
		}
		need := size - have
		w := wordOf(s, need, t.live[s.kind()%slotKinds])
		b.words[j%lineSlots][i] = w
		d.tight |= positive(have) << j
		d.open |= positive(need) & uint32(s>>slotJokerBit) & 1 << j
		d.missing += int32(need)
		chance *= z.come[w.at()]
	}
	b.value[i] = chance
	b.finish(i, &d, l, jokers, z)
}

// draft is what is known of a line before jokers are placed: bits by slot as in a batch, open where a joker could fill in.
type draft struct {
	tight, open uint32
	missing     int32
}

// wordOf is for so many tiles lacking where so many copies are unseen.
func wordOf(s slot, need, live uint8) word {
	return word(need)<<16 | word(s>>slotOdds) + word(need)*perNeed + word(live)
}

// positive is 1 for a number above 0; a branch here could not be predicted.
func positive(n uint8) uint32 { return uint32(-int32(n)) >> 31 }

// weighMixed is weighLine where the line uses some kind both for singles or a pair and for a larger group.
func (b *batch) weighMixed(i int, l *line, row *[lineSlots]slot, t *tiles, jokers int, z *chances) {
	var d draft
	j := 0
	put := func(need, live uint8, tight bool) {
		b.words[j][i] = wordOf(row[j], need, live)
		if tight {
			d.tight |= 1 << j
		}
		if need > 0 && row[j]&slotJoker != 0 {
			d.open |= 1 << j
		}
		d.missing += int32(need)
	}
	for k := range l.parts {
		p := &l.parts[k]
		have, live := t.held[p.kind], t.live[p.kind]
		group := p.group - min(p.group, t.opened[p.kind])
		fits := have <= p.single+group
		if p.single > 0 {
			need := p.single - min(have, p.single)
			b.words[j][i] = 0
			if fits {
				put(need, live, have > 0 && have <= p.single)
			}
			have -= min(have, p.single)
			live -= min(live, need)
			j++
		}
		if p.group > 0 {
			b.words[j][i] = 0
			if fits && group > 0 {
				put(group-have, live, have > 0)
			}
			j++
		}
	}
	b.value[i] = b.chance(i, l, z)
	b.finish(i, &d, l, jokers, z)
}

// chance is the product of the chances of a line's slots.
func (b *batch) chance(i int, l *line, z *chances) float32 {
	product := float32(1)
	for j := range l.slots {
		product *= z.come[b.words[j%lineSlots][i].at()]
	}
	return product
}

// finish places the jokers.
func (b *batch) finish(i int, d *draft, l *line, jokers int, z *chances) {
	b.jokered[i] = -1
	for range jokers {
		best, least := -1, float32(2)
		for open := d.open; open != 0; open &= open - 1 {
			j := bits.TrailingZeros32(open) % lineSlots
			if f := z.less[b.words[j][i].at()-perNeed]; f < least {
				best, least = j, f
			}
		}
		if b.jokered[i] = int32(best); best < 0 {
			break
		}
		b.words[best][i] -= placed
		d.missing--
		if b.words[best][i].need() == 0 {
			d.open &^= 1 << best
		}
	}
	b.missing[i], b.tight[i] = d.missing, d.tight
	if jokers > 0 && l.jokers() {
		b.value[i] = b.chance(i, l, z)
	}
}

// close weighs a line by its points, after the chances of lines that lack one tile or none are put right.
func (b *batch) close(i int, row *[lineSlots]slot, weight float32, r rate, z *chances) {
	switch b.missing[i] {
	case 0:
		b.value[i] = 1
	case 1:
		j := 0
		for b.words[j][i].need() != 1 {
			j++
		}
		b.value[i] = z.finish(row[j], r)
	}
	b.value[i] *= weight
}

// fall is the part of a line's chance that is lost when one tile more is missing in a slot.
func (b *batch) fall(i, j int, row *[lineSlots]slot, r rate, z *chances) float32 {
	if b.missing[i] == 0 {
		return 1 - z.finish(row[j], r)
	}
	return 1 - z.less[b.words[j][i].at()]
}
