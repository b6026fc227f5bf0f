package main

import (
	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	. "github.com/mmcloughlin/avo/reg"
)

// The layout of a batch in package player: 16 lines beside each other, and of a slot.
const (
	lanes     = 16
	rowBytes  = 4 * lanes // of a number for each line
	chanceAt  = 0
	missingAt = chanceAt + rowBytes
	jokeredAt = missingAt + rowBytes
	tightAt   = jokeredAt + rowBytes
	wordsAt   = tightAt + rowBytes

	sizeMask    = 0x1f // after a shift by 8
	groupedBit  = 1 << 14
	jokerBit    = 1 << 15
	perNeed     = 25
	onePlaced   = 1<<16 + perNeed // what a joker takes off a word
	placeMask   = 0xffff
	eq, lt, nlt = 0, 1, 5 // predicates of comparisons
)

// lines is batch.weigh: slot by slot, a kind's tiles of 16 lines at once. The numbers of tiles by kind are looked up in registers, the
// slots and the chances are gathered.
func lines() {
	TEXT("weighAVX512", NOSPLIT, "func(b *float32, rows *uint32, list *int32, slots int, tiles *uint8, jokers int, come, less *float32)")
	Pragma("noescape")
	b, rows := Load(Param("b"), GP64()), Load(Param("rows"), GP64()).(GPVirtual)
	list, slots := Load(Param("list"), GP64()), Load(Param("slots"), GP64())
	tiles, jokers := Load(Param("tiles"), GP64()), Load(Param("jokers"), GP64())
	come, less := Load(Param("come"), GP64()), Load(Param("less"), GP64())

	line := ZMM()
	VMOVDQU32(Mem{Base: list}, line)
	VPSLLD(U8(4), line, line) // a row has 16 slots
	have, opened, live := ZMM(), ZMM(), ZMM()
	for i, table := range []VecVirtual{have, opened, live} {
		VMOVDQU64(Mem{Base: tiles, Disp: 64 * i}, table)
	}
	byteMask, one := dword(0xff), dword(0x3f800000)
	none, chance, missing, tight, open := ZMM(), ZMM(), ZMM(), ZMM(), ZMM()
	for _, z := range []VecVirtual{none, missing, tight, open} {
		VPXORD(z, z, z)
	}
	VMOVAPS(one, chance)

	words, bit := GP64(), ZMM() // of the slot
	each := func(name string, body func(j GPVirtual)) {
		LEAQ(Mem{Base: b, Disp: wordsAt}, words)
		VMOVDQA32(dword(1), bit)
		eachOf(name, slots, func(j GPVirtual) {
			body(j)
			ADDQ(U8(rowBytes), words)
			VPADDD(bit, bit, bit)
		})
	}
	each("slots", func(GPVirtual) {
		all, part := K(), ZMM()
		KXNORW(all, all, all)
		VPGATHERDD(Mem{Base: rows, Index: line, Scale: 4}, all, part)
		ADDQ(U8(4), rows)
		count := func(table VecVirtual) VecVirtual {
			n := ZMM()
			VPERMB(table, part, n)
			VPANDD(byteMask, n, n)
			return n
		}
		held, need, shown := count(have), ZMM(), count(opened)
		VPSRLD(U8(8), part, need)
		VPANDD(dword(sizeMask), need, need)
		grouped := K()
		VPTESTMD(dword(groupedBit), part, grouped)
		VPMINUD(shown, need, shown)
		VPSUBD(shown, need, grouped, need)
		VPSUBD(held, need, need)
		used := K()
		VPCMPD(U8(nlt), none, need, used)
		place, eight := ZMM(), ZMM()
		VPSRLD(U8(16), part, place)
		VPADDD(count(live), place, place)
		VPADDD(need, place, place) // need times 25 is need times 1, 8 and 16
		VPSLLD(U8(3), need, eight)
		VPADDD(eight, place, place)
		VPADDD(eight, place, place)
		VPADDD(eight, place, place)
		multiply(come, place, used, chance)
		VPADDD(need, missing, used, missing)
		isTight, isOpen, word := K(), K(), ZMM()
		VPTESTMD(held, held, used, isTight)
		VPORD(bit, tight, isTight, tight)
		VPTESTMD(dword(jokerBit), part, used, isOpen)
		VPTESTMD(need, need, isOpen, isOpen)
		VPORD(bit, open, isOpen, open)
		VPSLLD(U8(16), need, word)
		VPORD_Z(place, word, used, word)
		VMOVDQU32(word, Mem{Base: words})
	})

	best, least := ZMM(), ZMM()
	VPTERNLOGD(U8(0xff), best, best, best)
	CMPQ(jokers, U8(0))
	JE(LabelRef("done"))
	Label("jokers")
	VMOVAPS(dword(0x40000000), least) // 2 is more than any chance
	VPTERNLOGD(U8(0xff), best, best, best)
	each("look", func(j GPVirtual) {
		isOpen := K()
		VPTESTMD(bit, open, isOpen)
		KORTESTW(isOpen, isOpen)
		JE(LabelRef("look_on"))
		place, factor, ask, lower := placeOf(words), ZMM(), K(), K()
		VPSUBD(dword(perNeed), place, place)
		KMOVW(isOpen, ask)
		VGATHERDPS(Mem{Base: less, Index: place, Scale: 4}, ask, factor)
		VCMPPS(U8(lt), least, factor, isOpen, lower)
		VMOVAPS(factor, lower, least)
		VPBROADCASTD(j.As32(), lower, best)
		Label("look_on")
	})
	placed := K()
	VPCMPD(U8(nlt), none, best, placed)
	KORTESTW(placed, placed)
	JE(LabelRef("placed"))
	VPSUBD(dword(1), missing, placed, missing)
	each("place", func(j GPVirtual) {
		here, slot, word := K(), ZMM(), ZMM()
		VPBROADCASTD(j.As32(), slot)
		VPCMPD(U8(eq), slot, best, here)
		KORTESTW(here, here)
		JE(LabelRef("place_on"))
		VMOVDQU32(Mem{Base: words}, word)
		VPSUBD(dword(onePlaced), word, here, word)
		VMOVDQU32(word, Mem{Base: words})
		VPSRLD(U8(16), word, word)
		full := K()
		VPTESTNMD(word, word, here, full)
		VPXORD(bit, open, full, open)
		Label("place_on")
	})
	DECQ(jokers)
	JNE(LabelRef("jokers"))
	Label("placed")
	VMOVAPS(one, chance)
	each("again", func(GPVirtual) { // where a slot is not used, the first place has the chance 1
		all := K()
		KXNORW(all, all, all)
		multiply(come, placeOf(words), all, chance)
	})
	Label("done")
	VMOVUPS(chance, Mem{Base: b, Disp: chanceAt})
	VMOVDQU32(missing, Mem{Base: b, Disp: missingAt})
	VMOVDQU32(best, Mem{Base: b, Disp: jokeredAt})
	VMOVDQU32(tight, Mem{Base: b, Disp: tightAt})
	VZEROUPPER()
	RET()
}

// placeOf is the places in the tables of a slot's words.
func placeOf(words Register) VecVirtual {
	z := ZMM()
	VMOVDQU32(Mem{Base: words}, z)
	VPANDD(dword(placeMask), z, z)
	return z
}

// multiply multiplies the lanes used by what a table has at their places.
func multiply(table Register, places VecVirtual, used Register, by VecVirtual) {
	ask, found := K(), ZMM()
	KMOVW(used, ask)
	VGATHERDPS(Mem{Base: table, Index: places, Scale: 4}, ask, found)
	VMULPS(found, by, used, by)
}

// dword is 16 times the same number.
func dword(value uint32) VecVirtual {
	g, z := GP32(), ZMM()
	MOVL(U32(value), g)
	VPBROADCASTD(g, z)
	return z
}
