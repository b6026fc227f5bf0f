// Command kernels writes the kernels of a package, fit or player, for amd64, in assembly: go generate ./engine/... runs it. What
// they compute stands in engine/fit/kernels.go and engine/player/batch.go, of which they are the fast forms.
package main

import (
	"flag"

	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	. "github.com/mmcloughlin/avo/reg"
)

// block is the number of variants that a kernel takes at a time, one byte each.
const block = 64

func main() {
	flag.Parse()
	ConstraintExpr("amd64")
	if flag.Lookup("pkg").Value.String() == "player" {
		lines()
		Generate()
		return
	}
	for _, v := range []vectors{avx2{}, avx512{}} {
		load(v)
		track(v)
		below(v)
	}
	for planes := 1; planes <= 4; planes++ {
		sum(planes)
	}
	tall()
	add(avx512{})
	Generate()
}

// at is the place that lies so many bytes behind another.
func at(base, offset Register) Mem { return Mem{Base: base, Index: offset, Scale: 1} }

// eachBlock runs body with the offset of each block, of which there is at least one.
func eachBlock(blocks Register, body func(offset GPVirtual)) {
	end, offset := GP64(), GP64()
	MOVQ(blocks, end)
	SHLQ(U8(6), end)
	XORQ(offset, offset)
	Label("blocks")
	body(offset)
	ADDQ(U8(block), offset)
	CMPQ(offset, end)
	JB(LabelRef("blocks"))
}

// eachOf runs body with the numbers from 0 to n-1, which may be none.
func eachOf(name string, n Register, body func(i GPVirtual)) {
	i := GP64()
	XORQ(i, i)
	JMP(LabelRef(name + "_next"))
	Label(name)
	body(i)
	INCQ(i)
	Label(name + "_next")
	CMPQ(i, n)
	JB(LabelRef(name))
}

// load is Load: states are the base less rows, and the least away among them.
func load(v vectors) {
	TEXT("load"+v.name(), NOSPLIT, "func(dst, base *uint8, blocks int, rows **uint8, n int, jokers int) (away int)")
	Pragma("noescape")
	dst, base := Load(Param("dst"), GP64()), Load(Param("base"), GP64())
	rows, n := Load(Param("rows"), GP64()), Load(Param("n"), GP64())
	blocks := Load(Param("blocks"), GP64())
	jokers := v.spread(Load(Param("jokers"), GP64()).(GPVirtual))
	low, least := v.constant(0x0f), v.constant(0xff)
	row := GP64()
	eachBlock(blocks, func(offset GPVirtual) {
		state := v.get(at(base, offset))
		eachOf("rows", n, func(i GPVirtual) {
			MOVQ(Mem{Base: rows, Index: i, Scale: 8}, row)
			v.each(state, func(j int, s VecVirtual) { VPSUBB(at(row, offset).Offset(j*v.width()), s, s) })
		})
		v.put(state, at(dst, offset))
		v.each(state, func(j int, s VecVirtual) {
			single, group := v.vec(), v.vec()
			VPSRLW(U8(4), s, single)
			v.and(low, single, single)
			v.and(low, s, group)
			VPSUBUSB(jokers, group, group)
			VPADDB(group, single, single)
			VPMINUB(single, least, least)
		})
	})
	Store(v.least(least), ReturnIndex(0))
	VZEROUPPER()
	RET()
}

// add is Add: states with one row more missing.
func add(v vectors) {
	TEXT("add"+v.name(), NOSPLIT, "func(dst, src, row *uint8, blocks int)")
	Pragma("noescape")
	dst, src := Load(Param("dst"), GP64()), Load(Param("src"), GP64())
	row, blocks := Load(Param("row"), GP64()), Load(Param("blocks"), GP64())
	eachBlock(blocks, func(offset GPVirtual) {
		state := v.get(at(src, offset))
		v.each(state, func(j int, s VecVirtual) { VPADDB(at(row, offset).Offset(j*v.width()), s, s) })
		v.put(state, at(dst, offset))
	})
	VZEROUPPER()
	RET()
}

// track is Track: the rows of some kinds are exchanged for others, and all variants priced anew.
func track(v vectors) {
	TEXT("track"+v.name(), NOSPLIT, "func(states, costs *uint8, blocks int, less, more **uint8, n int, prices *uint8) (least int)")
	Pragma("noescape")
	states, costs := Load(Param("states"), GP64()), Load(Param("costs"), GP64())
	less, more, n := Load(Param("less"), GP64()), Load(Param("more"), GP64()), Load(Param("n"), GP64())
	blocks, prices := Load(Param("blocks"), GP64()), Load(Param("prices"), GP64())
	forSingles, forGroups := v.table(Mem{Base: prices}), v.table(Mem{Base: prices, Disp: 16})
	low, least := v.constant(0x0f), v.constant(0xff)
	old, now := GP64(), GP64()
	eachBlock(blocks, func(offset GPVirtual) {
		state := v.get(at(states, offset))
		eachOf("kinds", n, func(i GPVirtual) {
			MOVQ(Mem{Base: less, Index: i, Scale: 8}, old)
			MOVQ(Mem{Base: more, Index: i, Scale: 8}, now)
			v.each(state, func(j int, s VecVirtual) {
				VPADDB(at(old, offset).Offset(j*v.width()), s, s)
				VPSUBB(at(now, offset).Offset(j*v.width()), s, s)
			})
		})
		v.put(state, at(states, offset))
		v.each(state, func(j int, s VecVirtual) {
			single, group := v.vec(), v.vec()
			VPSRLW(U8(4), s, single)
			v.and(low, single, single)
			v.and(low, s, group)
			VPSHUFB(single, forSingles, single)
			VPSHUFB(group, forGroups, group)
			VPADDUSB(group, single, single)
			VPMINUB(single, least, least)
			v.store(single, at(costs, offset).Offset(j*v.width()))
		})
	})
	Store(v.least(least), ReturnIndex(0))
	VZEROUPPER()
	RET()
}

// below is Below: a bit for each variant that costs less than a limit.
func below(v vectors) {
	TEXT("below"+v.name(), NOSPLIT, "func(costs *uint8, blocks int, limit int, marks *uint64)")
	Pragma("noescape")
	costs, blocks := Load(Param("costs"), GP64()), Load(Param("blocks"), GP64())
	limit := v.spread(Load(Param("limit"), GP64()).(GPVirtual))
	marks := Load(Param("marks"), GP64())
	eachBlock(blocks, func(offset GPVirtual) {
		bits := v.less(v.get(at(costs, offset)), limit)
		to := GP64()
		MOVQ(offset, to)
		SHRQ(U8(3), to)
		MOVQ(bits, at(marks, to))
	})
	VZEROUPPER()
	RET()
}
