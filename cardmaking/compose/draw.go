package compose

import (
	"math"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// Draw draws a card and returns the text of its file and what can be counted on it. The
// same seed and wish give the same text. The error wraps [ErrWish] for a name that a
// card file cannot hold, a year of other than four digits and the like; any other says that no
// card of the hands drawn met the demands, where another seed helps.
func Draw(seed uint64, wish Wish) (text string, rep Report, err error) {
	d, err := draw(seed, wish)
	if err != nil {
		return "", rep, err
	}
	text = d.Text("--no-balance", nil)
	c, _, err := card.Read("drawn.card", []byte(text), tile.Usual)
	if err != nil {
		return "", rep, err
	}
	return text, Count(c), nil
}

// What is added to the difficulty of hands that are harder to play than it says, and
// the points up to each sum. Our choice.
const (
	forConcealed = 0.4
	forNoJokers  = 0.3
)

// The points by difficulty, all steps of five from 20 to 80; our choice.
const (
	leastPoints, mostPoints = 20, 80
	cheapest                = 9.1  // up to this difficulty a hand is worth the least
	tilesPerStep            = 0.25 // and so much more difficulty is worth five points more
)

// points grow with the difficulty; concealed hands and those without jokers get more.
func (c *candidate) points() int {
	d := c.difficulty
	if c.concealed {
		d += forConcealed
	}
	if c.noJokers {
		d += forNoJokers
	}
	steps := math.Ceil((d - cheapest) / tilesPerStep)
	return min(mostPoints, leastPoints+5*int(max(0, steps)))
}
