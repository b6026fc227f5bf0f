package card

import (
	_ "embed"
	"sync"

	"secondpass/rules/tile"
)

// PracticeText is the practice card in the notation of card files, as `secondpass card compose` wrote it.
// docs/practice-card.md tells how it came about.
//
//go:embed practice/lantern.card
var PracticeText string

// Practice is the card built into the program, read with the usual set of tiles. It is
// original and stands in for no other card. It is read once and shared by all
// callers, who must not change it.
func Practice() *Card { return practice() }

var practice = sync.OnceValue(func() *Card {
	c, _, err := Read("practice/lantern.card", []byte(PracticeText), tile.Usual)
	if err != nil {
		panic("card: the practice card that is built in: " + err.Error()) // the tests read it
	}
	return c
})
