package house

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"secondpass/rules/tile"
)

// turned is the usual house with one rule as it usually is not.
func turned(r Rule) House {
	h := Usual
	if r.IsSwitch() {
		r.Turn(&h, !r.On(h))
	} else {
		r.SetNumber(&h, r.Number(h)-1)
	}
	return h
}

// Every rule has a key and a field of its own that can stand in files, flags and forms, words, one part, and bounds in
// which the usual number lies.
func TestRules(t *testing.T) {
	form := regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`)
	seen := map[string]bool{}
	for _, r := range Rules {
		if !form.MatchString(r.Key) || !form.MatchString(r.Field) || r.Words == "" || strings.TrimSpace(r.Words) != r.Words {
			t.Errorf("key %q, field %q, words %q", r.Key, r.Field, r.Words)
		}
		if seen[r.Key] || seen[r.Field] {
			t.Errorf("%s or %s is the name of two rules", r.Key, r.Field)
		}
		seen[r.Key], seen[r.Field] = true, true
		if r.Part != OfTiles && r.Part != OfPassing && r.Part != OfPlay {
			t.Errorf("%s is of part %b", r.Key, r.Part)
		}
		if r.IsSwitch() {
			if !strings.HasPrefix(r.Field, "no-") || !r.On(Usual) {
				t.Errorf("%s: a form asks whether it is off, so that it is usually on; field %q, on %v", r.Key, r.Field, r.On(Usual))
			}
			continue
		}
		if n := r.Number(Usual); n < r.Low || n > r.High {
			t.Errorf("%s: usually %d, which is not within %d to %d", r.Key, n, r.Low, r.High)
		}
	}
}

// A rule changes the house rule that its key names in JSON, and nothing else.
func TestRulesAreTheFields(t *testing.T) {
	fields := func(h House) map[string]any {
		data, err := json.Marshal(h)
		if err != nil {
			t.Fatal(err)
		}
		m := map[string]any{}
		if err := json.Unmarshal(data, &m); err != nil {
			t.Fatal(err)
		}
		return m
	}
	usual := fields(Usual)
	if len(usual) != len(Rules) {
		t.Errorf("%d fields, %d rules", len(usual), len(Rules))
	}
	for _, r := range Rules {
		now := fields(turned(r))
		for key := range usual {
			if (now[key] != usual[key]) != (key == r.Key) {
				t.Errorf("with %s turned, %s is %v after %v", r.Key, key, now[key], usual[key])
			}
		}
	}
}

// The bounds said are those of the set: the numbers at them can be, those beyond cannot.
func TestBounds(t *testing.T) {
	for _, r := range Of(OfTiles) {
		for n, fine := range map[int]bool{r.Low: true, r.High: true, r.Low - 1: false, r.High + 1: false} {
			h := Usual
			r.SetNumber(&h, n)
			set, err := h.Set()
			if (err == nil) != fine {
				t.Errorf("%d %s: %v", n, r.Key, err)
			}
			if fine && TilesOf(set) != h.Tiles {
				t.Errorf("%d %s: the set has %+v", n, r.Key, TilesOf(set))
			}
			if !fine && !strings.Contains(err.Error(), r.Key) {
				t.Errorf("%d %s: the error does not name it: %v", n, r.Key, err)
			}
		}
	}
}

func TestOf(t *testing.T) {
	count := 0
	for _, part := range []Part{OfTiles, OfPassing, OfPlay} {
		of := Of(part)
		count += len(of)
		for _, r := range of {
			if r.Part != part {
				t.Errorf("%s is of part %b, not %b", r.Key, r.Part, part)
			}
		}
	}
	if count != len(Rules) || len(Of(All)) != len(Rules) {
		t.Errorf("%d rules by part, %d of all, %d", count, len(Of(All)), len(Rules))
	}
}

// Each rule is told apart from the usual, in the words of files.
func TestUnusual(t *testing.T) {
	if got := Usual.Unusual(); len(got) > 0 {
		t.Errorf("the usual house is unusual by %v", got)
	}
	all := Usual
	for _, r := range Rules {
		h := turned(r)
		if got := h.Unusual(); len(got) != 1 || got[0].Key != r.Key {
			t.Errorf("with %s turned: %v", r.Key, got)
		}
		if r.IsSwitch() {
			all = all.Without(h)
			if got := h.Without(Usual); got != h {
				t.Errorf("%s comes back on: %+v", r.Key, got)
			}
		}
		if want := map[string]string{"jokers": "7 jokers", "points": "points off"}[r.Key]; want != "" && r.Said(h) != want {
			t.Errorf("said %q, wanted %q", r.Said(h), want)
		}
	}
	if want := (House{Tiles: Usual.Tiles}); all != want {
		t.Errorf("without everything: %+v, wanted %+v", all, want)
	}
}

func TestTilesText(t *testing.T) {
	for _, tiles := range []Tiles{Usual.Tiles, {}, {Flowers: 1, Jokers: 1}, {Flowers: tile.MaxFlowers, Jokers: tile.MaxJokers}} {
		if got, err := ParseTiles(tiles.Text()); err != nil || got != tiles {
			t.Errorf("%q read back: %+v, %v", tiles.Text(), got, err)
		}
	}
	if got, want := Usual.Tiles.Text(), "8 flowers, 8 jokers"; got != want {
		t.Errorf("%q, wanted %q", got, want)
	}
	if got, err := ParseTiles(" 8 flower , 1  joker"); err != nil || got != (Tiles{8, 1}) {
		t.Errorf("%+v, %v", got, err)
	}
	for _, text := range []string{"", "8 flowers", "8 jokers, 8 flowers", "8 flowers, 8 jokers, 1 season", "8, 8", "many flowers, 8 jokers",
		"8 flowers, 99999999999999999999 jokers", "8 flowers, 8 jokers many"} {
		if got, err := ParseTiles(text); err == nil || got != (Tiles{}) || !strings.Contains(err.Error(), "8 flowers, 8 jokers") {
			t.Errorf("%q: %+v, %v", text, got, err)
		}
	}
}
