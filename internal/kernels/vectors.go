package main

import (
	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	. "github.com/mmcloughlin/avo/reg"
)

// vectors is a set of instructions: what differs between registers of 32 and of 64 bytes.
type vectors interface {
	name() string
	width() int
	vec() VecVirtual
	and(a, b, dst Op)
	// constant fills a register with a byte, spread with the low byte of another register.
	constant(value uint8) VecVirtual
	spread(low GPVirtual) VecVirtual
	// table fills a register with 16 bytes over and over.
	table(from Mem) VecVirtual
	get(from Mem) []VecVirtual
	put(list []VecVirtual, to Mem)
	store(s VecVirtual, to Mem)
	each(list []VecVirtual, do func(j int, s VecVirtual))
	// least is the smallest byte.
	least(s VecVirtual) GPVirtual
	// less has a bit for each byte of a block that is less than the limit; both are below 255.
	less(list []VecVirtual, limit VecVirtual) GPVirtual
}

type avx2 struct{}

func (avx2) name() string     { return "AVX2" }
func (avx2) width() int       { return 32 }
func (avx2) vec() VecVirtual  { return YMM() }
func (avx2) and(a, b, dst Op) { VPAND(a, b, dst) }

func (v avx2) constant(value uint8) VecVirtual {
	g := GP64()
	MOVQ(U64(value), g)
	return v.spread(g)
}

func (avx2) spread(low GPVirtual) VecVirtual {
	x, y := XMM(), YMM()
	VMOVD(low.As32(), x)
	VPBROADCASTB(x, y)
	return y
}

func (avx2) table(from Mem) VecVirtual {
	y := YMM()
	VBROADCASTI128(from, y)
	return y
}

func (avx2) get(from Mem) []VecVirtual {
	a, b := YMM(), YMM()
	VMOVDQU(from, a)
	VMOVDQU(from.Offset(32), b)
	return []VecVirtual{a, b}
}

func (v avx2) put(list []VecVirtual, to Mem) {
	v.each(list, func(j int, s VecVirtual) { v.store(s, to.Offset(32*j)) })
}

func (avx2) store(s VecVirtual, to Mem) { VMOVDQU(s, to) }

func (avx2) each(list []VecVirtual, do func(j int, s VecVirtual)) {
	for j, s := range list {
		do(j, s)
	}
}

func (avx2) least(s VecVirtual) GPVirtual {
	upper, x := XMM(), XMM()
	VEXTRACTI128(U8(1), s, upper)
	VPMINUB(s.AsX(), upper, x)
	return leastOf(x)
}

// leastOf is the smallest of 16 bytes, by way of the instruction for eight words.
func leastOf(x VecVirtual) GPVirtual {
	odd := XMM()
	VPSRLW(U8(8), x, odd)
	VPMINUB(odd, x, x)
	VPHMINPOSUW(x, x)
	g := GP64()
	VMOVD(x, g.As32())
	ANDQ(U32(0xff), g)
	return g
}

func (avx2) less(list []VecVirtual, limit VecVirtual) GPVirtual {
	// A byte is less than the limit where the greater of the two is not the byte itself.
	var halves [2]GPVirtual
	for j, s := range list {
		most := YMM()
		VPMAXUB(limit, s, most)
		VPCMPEQB(s, most, most)
		halves[j] = GP64()
		VPMOVMSKB(most, halves[j].As32())
	}
	SHLQ(U8(32), halves[1])
	ORQ(halves[1], halves[0])
	NOTQ(halves[0])
	return halves[0]
}

type avx512 struct{}

func (avx512) name() string     { return "AVX512" }
func (avx512) width() int       { return 64 }
func (avx512) vec() VecVirtual  { return ZMM() }
func (avx512) and(a, b, dst Op) { VPANDQ(a, b, dst) }

func (v avx512) constant(value uint8) VecVirtual {
	g := GP64()
	MOVQ(U64(value), g)
	return v.spread(g)
}

func (avx512) spread(low GPVirtual) VecVirtual {
	z := ZMM()
	VPBROADCASTB(low.As32(), z)
	return z
}

func (avx512) table(from Mem) VecVirtual {
	z := ZMM()
	VBROADCASTI32X4(from, z)
	return z
}

func (avx512) get(from Mem) []VecVirtual {
	z := ZMM()
	VMOVDQU64(from, z)
	return []VecVirtual{z}
}

func (v avx512) put(list []VecVirtual, to Mem) { v.store(list[0], to) }

func (avx512) store(s VecVirtual, to Mem) { VMOVDQU64(s, to) }

func (avx512) each(list []VecVirtual, do func(j int, s VecVirtual)) { do(0, list[0]) }

func (avx512) least(s VecVirtual) GPVirtual {
	upper, y, quarter, x := YMM(), YMM(), XMM(), XMM()
	VEXTRACTI64X4(U8(1), s, upper)
	VPMINUB(s.AsY(), upper, y)
	VEXTRACTI128(U8(1), y, quarter)
	VPMINUB(y.AsX(), quarter, x)
	return leastOf(x)
}

func (avx512) less(list []VecVirtual, limit VecVirtual) GPVirtual {
	k, g := K(), GP64()
	VPCMPUB(U8(1), limit, list[0], k) // 1 asks for less than
	KMOVQ(k, g)
	return g
}
