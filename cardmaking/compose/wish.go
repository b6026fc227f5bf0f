package compose

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// What a card is for and has as its motto, without a word.
const (
	UsualSeason = 2026
	UsualMotto  = "9041"
)

// How many hands and sections a card may have, and has without a word.
const (
	LeastHands, UsualHands, MostHands          = 20, 50, 60
	LeastSections, UsualSections, MostSections = 4, 12, 12
	// leastEach and mostEach bound the hands of one section.
	leastEach, mostEach = 3, 12
)

// Wish says what a card is to be. The zero value is a card of [UsualSeason].
type Wish struct {
	// Name is what the card is called; "" is "Drawn" and the seed, so that cards of several seeds are told apart.
	Name string
	// Season is the year that the card says it is for, 1000 to 9999; no hand is made of it.
	Season int
	// Motto is the digits that the section of that name is made of, 3 to 5 of them; a zero is the white dragon.
	Motto string
	// Hands and Sections are how many the card has. With fewer than all sections the seed says which.
	Hands, Sections int
	// Difficulty is how far the hands of the card are from a deal.
	Difficulty Level
}

// Level is a difficulty of cards.
type Level string

// The levels.
const (
	Easy   Level = "easy"
	Middle Level = "middle"
	Hard   Level = "hard"
)

// levels are the bounds of the [Difficulty] of a card's hands and the mean that is aimed at, in tiles; our choice.
var levels = map[Level]struct{ easiest, hardest, aim float64 }{
	Easy:   {7.5, 10.8, 9.4},
	Middle: {8.5, 11.4, 10.2},
	Hard:   {9.4, 12.2, 10.9},
}

// ErrWish is wrapped by errors that are due to a [Wish].
var ErrWish = errors.New("wrong options for a card")

// filled puts the usual in the place of what is not said.
func (o Wish) filled(seed uint64) Wish {
	usual := Wish{Name: usualName(seed), Season: UsualSeason, Motto: UsualMotto, Hands: UsualHands, Sections: UsualSections, Difficulty: Middle}
	if o.Name != "" {
		usual.Name = o.Name
	}
	if o.Season != 0 {
		usual.Season = o.Season
	}
	if o.Motto != "" {
		usual.Motto = o.Motto
	}
	if o.Hands != 0 {
		usual.Hands = o.Hands
	}
	if o.Sections != 0 {
		usual.Sections = o.Sections
	}
	if o.Difficulty != "" {
		usual.Difficulty = o.Difficulty
	}
	return usual
}

func usualName(seed uint64) string { return fmt.Sprintf("Drawn %d", seed) }

// check refuses what no card can be drawn with; o is filled.
func (o Wish) check() error {
	wrong := func(format string, args ...any) error {
		return fmt.Errorf("%w: "+format, append([]any{ErrWish}, args...)...)
	}
	if o.Season < 1000 || o.Season > 9999 {
		return wrong("season %d; right would be a year of four digits", o.Season)
	}
	c, _, err := card.Read("name", []byte("card "+o.Name+"\n"), tile.Usual)
	if err != nil || c.Name != o.Name {
		return wrong("name %q; right would be a name in one line without #", o.Name)
	}
	if err := checkMotto(o.Motto); err != "" {
		return wrong("motto %q; %s", o.Motto, err)
	}
	if o.Sections < LeastSections || o.Sections > MostSections {
		return wrong("%d sections; right would be %d to %d", o.Sections, LeastSections, MostSections)
	}
	if low, high := max(LeastHands, leastEach*o.Sections), min(MostHands, mostEach*o.Sections); o.Hands < low || o.Hands > high {
		return wrong("%d hands in %d sections; right would be %d to %d", o.Hands, o.Sections, low, high)
	}
	if _, ok := levels[o.Difficulty]; !ok {
		return wrong("difficulty %q; right would be %s, %s or %s", o.Difficulty, Easy, Middle, Hard)
	}
	return nil
}

// checkMotto says what would be right instead of a motto, or "".
func checkMotto(motto string) string {
	const right = "right would be 3 to 5 digits, at least two of them different and no zero"
	if len(motto) < 3 || len(motto) > 5 || strings.Trim(motto, "0123456789") != "" {
		return right
	}
	if ranks := slices.Compact(slices.Sorted(slices.Values([]byte(strings.ReplaceAll(motto, "0", ""))))); len(ranks) < 2 {
		return right
	}
	if century := motto[:2]; len(motto) == 4 && (century == "19" || century == "20") {
		return "right would be digits that spell no year"
	}
	return ""
}

func digits(motto string) []int {
	list := make([]int, len(motto))
	for i := range list {
		list[i] = int(motto[i] - '0')
	}
	return list
}

// flags are the flags of the command that draws a card by this wish, beside its seed; o is filled.
func (o Wish) flags(seed uint64) string {
	var b strings.Builder
	if o.Name != usualName(seed) {
		fmt.Fprintf(&b, " --name %q", o.Name)
	}
	if o.Season != UsualSeason {
		fmt.Fprintf(&b, " --season %d", o.Season)
	}
	if o.Motto != UsualMotto {
		fmt.Fprintf(&b, " --motto %s", o.Motto)
	}
	if o.Hands != UsualHands {
		fmt.Fprintf(&b, " --hands %d", o.Hands)
	}
	if o.Sections != UsualSections {
		fmt.Fprintf(&b, " --sections %d", o.Sections)
	}
	if o.Difficulty != Middle {
		fmt.Fprintf(&b, " --difficulty %s", o.Difficulty)
	}
	return b.String()
}

// themes are the sections of a card by this wish, in its order, with the number of their hands: runs, evens and odds
// always, and as many others as it takes, drawn by the seed. What does not divide evenly goes to those
// three first, where beginners spend more time.
func (o Wish) themes(seed uint64) []theme {
	known := func(t theme) bool { return t.section == runs || t.section == evens || t.section == odds }
	all := families(digits(o.Motto))
	var others []int
	for i, t := range all {
		if !known(t) {
			others = append(others, i)
		}
	}
	rng := rand.New(rand.NewPCG(seed, themeStream))
	rng.Shuffle(len(others), func(i, j int) { others[i], others[j] = others[j], others[i] })
	left := others[min(len(others), o.Sections-3):]
	var chosen []theme
	for i, t := range all {
		if !slices.Contains(left, i) {
			chosen = append(chosen, t)
		}
	}
	rest := o.Hands % o.Sections
	for i := range chosen {
		chosen[i].hands = o.Hands / o.Sections
	}
	for _, first := range []bool{true, false} {
		for i, t := range chosen {
			if known(t) == first && rest > 0 {
				chosen[i].hands++
				rest--
			}
		}
	}
	return chosen
}

// themeStream is the random stream that says which sections a card has.
const themeStream = 1 << 32
