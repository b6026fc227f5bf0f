package fit

import "unsafe"

// slab hands out memory for one byte a variant, aligned to blocks and filled up to whole blocks, from as few pieces as can
// be: the rows of a rack then share pages.
type slab struct {
	words int // of a row that are in use
	rest  []uint64
}

// newSlab has room for so many rows.
func newSlab(words, rows int) *slab {
	s := &slab{words: words}
	s.rest = aligned(rows * s.step())
	return s
}

// step is the number of words from one row to the next.
func (s *slab) step() int {
	const words = blockBytes / lanes
	return (s.words + words - 1) / words * words
}

// row is the next row; behind its words lie those that fill the last block.
func (s *slab) row() []uint64 {
	row := s.rest[:s.words:s.step()]
	s.rest = s.rest[s.step():]
	return row
}

// aligned is memory that begins where a block does.
func aligned(words int) []uint64 {
	const more = blockBytes/lanes - 1
	all := make([]uint64, words+more)
	skip := 0
	for uintptr(unsafe.Pointer(&all[skip]))%blockBytes != 0 {
		skip++
	}
	return all[skip : skip+words : skip+words]
}

// first is where a row begins.
func first(row []uint64) *uint8 { return (*uint8)(unsafe.Pointer(unsafe.SliceData(row))) }

// pointers is where a list of rows begins.
func pointers(rows []*uint8) **uint8 { return unsafe.SliceData(rows) }
