package drill

import (
	"fmt"
	"slices"
	"strings"

	"secondpass/engine/fit"
	"secondpass/engine/prepared"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// Theme is what a rack is about, whatever is asked: for lessons. Beside those below a theme is "section" and the name of a
// section of the card, in which the nearest hand is.
type Theme string

// The themes of every card.
const (
	// Flowers: two flowers or more.
	Flowers Theme = "flowers"
	// Jokers: a joker or more.
	Jokers Theme = "jokers"
	// Multiples: three kinds or more of which there are two or more.
	Multiples Theme = "multiples"
	// OneSuit: seven tiles or more of one suit.
	OneSuit Theme = "suit"
	// TwoSections: hands of two sections or more are equally near.
	TwoSections Theme = "sections"
)

// Themes lists the themes of every card.
var Themes = []Theme{Flowers, Jokers, Multiples, OneSuit, TwoSections}

const sectionTheme = "section "

// themeSuit and themeMultiples are the least that make a rack one of a suit or of multiples.
const (
	themeFlowers   = 2
	themeMultiples = 3
	themeSuit      = 7
)

// ThemesOf lists all themes of a card.
func ThemesOf(c *card.Card) []Theme {
	all := append([]Theme(nil), Themes...)
	for _, s := range c.Sections {
		all = append(all, Theme(sectionTheme+s))
	}
	return all
}

// ParseTheme reads the name of a theme of a card, in any case; "" is none.
func ParseTheme(c *card.Card, text string) (Theme, error) {
	var names []string
	for _, t := range ThemesOf(c) {
		if text == "" || strings.EqualFold(text, string(t)) {
			if text == "" {
				return "", nil
			}
			return t, nil
		}
		names = append(names, string(t))
	}
	return "", fmt.Errorf("%q is no theme of the card; there are %s", text, strings.Join(names, ", "))
}

// Holds says whether a rack is about the theme; "" is every rack's.
func (t Theme) Holds(c *card.Card, rack tile.Rack) bool {
	if t == "" {
		return true
	}
	if holds := plainTheme(t); holds != nil {
		return holds(rack)
	}
	return slices.Contains(nearThemes(c, rack), t)
}

// ThemesOfRack lists the themes of a card that a rack is about.
func ThemesOfRack(c *card.Card, rack tile.Rack) []Theme {
	var about []Theme
	for _, t := range Themes {
		if holds := plainTheme(t); holds != nil && holds(rack) {
			about = append(about, t)
		}
	}
	return append(about, nearThemes(c, rack)...)
}

// plainTheme is the test of a theme that needs no card; nil for the others.
func plainTheme(t Theme) func(tile.Rack) bool {
	switch t {
	case Flowers:
		return func(rack tile.Rack) bool { return rack[tile.Flower] >= themeFlowers }
	case Jokers:
		return func(rack tile.Rack) bool { return rack[tile.Joker] > 0 }
	case Multiples:
		return func(rack tile.Rack) bool { return len(rack.Multiples()) >= themeMultiples }
	case OneSuit:
		return func(rack tile.Rack) bool {
			var suits [tile.Suits]int
			for k, n := range rack {
				if s, ok := tile.Kind(k).Suit(); ok {
					suits[s] += int(n)
				}
			}
			return max(suits[0], suits[1], suits[2]) >= themeSuit
		}
	}
	return nil
}

// nearThemes are the themes that the nearest hands of a rack make.
func nearThemes(c *card.Card, rack tile.Rack) []Theme {
	near, _ := fit.NewRater(prepared.Of(c).Index()).Nearest(&rack, len(c.Hands), nil)
	section := near[0].OnCard().Section
	about := []Theme{Theme(sectionTheme + c.Sections[section])}
	for i := range near {
		if near[i].Away == near[0].Away && near[i].OnCard().Section != section {
			return append([]Theme{TwoSections}, about...)
		}
	}
	return about
}

// About says whether the drill's rack is about a theme.
func (d *Drill) About(c *card.Card, t Theme) bool {
	if t == "" {
		return true
	}
	rack, err := d.Position.Rack(c)
	return err == nil && t.Holds(c, rack)
}

// Themes lists what the drill's rack is about; none where it cannot be read.
func (d *Drill) Themes(c *card.Card) []Theme {
	rack, err := d.Position.Rack(c)
	if err != nil {
		return nil
	}
	return ThemesOfRack(c, rack)
}
