// Package card reads the yearly card of hands: the text file in which an owner
// writes her card down, its check, and the expansion of every line into the
// variants it stands for.
//
// [Read] turns a file into a [Card] or into [Problems], all of them at once,
// each with line and column. A [Hand] is one line of the card; a [Variant] is one
// way to make it, with the suits, shift and alternatives chosen. [Practice] is the
// card built into the program. Cards say nothing of racks; package fit compares the two.
package card
