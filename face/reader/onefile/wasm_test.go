package onefile

import (
	"bytes"
	"encoding/binary"
	"math/rand/v2"
	"testing"
)

// image is the memory that a module's data leaves, read by the specification's words alone (WebAssembly core specification, binary
// format, data section): pieces are copied in their order.
func image(t *testing.T, wasm []byte, size int) (memory []byte, pieces int, others []byte) {
	t.Helper()
	memory = make([]byte, size)
	leb := func(in []byte) (int, []byte) { // all numbers in the test are below 2^62, and none is negative
		v, n := binary.Uvarint(in)
		return int(v), in[n:]
	}
	for in := wasm[8:]; len(in) > 0; {
		id := in[0]
		n, rest := leb(in[1:])
		body := rest[:n]
		in = rest[n:]
		if id != 11 {
			others = append(append(others, id), body...)
			continue
		}
		pieces, body = leb(body)
		for range pieces {
			at, after := leb(body[2:])
			size, data := leb(after[1:])
			if body[0] != 0 || body[1] != 0x41 || after[0] != 0x0b || at >= len(memory) {
				t.Fatalf("a piece begins with % x", body[:8])
			}
			copy(memory[at:], data[:size])
			body = data[size:]
		}
	}
	return memory, pieces, others
}

// A module with its data joined leaves the same memory and has the same other sections; one that is cut off is refused.
func TestJoinedIsTheSame(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	const size = 1 << 20
	for range 50 {
		var pieces []piece
		at := int64(rng.IntN(100))
		for at < size-1000 {
			data := make([]byte, 1+rng.IntN(40))
			for i := range data {
				data[i] = byte(rng.IntN(256))
			}
			pieces = append(pieces, piece{at, data})
			at += int64(len(data)) + int64(rng.IntN(3*nearData))
		}
		wasm := append([]byte("\x00asm\x01\x00\x00\x00"), 1, 3, 7, 8, 9)
		section := written(pieces)
		wasm = append(binary.AppendUvarint(append(wasm, 11), uint64(len(section))), section...)
		wasm = append(wasm, 0, 2, 1, 'x')
		joined, err := Joined(wasm)
		if err != nil {
			t.Fatal(err)
		}
		before, many, sections := image(t, wasm, size)
		after, few, same := image(t, joined, size)
		if !bytes.Equal(before, after) || !bytes.Equal(sections, same) || few >= many {
			t.Fatalf("%d pieces became %d; the memory is the same: %t", many, few, bytes.Equal(before, after))
		}
		if _, err := Joined(wasm[:len(wasm)-10]); err == nil {
			t.Fatal("a module that is cut off is joined")
		}
	}
	if _, err := Joined([]byte("no module")); err == nil {
		t.Error("what is no module is joined")
	}
}
