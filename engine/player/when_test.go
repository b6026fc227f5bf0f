package player_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"secondpass/engine/fit"
	"secondpass/engine/player"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

func pairsIn(rack tile.Rack) (n int) {
	for k, held := range rack {
		if tile.Kind(k) != tile.Joker {
			n += int(held) / 2
		}
	}
	return n
}

// A rule with a step, or with a mark of the rack, is kept there and broken elsewhere now and then.
func TestRulesAtTheirTime(t *testing.T) {
	for rule, holds := range map[string]func(v *charleston.View) bool{
		"no-pairs at first-right": func(v *charleston.View) bool { return v.Step == charleston.FirstRight },
		"no-pairs at first-across/second-left": func(v *charleston.View) bool {
			return v.Step == charleston.FirstAcross || v.Step == charleston.SecondLeft
		},
		"no-pairs when pairs 1..3": func(v *charleston.View) bool { n := pairsIn(v.Rack); return 1 <= n && n <= 3 },
		"no-pairs at first-right/last-right when jokers 0": func(v *charleston.View) bool {
			return (v.Step == charleston.FirstRight || v.Step == charleston.LastRight) && v.Rack[tile.Joker] == 0
		},
	} {
		kept, elsewhere := 0, 0
		watch(t, "random+"+rule, 150, spy{passes: func(v *charleston.View, own charleston.Parcel, _ int) {
			switch can := canKeep(v.Rack, own.Len(), noPair); {
			case !noPair(own) && can && holds(v):
				t.Errorf("%s: at %s passes %s of %s", rule, v.Step, own, v.Rack)
			case !noPair(own) && can:
				elsewhere++
			case holds(v) && can:
				kept++
			}
		}})
		if kept == 0 || elsewhere == 0 {
			t.Errorf("%s: kept %d times, broken elsewhere %d times: the test shows nothing", rule, kept, elsewhere)
		}
	}
}

// Two rules that share the racks between them are one rule with a bound.
func TestRulesThatShareTheRacks(t *testing.T) {
	for whole, parts := range map[string]string{
		"stop-when=3":  "stop=always when spare 0..3+stop=never when spare 4..14",
		"blind-when=2": "blind=always when spare 0..2+blind=never when spare 3..14",
	} {
		done := func(rule string) (all []string) {
			watch(t, "nearest+"+rule, 80, spy{
				passes: func(_ *charleston.View, own charleston.Parcel, blind int) {
					all = append(all, own.String(), string(rune('0'+blind)))
				},
				stops: func(stop bool) { all = append(all, map[bool]string{true: "stop", false: "go on"}[stop]) },
			})
			return all
		}
		want, got := done(whole), done(parts)
		if !slices.Equal(want, got) || !slices.Contains(want, map[bool]string{true: "stop", false: "3"}[strings.HasPrefix(whole, "stop")]) {
			t.Errorf("%s decides otherwise than %s", parts, whole)
		}
	}
}

// Who commits itself decides, from then on, as one does who aims at the hand that was nearest, and before as one without an aim.
func TestCommitment(t *testing.T) {
	crd := card.Practice()
	index := fit.New(crd)
	nearestOf := func(rack tile.Rack) string {
		h := index.Hands(rack)[0].OnCard()
		return fmt.Sprint(crd.Sections[h.Section], " ", h.Number)
	}
	makers := cast(t)
	for at, from := range map[string]charleston.Step{"deal": 0, "first-left": charleston.FirstLeft, "last-right": charleston.LastRight} {
		var like player.Player
		hand, changed := "", 0
		choose := func(rack tile.Rack) {
			if hand == "" {
				hand = nearestOf(rack)
				like = maker(t, makers, "nearest+aim="+hand)()
			}
		}
		watch(t, "nearest+aim nearest at "+at, 60, spy{
			passes: func(v *charleston.View, own charleston.Parcel, blind int) {
				if v.Step == charleston.FirstRight { // a new game
					hand, like = "", maker(t, makers, "nearest")()
				}
				if v.Step >= from {
					choose(v.Rack)
				}
				want, wantBlind := like.Give, 0
				if v.Phase == charleston.Passing {
					p, n := like.Pass(v)
					want, wantBlind = func(*charleston.View) charleston.Parcel { return p }, n
				}
				if p := want(v); p != own || blind != wantBlind {
					t.Errorf("%s: %s passes %s, not %s, of %s (%s)", at, v.Step, own, p, v.Rack, hand)
				}
				if hand != "" && nearestOf(v.Rack) != hand {
					changed++
				}
			},
			turns: func(v table.View, a table.Action) {
				choose(v.Rack())
				if want := like.Turn(v); want.String() != a.String() {
					t.Errorf("%s: %s, not %s, with %s", at, a, want, hand)
				}
			},
		})
		if changed == 0 && at != "last-right" {
			t.Errorf("%s: the hand that was chosen always stays the nearest: the test shows nothing", at)
		}
	}
}

func TestRulesThatCannotBe(t *testing.T) {
	for description, says := range map[string]string{
		"strong+no-pairs at noon":                                     `"noon" is no step`,
		"strong+no-pairs when wind 3":                                 `found "wind 3"`,
		"strong+no-pairs when pairs 3..1":                             `found "pairs 3..1"`,
		"strong+no-pairs when pairs":                                  `found "pairs"`,
		"strong+joker-bait at courtesy":                               "not about one decision of the passing",
		"strong+stop=always at first-right":                           "never holds: the vote is at first-left",
		"strong+blind=never at second-left":                           "never holds",
		"strong+courtesy=0 at first-left":                             "never holds",
		"strong+luck at first-left":                                   `no rule "luck"`,
		"strong+keep=F0+give=0":                                       "keep=F0 and give=0 contradict each other",
		"strong+keep-flowers at first-right+give=F":                   "contradict each other: a tile that is never passed",
		"strong+one-of-each+together":                                 "contradict each other",
		"strong+stop=always when jokers 2..3+stop=never when pairs 1": "both say how to vote",
		"strong+courtesy=1+courtesy=2 when away 3":                    "both say how many tiles to offer",
		"strong+aim nearest at noon":                                  `"noon" is no step`,
		"strong+aim nearest":                                          "right would be aim nearest at deal",
		"strong+aim nearest at deal+aim=Runs":                         "the rule aim twice",
	} {
		if err := cast(t).Check(description); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v; it should say %q", description, err, says)
		}
	}
	for _, description := range []string{
		"strong+keep-flowers at first-right+give=F at first-left", "strong+stop=always when jokers 2..3+stop=never when jokers 0..1", "strong+no-pairs+together",
	} {
		if err := cast(t).Check(description); err != nil {
			t.Errorf("%s: %v", description, err)
		}
	}
}
