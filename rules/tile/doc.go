// Package tile holds the tiles of American mahjong: the kinds, the set they
// come in, racks as counts of kinds, and the text in which people write racks.
//
// A [Kind] is one of 36 sorts of tile, a [Set] says how many copies of each
// there are (152 tiles in the usual one), and a [Rack] is how many of each kind
// somebody holds. [Parse] reads a rack as a person types it and [Rack.String]
// writes it in the canonical order. The package knows nothing of cards, passing or play.
package tile
