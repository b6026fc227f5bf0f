// Package fit says how far a rack is from the hands of a card.
//
// An [Index] holds the variants of a card (or of some of its hands) laid out so that
// all of them can be compared with a rack at once. A [Rater] works on an index
// without allocating: the smallest number of tiles away, a weighted value of the whole
// card, and that value after every discard, after every pass of three tiles, or
// after one tile more or less. [Index.Hands] and [Index.Read] give the full account a
// person wants: what to keep, what is missing, what is spare.
//
// Words such as away, keep, missing, spare, multiple, gap, option and plan are those of
// docs/measures.md.
//
// # How the index works
//
// A variant's state is one byte: missing singles (tiles of singles and pairs) in the
// high half, missing group tiles, before jokers, in the low half. For every kind and count there is
// a row with one byte a variant that says what so many tiles match; the states of a rack are the row of
// the empty rack less about eleven such rows, eight variants a machine word. Passes
// use inclusion and exclusion over the three tiles, so that only variants touched by two
// or by all three of them need a look. Method: our own measurements, see bench_test.go.
//
// On amd64 processors that have them, wider registers do the same for 32 or 64 variants at a time: see kernels.go.
package fit
