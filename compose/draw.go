package compose

import (
	"cmp"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
)

// Options say what to call the card.
type Options struct {
	// Name is the card's name, Season its year, from 1 to 9999. Zero values stand for
	// those of the card built into the program.
	Name   string
	Season int
}

// The name and year of the card built into the program, and the seed it was drawn with.
const (
	PracticeName   = "Lantern"
	PracticeSeason = 2026
	PracticeSeed   = 1
)

// Report says what was drawn.
type Report struct {
	Sections []Section
	// Hands, Variants, Concealed and Jokerless count hands and variants of the card.
	Hands, Variants, Concealed, Jokerless int
	// Kinds is the mean number of different kinds in a variant.
	Kinds float64
	// Blemish is the sum that the choice made small; it has no unit.
	Blemish float64
}

// Section is one section of a drawn card.
type Section struct {
	Name            string
	Hands, Variants int
	// Difficulty is the mean over its hands of the mean distance from a deal in tiles.
	Difficulty float64
}

// errNone says that no card could be picked.
var errNone = errors.New("no card could be picked from the hands drawn; try another seed")

// Draw draws a card.
func Draw(seed uint64, opt Options) (text string, rep Report, err error) {
	opt.Name = cmp.Or(opt.Name, PracticeName)
	opt.Season = cmp.Or(opt.Season, PracticeSeason)
	list := themes(digits(opt.Season))
	pools, err := pools(seed, list)
	if err != nil {
		return "", rep, err
	}
	picked, blemish := choose(rand.New(rand.NewPCG(seed, 0)), pools, list)
	if picked == nil {
		return "", rep, errNone
	}
	rep.Blemish = blemish
	var b strings.Builder
	fmt.Fprintf(&b, head, opt.Name, seed, opt.Name, opt.Season)
	for s, hands := range picked {
		slices.SortStableFunc(hands, func(a, b *candidate) int {
			return cmp.Or(cmp.Compare(a.points(), b.points()), cmp.Compare(a.traits.difficulty, b.traits.difficulty))
		})
		fmt.Fprintf(&b, "\nsection  %s\n", list[s].section)
		writeHands(&b, hands)
		rep.count(list[s].section, hands)
	}
	rep.Kinds /= float64(rep.Variants)
	return b.String(), rep, nil
}

const head = `# %s, a card of hands to practise on. It is no substitute for the card you own.
#
# Every hand was drawn by the program from sizes, numbers and suits; none was taken
# from a card that somebody else has written. The same seed draws the same card:
#
#     secondpass card compose --seed %d
#
card     %s
season   %d
`

func digits(year int) []int {
	var list []int
	for _, c := range fmt.Sprint(year) {
		list = append(list, int(c-'0'))
	}
	return list
}

func writeHands(b *strings.Builder, hands []*candidate) {
	width := 0
	for _, c := range hands {
		width = max(width, len(c.line(c.points())))
	}
	for _, c := range hands {
		fmt.Fprintf(b, "%-*s ; note %q\n", width, c.line(c.points()), c.say)
	}
}

// points grow with the difficulty; a concealed hand and one without jokers get more.
func (c *candidate) points() int {
	d := c.traits.difficulty
	if c.concealed {
		d += 0.5
	}
	if c.noJokers {
		d += 0.5
	}
	for _, step := range []struct {
		below  float64
		points int
	}{{9.8, 25}, {10.3, 30}, {10.7, 35}, {11, 40}, {11.4, 50}, {11.8, 60}} {
		if d < step.below {
			return step.points
		}
	}
	return 75
}

func (r *Report) count(section string, hands []*candidate) {
	s := Section{Name: section, Hands: len(hands)}
	for _, c := range hands {
		s.Variants += c.traits.variants
		s.Difficulty += c.traits.difficulty / float64(len(hands))
		r.Kinds += c.traits.kinds * float64(c.traits.variants)
		if c.concealed {
			r.Concealed++
		}
		if c.noJokers {
			r.Jokerless++
		}
	}
	r.Hands += s.Hands
	r.Variants += s.Variants
	r.Sections = append(r.Sections, s)
}
