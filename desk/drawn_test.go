package desk_test

import (
	"testing"

	"secondpass/cardmaking/compose"
	"secondpass/desk"
	"secondpass/rules/tile"
)

// A card that is drawn by its name has the hands that card compose draws by that seed, however the name is written.
func TestDrawn(t *testing.T) {
	text, err := compose.DrawCharacter(3, compose.Clumsy, "Clumsy 3")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"clumsy 3", "Clumsy 3"} {
		if c, err := desk.Drawn(name, tile.Usual); err != nil || !desk.IsDrawn(name) || c.Source != text || c.Name != "Clumsy 3" {
			t.Errorf("%s is drawn as another card (%v)", name, err)
		}
	}
	for _, name := range []string{"", "clumsy", "clumsy x", "clumsy -1", "plain 3", "clumsy 3 ", "drawn"} {
		if desk.IsDrawn(name) {
			t.Errorf("%q is taken for a card to be drawn", name)
		}
	}
}
