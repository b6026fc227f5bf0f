package view

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"secondpass/paper/sheet"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// drawing is what the sprite holds under an id.
func drawing(t *testing.T, id string) string {
	t.Helper()
	_, rest, found := strings.Cut(sheet.Sprite(), `<g id="`+id+`"`)
	if !found {
		t.Fatalf("the sprite has no %s", id)
	}
	text, _, _ := strings.Cut(rest, "</g>")
	return text
}

// A line of the card is drawn without the colours of suits, dragons and flowers; its open suits differ in letter and in the
// line at the foot, its settled ones too.
func TestLineIsDrawnWithoutColour(t *testing.T) {
	c, _, err := card.Read("own", []byte("card Own\nsection A\n25 exposed FF 11111x 2y 3z DDDz (RR|GG)\n25 exposed 0 1111b 2c 333d N E W S F\n"), tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	coloured := regexp.MustCompile(`class="[^"]*\b[bcdf]"`)
	feet := map[string]string{}
	for i := range c.Hands {
		text := string(LineStrip(&c.Hands[i]))
		if n := wellFormed(t, text); n["li"] != card.HandTiles {
			t.Errorf("%d tiles are drawn of %s", n["li"], c.Hands[i].Pattern)
		}
		for _, use := range regexp.MustCompile(`href="#([^"]+)"`).FindAllStringSubmatch(text, -1) {
			shape := drawing(t, use[1])
			if coloured.MatchString(shape) {
				t.Errorf("%s has a colour: %s", use[1], shape)
			}
			if strings.HasPrefix(use[1], "m-") {
				foot := shape[strings.Index(shape, `class="tp`):]
				if other, there := feet[foot]; there && other != use[1] {
					t.Errorf("%s and %s have the same foot", other, use[1])
				}
				feet[foot] = use[1]
			}
		}
	}
	var suits []string
	for _, id := range feet {
		suits = append(suits, id)
	}
	slices.Sort(suits)
	if want := "m-b m-c m-d m-x m-y m-z"; strings.Join(suits, " ") != want {
		t.Errorf("feet of %v, want %s", suits, want)
	}
	// What the test looks for is there where suits are settled.
	if !coloured.MatchString(drawing(t, sheet.TileID(tile.Red))) || !coloured.MatchString(drawing(t, "t-5b")) {
		t.Error("a settled tile has no colour")
	}
	if text := string(LineStrip(&c.Hands[0])); !strings.Contains(text, `aria-label="dragon of suit z"`) || !strings.Contains(text, `aria-label="2 of suit y"`) || strings.Contains(text, "#l-G") {
		t.Errorf("names, or an alternative too many: %s", text)
	}
}
