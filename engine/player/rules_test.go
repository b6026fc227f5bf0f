package player_test

import (
	"strings"
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// spy notes what its player does in the passing and in play.
type spy struct {
	player.Player
	passes func(v *charleston.View, own charleston.Parcel, blind int)
	stops  func(bool)
	offers func(int)
	turns  func(v table.View, a table.Action)
}

func (s *spy) Pass(v *charleston.View) (charleston.Parcel, int) {
	own, blind := s.Player.Pass(v)
	s.passes(v, own, blind)
	return own, blind
}

func (s *spy) Give(v *charleston.View) charleston.Parcel {
	p := s.Player.Give(v)
	s.passes(v, p, 0)
	return p
}

func (s *spy) Stop(v *charleston.View) bool {
	stop := s.Player.Stop(v)
	s.stops(stop)
	return stop
}

func (s *spy) Offer(v *charleston.View) int {
	n := s.Player.Offer(v)
	s.offers(n)
	return n
}

func (s *spy) Turn(v table.View) table.Action {
	a := s.Player.Turn(v)
	s.turns(v, a)
	return a
}

// watch plays games of a player, held to rules or not, among three others and lets a spy see what it does.
func watch(t *testing.T, description string, games int, s spy) {
	t.Helper()
	c := cast(t)
	if s.passes == nil {
		s.passes = func(*charleston.View, charleston.Parcel, int) {}
	}
	if s.stops == nil {
		s.stops = func(bool) {}
	}
	if s.offers == nil {
		s.offers = func(int) {}
	}
	if s.turns == nil {
		s.turns = func(table.View, table.Action) {}
	}
	s.Player = maker(t, c, description)()
	tables := sim.Tables{Game: table.NewGame(card.Practice(), house.Usual)}
	for i := range tables.Players {
		tables.Players[i] = maker(t, c, "nearest+stop=never")()
	}
	for n := range uint64(games) {
		tables.Players[1] = &s
		if _, err := tables.Play(21, n); err != nil {
			t.Fatal(err)
		}
	}
}

// canKeep says whether a rack has a parcel of n naturals that keeps to a rule.
func canKeep(rack tile.Rack, n int, keeps func(charleston.Parcel) bool) bool {
	for _, p := range charleston.Parcels(rack, n) {
		if keeps(p) {
			return true
		}
	}
	return false
}

func noFlower(p charleston.Parcel) bool { return p.Rack()[tile.Flower] == 0 }

func noPair(p charleston.Parcel) bool {
	for _, n := range p.Rack() {
		if n > 1 {
			return false
		}
	}
	return true
}

func oneOfEach(p charleston.Parcel) bool {
	seen := map[tile.Suit]bool{}
	for _, k := range p.Tiles() {
		s, ranked := k.Suit()
		if !ranked || seen[s] {
			return false
		}
		seen[s] = true
	}
	return true
}

// A rule on passes is kept whenever some parcel keeps it; the same player without the rule breaks it now and
// then, so that the rule is what does it.
func TestRulesOnPasses(t *testing.T) {
	for _, row := range []struct {
		rule  string
		keeps func(charleston.Parcel) bool
	}{{"keep-flowers", noFlower}, {"no-pairs", noPair}, {"one-of-each", oneOfEach}} {
		for _, name := range []string{"random", "nearest", "thumb", "strong+aim=Runs"} {
			broken := 0
			watch(t, name, 60, spy{passes: func(_ *charleston.View, own charleston.Parcel, _ int) {
				if !row.keeps(own) {
					broken++
				}
			}})
			if broken == 0 && name == "random" {
				t.Errorf("%s never breaks %s of itself: the test shows nothing", name, row.rule)
			}
			watch(t, name+"+"+row.rule, 60, spy{passes: func(v *charleston.View, own charleston.Parcel, _ int) {
				if !row.keeps(own) && canKeep(v.Rack, own.Len(), row.keeps) {
					t.Errorf("%s+%s passes %s of %s", name, row.rule, own, v.Rack)
				}
			}})
		}
	}
}

// Where the rules together cannot be kept, flowers are still kept back.
func TestRulesFallBack(t *testing.T) {
	bound := player.UnderOf(player.Rules{KeepFlowers: true, OneOfEach: true, NoPairs: true}, card.Practice())
	for _, row := range []struct{ rack, want string }{
		{"11112222333b FF", "123b"},
		{"FFFFFFFF J NNNN", "NNN"},
		{"FFFFFFFF JJJJ N", "N FF"},
	} {
		r, err := tile.Parse(row.rack, tile.Usual)
		if err != nil {
			t.Fatal(err)
		}
		own, blind := bound.Pass(&charleston.View{Rack: r, Step: charleston.FirstRight, Phase: charleston.Passing})
		if own.Rack()[tile.Flower] > 0 && row.want != "N FF" || own.Len() != 3 || blind != 0 || !r.Contains(own.Rack()) {
			t.Errorf("of %s it passes %s and %d blind", row.rack, own, blind)
		}
		if strings.Contains(row.want, "N") && own.String() != row.want {
			t.Errorf("of %s it passes %s, not %s", row.rack, own, row.want)
		}
	}
}

func TestRulesOnDecisions(t *testing.T) {
	blinds := func(want int) spy {
		return spy{passes: func(v *charleston.View, own charleston.Parcel, blind int) {
			if v.Phase == charleston.Passing && v.Step.BlindAllowed() && blind != want {
				t.Errorf("%d blind, not %d", blind, want)
			}
		}}
	}
	watch(t, "strong+blind=never", 30, blinds(0))
	watch(t, "nearest+blind=always", 30, blinds(3))
	watch(t, "thumb+blind=2", 30, blinds(2))
	watch(t, "strong+stop=always", 30, spy{stops: func(stop bool) {
		if !stop {
			t.Error("goes on")
		}
	}})
	watch(t, "thumb+stop=never", 30, spy{stops: func(stop bool) {
		if stop {
			t.Error("stops")
		}
	}})
	for n := range 4 {
		watch(t, "strong+courtesy="+string(rune('0'+n)), 30, spy{offers: func(got int) {
			if got != n {
				t.Errorf("offers %d, not %d", got, n)
			}
		}})
	}
	// Blind when few are spare: never with a bound below the fewest there can be, and more often the higher it is.
	counts := map[string]int{}
	for _, rule := range []string{"blind-when=0", "blind-when=1", "blind-when=3"} {
		watch(t, "nearest+"+rule, 100, spy{passes: func(v *charleston.View, _ charleston.Parcel, blind int) {
			if blind == 3 {
				counts[rule]++
			}
		}})
	}
	if !(counts["blind-when=0"] <= counts["blind-when=1"] && counts["blind-when=1"] < counts["blind-when=3"]) {
		t.Errorf("blind passes by the bound: %v", counts)
	}
}

// Joker bait: while the wall is long no spare pair is broken as long as a single tile is spare, and late spare pairs go
// first; the player without the rule breaks pairs more often early.
func TestJokerBait(t *testing.T) {
	early := map[string]int{}
	late := map[string]int{}
	for _, name := range []string{"flexible", "flexible+joker-bait"} {
		watch(t, name, 200, spy{turns: func(v table.View, a table.Action) {
			if rack := v.Rack(); a.Kind == table.Discard && rack[a.Tile] >= 2 && a.Tile != tile.Joker {
				if v.WallLeft() > 50 {
					early[name]++
				} else {
					late[name]++
				}
			}
		}})
	}
	if early["flexible+joker-bait"] >= early["flexible"] || late["flexible+joker-bait"] <= late["flexible"] {
		t.Errorf("pairs broken early %v, late %v", early, late)
	}
}

func TestWrongDescriptions(t *testing.T) {
	c := cast(t)
	for description, want := range map[string]string{
		"champion":              "random, nearest, flexible, thumb, strong",
		"":                      "random, nearest",
		"strong+bold":           "keep-flowers",
		"strong+blind=4":        "blind=never|always|1|2|3",
		"strong+courtesy=x":     "courtesy=0..3",
		"strong+aim=Nonesuch":   "Nonesuch",
		"strong+passes=someone": "someone",
	} {
		if _, err := c.Player(description); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, which does not say %q", description, err, want)
		}
	}
}
