package desk

import (
	"fmt"
	"strconv"
	"strings"

	"secondpass/cardmaking/compose"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// The kinds of cards that are drawn by their names: a kind and a seed.
const drawnKind = "drawn"

var drawnKinds = []string{drawnKind, string(compose.Clumsy), string(compose.Orderly)}

// IsDrawn says whether a name is that of a card which is drawn when it is asked for: "drawn 11" as card compose --no-balance draws it by
// the seed, "clumsy 3" and "orderly 3" as card compose --character does; capitals do
// not count, since the card itself is called so with one.
func IsDrawn(name string) bool {
	_, _, drawn := cutDrawn(name)
	return drawn
}

func cutDrawn(name string) (kind string, seed uint64, drawn bool) {
	kind, number, _ := strings.Cut(strings.ToLower(name), " ")
	seed, err := strconv.ParseUint(number, 10, 64)
	for _, k := range drawnKinds {
		drawn = drawn || k == kind && err == nil
	}
	return kind, seed, drawn
}

// Drawn draws the card of a name for which IsDrawn holds, for a set of tiles. Balanced cards take minutes; these take a second or two.
func Drawn(name string, set tile.Set) (*card.Card, error) {
	kind, seed, _ := cutDrawn(name)
	called := fmt.Sprintf("%s%s %d", strings.ToUpper(kind[:1]), kind[1:], seed)
	text, err := "", error(nil)
	if kind == drawnKind {
		text, _, err = compose.Draw(seed, compose.Wish{Name: called})
	} else {
		text, err = compose.DrawCharacter(seed, compose.Character(kind), called)
	}
	if err != nil {
		return nil, err
	}
	c, _, err := card.Read(called+".card", []byte(text), set)
	return c, err
}
