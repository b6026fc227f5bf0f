package player_test

import (
	"strings"
	"testing"

	"secondpass/engine/player"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

func lacks(kinds ...tile.Kind) func(*charleston.View, charleston.Parcel) bool {
	return func(_ *charleston.View, p charleston.Parcel) bool {
		for _, k := range kinds {
			if p.Rack()[k] > 0 {
				return false
			}
		}
		return true
	}
}

// singles says that no tile goes of which two or more were held.
func singles(v *charleston.View, p charleston.Parcel) bool {
	for k, n := range p.Rack() {
		if n > 0 && v.Rack[k] >= 2 {
			return false
		}
	}
	return true
}

// paired says that two of the tiles are a pair, or neighbours in one suit.
func paired(_ *charleston.View, p charleston.Parcel) bool {
	tiles := p.Tiles()
	for i, a := range tiles {
		for _, b := range tiles[i+1:] {
			s, ranked := a.Suit()
			u, alsoRanked := b.Suit()
			if a == b || ranked && alsoRanked && s == u && (a.Rank()-b.Rank() == 1 || b.Rank()-a.Rank() == 1) {
				return true
			}
		}
	}
	return p.Len() < 2
}

// given says that no white dragon stays while something else goes.
func given(v *charleston.View, p charleston.Parcel) bool {
	want := min(int(v.Rack[tile.White]), p.Len())
	return int(p.Rack()[tile.White]) == want
}

// A rule on passes is kept whenever some parcel keeps it, by every player; without the rule it is broken now and then.
func TestMoreRulesOnPasses(t *testing.T) {
	for rule, keeps := range map[string]func(*charleston.View, charleston.Parcel) bool{
		"keep=0R": lacks(tile.White, tile.Red), "keep-multiples": singles, "together": paired, "give=0": given,
	} {
		for _, name := range []string{"random", "nearest", "thumb", "strong"} {
			broken := 0
			watch(t, name, 40, spy{passes: func(v *charleston.View, own charleston.Parcel, _ int) {
				if !keeps(v, own) {
					broken++
				}
			}})
			if broken == 0 && name == "random" {
				t.Errorf("%s never breaks %s of itself: the test shows nothing", name, rule)
			}
			watch(t, name+"+"+rule, 40, spy{passes: func(v *charleston.View, own charleston.Parcel, _ int) {
				if !keeps(v, own) && canKeep(v.Rack, own.Len(), func(p charleston.Parcel) bool { return keeps(v, p) }) {
					t.Errorf("%s+%s passes %s of %s", name, rule, own, v.Rack)
				}
			}})
		}
	}
}

// With a bound of 3 a player stops at least as often as with 0, and sometimes.
func TestStopWhen(t *testing.T) {
	stops := map[string]int{}
	for _, rule := range []string{"stop-when=0", "stop-when=1", "stop-when=3"} {
		watch(t, "strong+"+rule, 100, spy{stops: func(stop bool) {
			if stop {
				stops[rule]++
			}
		}})
	}
	if !(stops["stop-when=0"] <= stops["stop-when=1"] && stops["stop-when=1"] < stops["stop-when=3"]) {
		t.Errorf("stops by the bound: %v", stops)
	}
}

// In about one game of four the planted mistake passes two or more of a kind at the first right, and otherwise the player does
// as without it.
func TestSpoil(t *testing.T) {
	firsts := func(name string) (all []charleston.Parcel) {
		watch(t, name, 200, spy{passes: func(v *charleston.View, own charleston.Parcel, _ int) {
			if v.Step == charleston.FirstRight {
				all = append(all, own)
			}
		}})
		return all
	}
	sound, spoiled := firsts("strong"), firsts("strong+spoil=4")
	differ, multiples := 0, 0
	for i := range sound {
		if sound[i] != spoiled[i] {
			differ++
			if !noPair(spoiled[i]) {
				multiples++
			}
		}
	}
	// 200 games, 1 in 4: four standard errors of the binomial are 24.
	if differ < 26 || differ > 74 || multiples != differ {
		t.Errorf("%d of %d first passes differ, %d with a multiple", differ, len(sound), multiples)
	}
}

// Check says what Player would, without making one.
func TestCheckDescriptions(t *testing.T) {
	c := player.CastOf(card.Practice(), player.Tuning{Params: player.General})
	for description, right := range map[string]bool{
		"strong+keep=F0+give=R+together+spoil=2": true, "thumb+passes=nearest+aim=Runs/Evens": true, "strong+keep=": false, "strong+passes=": false,
		"strong+keep=5x": false, "strong+spoil=1": false, "strong+stop-when=4": false, "champion": false, "": false,
		"strong+passes=someone": false, "strong+stop=never+stop-when=1": false, "strong+aim=Nonesuch": false,
	} {
		_, err := c.Player(description)
		check := c.Check(description)
		if (err == nil) != right || (check == nil) != right || err != nil && err.Error() != check.Error() {
			t.Errorf("%q: made %v, checked %v", description, err, check)
		}
	}
	if aim, err := c.Aim("strong+aim=Runs/Evens 1+no-pairs"); err != nil || strings.Join(aim, ", ") != "Runs, Evens 1" {
		t.Errorf("aim %v, %v", aim, err)
	}
}

// Play tells apart what decides in play and nothing else.
func TestPlayOfDescriptions(t *testing.T) {
	c := player.CastOf(card.Practice(), player.Tuning{Params: player.General})
	play := func(description string) string {
		text, err := c.Play(description)
		if err != nil {
			t.Fatal(err)
		}
		return text
	}
	for _, same := range []string{"strong+keep-flowers", "strong+passes=random+stop=always", "strong+spoil=3"} {
		if play(same) != play("strong") {
			t.Errorf("%s plays as %q", same, play(same))
		}
	}
	for _, other := range []string{"strong+joker-bait", "strong+aim=Runs", "thumb", "random"} {
		if play(other) == play("strong") {
			t.Errorf("%s plays as strong", other)
		}
	}
	if play("random+no-pairs") != "" {
		t.Error("random's play is taken for known")
	}
}
