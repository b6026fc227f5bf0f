package main

import (
	"fmt"

	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	. "github.com/mmcloughlin/avo/reg"
)

// sum is sumBeside for weights of so many bytes: each byte of the weight is looked up by itself, for 64 variants at once, in a
// table of 128 that lies in two registers. States that have the top bit become the last entry, which is 0.
func sum(planes int) {
	TEXT(fmt.Sprintf("sum%dAVX512", planes), NOSPLIT, "func(states *uint8, rows **uint8, n, blocks int, weights *uint8, out *int64)")
	Pragma("noescape")
	states, rows, n := Load(Param("states"), GP64()), Load(Param("rows"), GP64()), Load(Param("n"), GP64())
	blocks, weights, out := Load(Param("blocks"), GP64()), Load(Param("weights"), GP64()), Load(Param("out"), GP64())
	var lower, upper, total []VecVirtual
	for p := range planes {
		lower, upper, total = append(lower, ZMM()), append(upper, ZMM()), append(total, ZMM())
		VMOVDQU64(Mem{Base: weights, Disp: p * 128}, lower[p])
		VMOVDQU64(Mem{Base: weights, Disp: p*128 + 64}, upper[p])
	}
	none := ZMM()
	VPXORQ(none, none, none)
	last := avx512{}.constant(0x7f)
	row := GP64()
	eachOf("rows", n, func(i GPVirtual) {
		MOVQ(Mem{Base: rows, Index: i, Scale: 8}, row)
		for p := range planes {
			VPXORQ(total[p], total[p], total[p])
		}
		eachBlock(blocks, func(offset GPVirtual) {
			state := ZMM()
			VMOVDQU64(at(states, offset), state)
			VPADDB(at(row, offset), state, state)
			VPMINUB(last, state, state)
			for p := range planes {
				found := ZMM()
				VMOVDQA64(state, found)
				VPERMI2B(upper[p], lower[p], found)
				VPSADBW(none, found, found)
				VPADDQ(found, total[p], total[p])
			}
		})
		for p := 1; p < planes; p++ {
			VPSLLQ(U8(8*p), total[p], total[p])
			VPADDQ(total[p], total[0], total[0])
		}
		MOVQ(sumOf(total[0]), Mem{Base: out, Index: i, Scale: 8})
	})
	VZEROUPPER()
	RET()
}

// sumOf adds eight quadwords.
func sumOf(z VecVirtual) GPVirtual {
	half, y, quarter, x := YMM(), YMM(), XMM(), XMM()
	VEXTRACTI64X4(U8(1), z, half)
	VPADDQ(z.AsY(), half, y)
	VEXTRACTI128(U8(1), y, quarter)
	VPADDQ(y.AsX(), quarter, x)
	other := XMM()
	VPSHUFD(U8(0b01001110), x, other)
	VPADDQ(other, x, x)
	g := GP64()
	VMOVQ(x, g)
	return g
}

// tall adds to the sums one byte, shifted to its place, of the weights of those states that sum leaves out, in the blocks
// listed by their offsets.
func tall() {
	TEXT("tallAVX512", NOSPLIT, "func(states *uint8, rows **uint8, n int, list *int32, listed int, weights *uint8, shift int, out *int64)")
	Pragma("noescape")
	states, rows, n := Load(Param("states"), GP64()), Load(Param("rows"), GP64()), Load(Param("n"), GP64())
	list, listed := Load(Param("list"), GP64()), Load(Param("listed"), GP64())
	weights, out := Load(Param("weights"), GP64()), Load(Param("out"), GP64())
	shift := GP64()
	Load(Param("shift"), shift)
	lower, upper, total, none, by := ZMM(), ZMM(), ZMM(), ZMM(), XMM()
	VMOVDQU64(Mem{Base: weights}, lower)
	VMOVDQU64(Mem{Base: weights, Disp: 64}, upper)
	VMOVQ(shift, by)
	VPXORQ(none, none, none)
	row, offset := GP64(), GP64()
	eachOf("rows", n, func(i GPVirtual) {
		MOVQ(Mem{Base: rows, Index: i, Scale: 8}, row)
		VPXORQ(total, total, total)
		eachOf("listed", listed, func(j GPVirtual) {
			MOVLQSX(Mem{Base: list, Index: j, Scale: 4}, offset)
			state, top := ZMM(), K()
			VMOVDQU64(at(states, offset), state)
			VPADDB(at(row, offset), state, state)
			VPMOVB2M(state, top)
			VPERMI2B_Z(upper, lower, top, state)
			VPSADBW(none, state, state)
			VPADDQ(state, total, total)
		})
		VPSLLQ(by, total, total)
		ADDQ(sumOf(total), Mem{Base: out, Index: i, Scale: 8})
	})
	VZEROUPPER()
	RET()
}
