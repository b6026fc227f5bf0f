package onefile

import (
	"encoding/binary"
	"errors"
)

// errWasm is an engine that is not as the Go tool builds it.
var errWasm = errors.New("the engine of readers' pages is no WebAssembly module as the Go tool builds it")

const (
	wasmHeader  = 8  // magic number and version
	dataSection = 11 // by its number in the module
	// nearData is how many zeros between two pieces of data are cheaper written out than left out: the head of a piece with its address
	// takes as many bytes, of which hardly any are like those before them when they are compressed.
	nearData = 256
)

// Joined is a module whose data stands in few pieces. The linker leaves out every eight zeros, up to a hundred thousand times; the
// addresses that takes do not compress, while zeros do: the compressed engine is smaller by a fifteenth.
func Joined(wasm []byte) ([]byte, error) {
	if len(wasm) < wasmHeader {
		return nil, errWasm
	}
	out := append(make([]byte, 0, len(wasm)+len(wasm)/8), wasm[:wasmHeader]...)
	for in := wasm[wasmHeader:]; len(in) > 0; {
		size, n := binary.Uvarint(in[1:])
		if n <= 0 || uint64(len(in)) < 1+uint64(n)+size {
			return nil, errWasm
		}
		whole := in[:1+n+int(size)]
		if whole[0] != dataSection {
			out = append(out, whole...)
		} else {
			pieces, err := dataPieces(whole[1+n:])
			if err != nil {
				return nil, err
			}
			section := written(pieces)
			out = append(binary.AppendUvarint(append(out, dataSection), uint64(len(section))), section...)
		}
		in = in[len(whole):]
	}
	return out, nil
}

// piece is data with the address where it begins.
type piece struct {
	at   int64
	data []byte
}

// dataPieces reads a data section, neighbours joined.
func dataPieces(in []byte) ([]piece, error) {
	count, n := binary.Uvarint(in)
	if n <= 0 {
		return nil, errWasm
	}
	in = in[n:]
	var all []piece
	for range count {
		// memory 0, i32.const address, end: what active data of the one memory begins with
		if len(in) < 2 || in[0] != 0 || in[1] != 0x41 {
			return nil, errWasm
		}
		at, n := signed(in[2:])
		if n == 0 || len(in) < 3+n || in[2+n] != 0x0b {
			return nil, errWasm
		}
		in = in[3+n:]
		size, n := binary.Uvarint(in)
		if n <= 0 || uint64(len(in)) < uint64(n)+size {
			return nil, errWasm
		}
		data := in[n : n+int(size)]
		in = in[n+int(size):]
		if last := len(all) - 1; last >= 0 {
			if zeros := at - all[last].at - int64(len(all[last].data)); zeros >= 0 && zeros <= nearData {
				all[last].data = append(append(all[last].data, make([]byte, zeros)...), data...)
				continue
			}
		}
		all = append(all, piece{at, append([]byte{}, data...)})
	}
	if len(in) > 0 {
		return nil, errWasm
	}
	return all, nil
}

// written is a data section.
func written(pieces []piece) []byte {
	out := binary.AppendUvarint(nil, uint64(len(pieces)))
	for _, p := range pieces {
		out = append(appendSigned(append(out, 0, 0x41), p.at), 0x0b)
		out = append(binary.AppendUvarint(out, uint64(len(p.data))), p.data...)
	}
	return out
}

// signed reads a signed LEB128 and says how many bytes it takes, 0 for none; appendSigned writes one.
func signed(in []byte) (v int64, n int) {
	for shift := 0; n < len(in) && shift < 63; shift += 7 {
		b := in[n]
		n++
		v |= int64(b&0x7f) << shift
		if b < 0x80 {
			if b&0x40 != 0 {
				v -= 1 << (shift + 7)
			}
			return v, n
		}
	}
	return 0, 0
}

func appendSigned(out []byte, v int64) []byte {
	for {
		b := byte(v & 0x7f)
		v >>= 7
		if v == 0 && b&0x40 == 0 || v == -1 && b&0x40 != 0 {
			return append(out, b)
		}
		out = append(out, b|0x80)
	}
}
