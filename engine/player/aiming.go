package player

import "secondpass/rules/card"

// ForAim is a kit of the same tuning for the hands of an aim (indices of c.Hands; none for all) on its own card or
// another. The tables of chances are shared: they are most of a kit's memory, so that many aims cost
// little more than one.
func (k *StrongKit) ForAim(c *card.Card, aim []int) *StrongKit {
	return newKit(newBook(c, indexOf(c, aim)), k.odds)
}
