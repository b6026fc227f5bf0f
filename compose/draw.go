package compose

import (
	"cmp"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"secondpass/card"
	"secondpass/tile"
)

// What the card built into the program was drawn with.
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
	opt.Name = cmp.Or(opt.Name, PracticeName)
	opt.Season = cmp.Or(opt.Season, PracticeSeason)
	if err := opt.check(); err != nil {
		return "", rep, err
	}
	themes := sections(digits(opt.Season))
	pools, err := drawPools(seed, themes)
	if err != nil {
		return "", rep, err
	}
	layout, err := choose(rand.New(rand.NewPCG(seed, 0)), pools, themes)
	if err != nil {
		return "", rep, fmt.Errorf("seed %d: %w", seed, err)
	}
	text = write(seed, opt, themes, layout.hands())
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

const head = `# %s, a card of hands to practise on. It is no substitute for the card you own.
#
# Every hand was drawn by the program from sizes, numbers and suits; none was taken
# from a card that somebody else has written. The same seed draws the same card:
#
#     %s
#
card     %s
season   %d
`

// write is the text of the card file.
func write(seed uint64, opt Options, themes []theme, sections [][]*candidate) string {
	command := fmt.Sprintf("secondpass card compose --seed %d", seed)
	if opt.Name != PracticeName {
		command += fmt.Sprintf(" --name %q", opt.Name)
	}
	if opt.Season != PracticeSeason {
		command += fmt.Sprintf(" --season %d", opt.Season)
	}
	var b strings.Builder
	fmt.Fprintf(&b, head, opt.Name, command, opt.Name, opt.Season)
	for s, hands := range sections {
		slices.SortStableFunc(hands, func(a, b *candidate) int {
			return cmp.Or(cmp.Compare(a.points(), b.points()), cmp.Compare(a.difficulty, b.difficulty))
		})
		fmt.Fprintf(&b, "\nsection  %s\n", themes[s].section)
		width := 0
		for _, c := range hands {
			width = max(width, len(c.line(c.points())))
		}
		for _, c := range hands {
			fmt.Fprintf(&b, "%-*s ; note \"%s\"\n", width, c.line(c.points()), c.say)
		}
	}
	return b.String()
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
