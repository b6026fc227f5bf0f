package player

import (
	"secondpass/engine/fit"
	"secondpass/rules/card"
)

// What the program takes from package prepared, which keeps it, made anew for a test. aim is indices of the card's hands;
// none for all.

func castOf(c *card.Card, t Tuning) *Cast {
	return NewCast(c, t, func(hands []int) *fit.Index { return indexOf(c, hands) })
}

// CastOf is castOf for the tests outside.
var CastOf = castOf

func kitOf(c *card.Card, aim []int, t Tuning) *StrongKit {
	return newKit(newBook(c, indexOf(c, aim)), NewOdds(t.Params))
}

// UnderOf is a strong player of a card by general values, held to rules.
func UnderOf(r Rules, c *card.Card) Selective {
	return under(kitOf(c, nil, Tuning{Params: General}).New(), r, nil, newBook(c, indexOf(c, nil)))
}
