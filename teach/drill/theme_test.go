package drill

import (
	"context"
	"testing"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

func TestThemes(t *testing.T) {
	c := card.Practice()
	for _, test := range []struct {
		theme   Theme
		in, out string
	}{
		{Flowers, "FF 123456789b NN", "F 123456789b NNN"},
		{Jokers, "J 123456789b NNN", "F 123456789b NNN"},
		{Multiples, "11b 22c 33d 456789b N", "11b 22c 3d 456789b NW"},
		{OneSuit, "1234567b NEWS RG", "123456b 1c NEWS RG"},
	} {
		if !test.theme.Holds(c, tile.MustParse(test.in)) || test.theme.Holds(c, tile.MustParse(test.out)) {
			t.Errorf("%s does not tell %s from %s", test.theme, test.in, test.out)
		}
	}
	rack := tile.MustParse("228b 14699c 7d EW F J")
	in := 0
	for _, name := range ThemesOf(c)[len(Themes):] {
		if name.Holds(c, rack) {
			in++
		}
	}
	if in != 1 {
		t.Errorf("the nearest hand is in %d sections", in)
	}
	if theme, err := ParseTheme(c, "FLOWERS"); theme != Flowers || err != nil {
		t.Error(theme, err)
	}
	if _, err := ParseTheme(c, "luck"); err == nil {
		t.Error("luck is a theme")
	}
}

// A search for a theme finds racks of it.
func TestSearchByTheme(t *testing.T) {
	drills := find(t, Search{Seed: 8, Each: 1, Total: 1, Deals: 60, Filter: Filter{Kinds: []Kind{Courtesy}, Theme: Flowers}})
	if len(drills) != 1 || !drills[0].About(card.Practice(), Flowers) {
		t.Errorf("%d drills", len(drills))
	}
	s := Search{Maker: maker(t), Seed: 8, Each: 1, Total: 1, Deals: 1, Filter: Filter{Theme: "section Nowhere"}}
	if f, err := s.Run(context.Background(), 0, nil); err != nil || len(f.Drills) > 0 {
		t.Error(f, err)
	}
}
