package fit

// Cost prices what a variant lacks: so much a missing single and so much a missing group tile
// that no joker stands for. A complete hand costs nothing. Both are 1 to 8.
type Cost struct{ Single, Group uint8 }

// AwayCost prices every missing tile alike: the cost is the number of tiles away.
var AwayCost = Cost{1, 1}

// limitFor is one more than a price, in every byte.
func limitFor(price int) uint64 { return uint64(min(price, 0x7d)+1) * ones }

// below has the top bit of every byte set in which the cost is less than the limit: it keeps no
// top bit once the limit is taken from it.
func below(cost, limit uint64) uint64 { return ^((cost | tops) - limit) & tops }

// costs prices eight states at once. With 14 tiles and prices of at most 8 every byte stays below 128;
// the lanes behind the last variant are capped there.
func costs(s, jokers, single, group uint64) uint64 {
	rest := (s&lows | tops) - jokers
	above := (rest & tops) >> 7 * 0xff
	cost := s>>4&lows*single + rest&^tops&above*group
	return (cost | cost&tops>>7*0x7f) &^ tops
}

// lesser is the smaller of two in every byte; both are below 128 there.
func lesser(a, b uint64) uint64 {
	less := ((b | tops) - a) & tops >> 7 * 0xff // 0xff where b >= a
	return a&less | b&^less
}

// Variant is the index of Card.Variants for a variant in the index's own numbering.
func (x *Index) Variant(v int32) int { return int(x.ids[v]) }
