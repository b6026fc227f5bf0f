package exercise_test

import (
	"bytes"
	"fmt"
	"regexp"
	"strings"
	"testing"

	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// A file keeps every house rule of an exercise. One that does not say a rule, since it was written before there was such
// a rule, means the usual one, and all of them where it says none.
func TestFilesKeepHouseRules(t *testing.T) {
	for _, rule := range house.Rules {
		h := house.Usual
		if rule.IsSwitch() {
			rule.Turn(&h, false)
		} else {
			rule.SetNumber(&h, rule.Number(h)+1)
		}
		set, err := h.Set()
		if err != nil {
			t.Fatal(err)
		}
		c, _, err := card.Read("card", []byte(card.PracticeText), set)
		if err != nil {
			t.Fatal(err)
		}
		e, err := exercise.NewTable("Of "+rule.Key, c, h, charleston.South, tile.MustParse("228b 14699c 7d EW F J"), "nearest", 8)
		if err != nil {
			t.Fatal(err)
		}
		routes, err := e.WalkAll([][]string{nil})
		if err != nil {
			t.Fatal(err)
		}
		trail, err := e.Replay(routes[0])
		if err != nil || trail.Game == nil {
			t.Fatalf("with %s: no game after the passing, %v", rule.Said(h), err)
		}
		if state := trail.Game.State(); state.Game().House() != h {
			t.Errorf("with %s: the game has %+v", rule.Said(h), state.Game().House())
		}
		var file bytes.Buffer
		if err := e.Write(&file); err != nil {
			t.Fatal(err)
		}
		again, err := exercise.Read(bytes.NewReader(file.Bytes()))
		if err != nil {
			t.Fatalf("with %s: %v", rule.Said(h), err)
		}
		if again.House != h || again.Set != set {
			t.Errorf("with %s: read back %+v", rule.Said(h), again.House)
		}
	}
}

func TestFilesWithoutHouseRules(t *testing.T) {
	e, err := exercise.New("Usual", card.Practice(), house.Usual, charleston.South, tile.MustParse("228b 14699c 7d EW F J"), exercise.MockPasses, 8)
	if err != nil {
		t.Fatal(err)
	}
	var file bytes.Buffer
	if err := e.Write(&file); err != nil {
		t.Fatal(err)
	}
	without := map[string]*regexp.Regexp{"any": regexp.MustCompile(`(?s) "house": \{.*?\},\n`)}
	for _, rule := range house.Rules {
		without[rule.Key] = regexp.MustCompile(fmt.Sprintf(` *%q: \w+,\n|,\n *%[1]q: \w+`, rule.Key))
	}
	for key, pattern := range without {
		text := pattern.ReplaceAllString(file.String(), "")
		if text == file.String() {
			t.Fatalf("%s does not stand in the file", key)
		}
		again, err := exercise.Read(strings.NewReader(text))
		if err != nil {
			t.Errorf("a file that does not say %s: %v", key, err)
		} else if again.House != house.Usual {
			t.Errorf("a file that does not say %s: %+v", key, again.House)
		}
	}
}
