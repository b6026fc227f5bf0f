// Package house is the house rules of a table: which tiles the set has, how the passing goes, and whether wins are paid for.
//
// [House] is all of them, [Usual] what most tables play (common practice, no source), and [Rules] describes each one
// once: its names, its words, its bounds, and how it is read and set. Flags, forms and files go through that list, so that a
// new house rule is an entry there and its meaning where it is played. What the rules mean in play lives in charleston and
// table; the package knows only tiles. Everybody may call it.
package house

import (
	"fmt"
	"strconv"
	"strings"

	"secondpass/rules/tile"
)

// House is the house rules of a table. In JSON its fields stand side by side.
type House struct {
	Tiles
	Passing
	Play
}

// Tiles are the house rules on the set: how many copies of the tiles of which sets differ.
type Tiles struct {
	Flowers int `json:"flowers"`
	Jokers  int `json:"jokers"`
}

// Passing are the house rules of the passing.
type Passing struct {
	SecondCharleston bool `json:"second-charleston"`
	Blind            bool `json:"blind"`
	Courtesy         bool `json:"courtesy"`
}

// Play are the house rules of the play.
type Play struct {
	// Points says whether wins are paid for.
	Points bool `json:"points"`
}

// Usual is the usual set, the whole Charleston, and payment for wins.
var Usual = House{
	Tiles:   Tiles{Flowers: tile.UsualFlowers, Jokers: tile.UsualJokers},
	Passing: Passing{SecondCharleston: true, Blind: true, Courtesy: true},
	Play:    Play{Points: true},
}

// Set is the set of tiles, or an error where it has too many or too few of one kind.
func (t Tiles) Set() (tile.Set, error) { return tile.NewSet(t.Flowers, t.Jokers) }

// TilesOf is the house rules on a set of tiles.
func TilesOf(set tile.Set) Tiles {
	return Tiles{Flowers: int(set[tile.Flower]), Jokers: int(set[tile.Joker])}
}

// Text is the tiles as files have them: "8 flowers, 8 jokers".
func (t Tiles) Text() string {
	var parts []string
	for _, r := range Of(OfTiles) {
		parts = append(parts, r.Said(House{Tiles: t}))
	}
	return strings.Join(parts, ", ")
}

// ParseTiles reads what Text gives; one of a kind may be named as one, as in "8 flowers, 1 joker". Bounds are
// checked where the set is made.
func ParseTiles(text string) (Tiles, error) {
	parts, rules := strings.Split(text, ","), Of(OfTiles)
	var h House
	for i, r := range rules {
		if len(parts) != len(rules) {
			break
		}
		number, word, _ := strings.Cut(strings.TrimSpace(parts[i]), " ")
		n, err := strconv.Atoi(number)
		if word = strings.TrimSpace(word); err != nil || word != r.Key && word+"s" != r.Key {
			break
		}
		if r.SetNumber(&h, n); i == len(rules)-1 {
			return h.Tiles, nil
		}
	}
	return Tiles{}, fmt.Errorf("%q is no set of tiles; write it as in %q", text, Usual.Tiles.Text())
}

// Unusual are the house rules that are not as usual, in the order of Rules.
func (h House) Unusual() []Rule {
	var unusual []Rule
	for _, r := range Rules {
		if r.Said(h) != r.Said(Usual) {
			unusual = append(unusual, r)
		}
	}
	return unusual
}

// Without is the house rules with those switched off that are off in other.
func (h House) Without(other House) House {
	for _, r := range Rules {
		if r.IsSwitch() && !r.On(other) {
			r.Turn(&h, false)
		}
	}
	return h
}

// Part says what a house rule is about.
type Part uint8

// The parts of the house rules, to be joined by |.
const (
	OfTiles Part = 1 << iota
	OfPassing
	OfPlay

	All = OfTiles | OfPassing | OfPlay
)

// Rule describes one house rule. It is a number or a switch; a switch is usually on.
type Rule struct {
	// Key names it in files, Field in flags and forms, where a switch is asked whether it is off.
	Key, Field string
	// Words are how it is called beside a field: "flowers in the set", "no blind passes".
	Words string
	Part  Part
	// Low and High bound a number; High is 0 for a switch.
	Low, High int

	number func(*House) *int
	on     func(*House) *bool
}

// Rules are all house rules in the order in which they are asked and written.
var Rules = []Rule{
	number("flowers", "flowers in the set", OfTiles, 0, tile.MaxFlowers, func(h *House) *int { return &h.Flowers }),
	number("jokers", "jokers in the set", OfTiles, 0, tile.MaxJokers, func(h *House) *int { return &h.Jokers }),
	switched("second-charleston", "no second Charleston", OfPassing, func(h *House) *bool { return &h.SecondCharleston }),
	switched("blind", "no blind passes", OfPassing, func(h *House) *bool { return &h.Blind }),
	switched("courtesy", "no courtesy", OfPassing, func(h *House) *bool { return &h.Courtesy }),
	switched("points", "no payment for wins", OfPlay, func(h *House) *bool { return &h.Points }),
}

func number(key, words string, part Part, low, high int, of func(*House) *int) Rule {
	return Rule{Key: key, Field: "set-" + key, Words: words, Part: part, Low: low, High: high, number: of}
}

func switched(key, words string, part Part, of func(*House) *bool) Rule {
	return Rule{Key: key, Field: "no-" + key, Words: words, Part: part, on: of}
}

// Of are the house rules of some parts, in the order of Rules.
func Of(parts Part) []Rule {
	var of []Rule
	for _, r := range Rules {
		if r.Part&parts != 0 {
			of = append(of, r)
		}
	}
	return of
}

// IsSwitch says that the rule is on or off, and no number.
func (r Rule) IsSwitch() bool { return r.on != nil }

// On says whether a switch is on.
func (r Rule) On(h House) bool { return *r.on(&h) }

// Turn turns a switch.
func (r Rule) Turn(h *House, on bool) { *r.on(h) = on }

// Number is the value of a number.
func (r Rule) Number(h House) int { return *r.number(&h) }

// SetNumber sets a number. Bounds are checked where the set is made, see Tiles.Set.
func (r Rule) SetNumber(h *House, n int) { *r.number(h) = n }

// Said is what files say of the rule: "10 jokers", "points off".
func (r Rule) Said(h House) string {
	switch {
	case !r.IsSwitch():
		return fmt.Sprintf("%d %s", r.Number(h), r.Key)
	case r.On(h):
		return r.Key + " on"
	}
	return r.Key + " off"
}

// Sentence is the words as a sentence, with the bounds of a number.
func (r Rule) Sentence() string {
	text := strings.ToUpper(r.Words[:1]) + r.Words[1:]
	if !r.IsSwitch() {
		text += fmt.Sprintf(" (%d to %d)", r.Low, r.High)
	}
	return text + "."
}
