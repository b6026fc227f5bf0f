package compose

import (
	"errors"
	"fmt"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// What the card built into the program was drawn with, before package balance drew hands of it anew.
const (
	PracticeName          = "Lantern"
	PracticeSeason        = 2026
	PracticeSeed   uint64 = 1
)

// Options say what to call the card. The zero value draws one called [PracticeName] of
// [PracticeSeason].
type Options struct {
	Name string
	// Season is the year, 1000 to 9999; its digits are the numbers of the section Year.
	Season int
}

// ErrOptions is wrapped by errors that are due to Options.
var ErrOptions = errors.New("wrong options for a card")

// Draw draws a card and returns the text of its file and what can be counted on it. The
// same seed and options give the same text. The error wraps [ErrOptions] for a name that a
// card file cannot hold or a year of other than four digits; any other says that no
// card of the hands drawn met the demands, where another seed helps.
func Draw(seed uint64, opt Options) (text string, rep Report, err error) {
	d, err := draw(seed, opt)
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

func (o Options) check() error {
	if o.Season < 1000 || o.Season > 9999 {
		return fmt.Errorf("%w: season %d; right would be a year of four digits", ErrOptions, o.Season)
	}
	c, _, err := card.Read("name", []byte("card "+o.Name+"\n"), tile.Usual)
	if err != nil || c.Name != o.Name {
		return fmt.Errorf("%w: name %q; right would be a name in one line without #", ErrOptions, o.Name)
	}
	return nil
}

func digits(year int) []int {
	var list []int
	for _, c := range fmt.Sprint(year) {
		list = append(list, int(c-'0'))
	}
	return list
}

// What is added to the difficulty of hands that are harder to play than it says, and
// the points up to each sum. Our choice.
const (
	forConcealed = 0.4
	forNoJokers  = 0.3
)

var steps = []struct {
	below  float64
	points int
}{{9.7, 25}, {10.1, 30}, {10.5, 35}, {10.9, 40}, {11.4, 50}, {11.9, 60}}

const mostPoints = 75

// points grow with the difficulty; concealed hands and those without jokers get more.
func (c *candidate) points() int {
	d := c.difficulty
	if c.concealed {
		d += forConcealed
	}
	if c.noJokers {
		d += forNoJokers
	}
	for _, s := range steps {
		if d < s.below {
			return s.points
		}
	}
	return mostPoints
}
