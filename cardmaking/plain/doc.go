// Package plain says which hands are too plain for a card of one's own: shapes that anybody who writes a card comes
// to, so that some card has them already. It judges by structure alone, the sizes of the groups and how ranks,
// suits and honours go together, and holds no hand of any card.
//
// [Rules] is the only place where the refusals stand. Package compose draws no hand that one of them names, and a
// test of this package reads every card line in the files of the repository, its documents, examples and test data,
// and holds it to the same.
//
// Words used below: a kong is a group of four. The numbers of a hand are its groups of ranks, its honours those of winds
// and dragons; the white dragon is an honour also where it is written as a zero. Neighbours are ranks one apart.
package plain
