package table

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"secondpass/rules/charleston"
)

const (
	east  = charleston.East
	south = charleston.South
	west  = charleston.West
	north = charleston.North
)

// quads are four racks or fronts in the order of play.
type quads = [charleston.Seats]string

// Every rule of play and how it is broken. legal: the action is one that Legal lists; mistake: Apply takes it
// and the hand is dead; otherwise it is refused with the text given.
func TestRules(t *testing.T) {
	// East discards 2c; South can make it a kong of the first hand, West wins with it, North has a pair.
	claims := layout{phase: Claiming, turn: east, discards: "2c",
		racks: quads{"", "22c JJ FF 99d 4d 5d", "FF 1111b 3333d JJJ", "2c NN"}}
	// East has drawn; South and East have groups open, East with a joker of its own.
	turn := layout{phase: Discarding, turn: east,
		open:  quads{"2222c", "NN J"},
		racks: quads{"FF 111b J 333d N", "N"}}
	// The same, with the hand complete.
	full := turn
	full.racks = quads{"FF 111b J 3333d", "N"}
	// East has a concealed hand that waits for North's discard.
	concealed := layout{phase: Claiming, turn: north, discards: "5c", racks: quads{"55444c 777c 888c 99c"}}
	// South plays a hand that takes no jokers and has one group of it open.
	bare := func(discard, rack string) layout {
		return layout{phase: Claiming, turn: north, discards: discard, racks: quads{"", rack}, open: quads{"", "777b"}}
	}
	dealt := func(rack string) layout { return layout{phase: Discarding, turn: east, racks: quads{rack}} }

	tests := []struct {
		rule, name string
		at         layout
		do         string
		want       string
	}{
		{"Play 1", "discard from the rack", turn, "E discards N", "legal"},
		{"Play 1", "discard a joker", turn, "E discards J", "legal"},
		{"Play 1", "discard a tile of an open group", turn, "E discards 2c", "East: 2c is not in the rack"},
		{"Play 1", "discard out of turn", turn, "S discards N", "it is East's turn, not South's"},
		{"Play 1", "declare a complete hand", full, "E declares mahjong", "legal"},
		{"Play 1", "declare an incomplete hand", turn, "E declares mahjong", "East: the fourteen tiles make no hand of the card"},
		{"Play 1", "discard before the claims are in", claims, "E discards 1b", "East: the discard of 2c waits for an answer"},
		{"Play 2", "decline", claims, "N declines", "legal"},
		{"Play 2", "decline the own discard", claims, "E declines", "nobody answers the own discard"},
		{"Play 2", "claim where nothing is discarded", turn, "S claims 2c: 2c JJ", "South: no discard waits for an answer"},
		{"Play 2", "claim a kong", claims, "S claims 2c: 222c J", "legal"},
		{"Play 2", "claim a kong with jokers in place of a natural", claims, "S claims 2c: 22c JJ", "legal"},
		{"Play 2", "claim a pung where the hand has a kong", claims, "S claims 2c: 222c", "mistake"},
		{"Play 2", "claim a pair", claims, "N claims 2c: 22c", "North: a group of 2 is never claimed, only one of 3 to 6"},
		{"Play 2", "claim a single", claims, "N claims 2c: 2c", "North: a group of 1 is never claimed"},
		{"Play 2", "claim a group of jokers alone", claims, "S claims 2c: JJJ", "South: beside the claimed tile a group of 3 has no room for 3 jokers"},
		{"Play 2", "claim without the jokers", claims, "N claims 2c: 22c JJ", "North: the group needs 2 of J from the rack, which has 0"},
		{"Play 2", "claim without the naturals", claims, "N claims 2c: 222c", "North: the group needs 2 of 2c from the rack, which has 1"},
		{"Play 2", "claim for mahjong", claims, "W claims 2c: mahjong", "legal"},
		{"Play 2", "claim for mahjong what completes nothing", claims, "S claims 2c: mahjong", "South: with 2c the tiles make no hand of the card"},
		{"Play 2", "last tile of a concealed hand", concealed, "E claims 5c: mahjong", "legal"},
		{"Play 2", "a group of a concealed hand", concealed, "E claims 5c: 555c", "mistake"},
		{"Play 2", "last tile, a single", bare("R", "888d 111c NEWS"), "S claims R: mahjong", "legal"},
		{"Play 2", "a group of a hand without jokers", bare("8d", "88d 11c NEWS J"), "S claims 8d: 888d", "legal"},
		{"Play 5", "a joker in a group of a hand without jokers", bare("8d", "88d 11c NEWS J"), "S claims 8d: 88d J", "mistake"},
		{"Play 5", "a joker lies in another group of a hand without jokers", layout{phase: Claiming, turn: north, discards: "8d",
			racks: quads{"", "88d 11c NEWS"}, open: quads{"", "77b J"}}, "S claims 8d: 888d", "mistake"},
		{"Play 3", "a tile added to an open group", layout{phase: Claiming, turn: north, discards: "N", open: quads{"", "NN J"}},
			"S claims N: N", "South: a group of 1 is never claimed"},
		{"Play 3", "a group beside another", layout{phase: Claiming, turn: north, discards: "E",
			racks: quads{"", "EE"}, open: quads{"", "NN J"}}, "S claims E: EEE", "legal"},
		{"Play 4", "own natural for another's joker", turn, "E exchanges N for a joker of S", "legal"},
		{"Play 4", "for a joker in no group of that kind", turn, "E exchanges 3d for a joker of S", "East: South has no joker in an open group of 3d"},
		{"Play 4", "where the group has no joker", turn, "E exchanges N for a joker of W", "East: West has no joker in an open group of N"},
		{"Play 4", "a tile that is not in the rack", turn, "E exchanges 2c for a joker of E", "East: 2c is not in the rack"},
		{"Play 4", "a joker for a joker", turn, "E exchanges J for a joker of S", "East: only a natural tile takes the place of a joker"},
		{"Play 4", "out of turn", turn, "S exchanges N for a joker of S", "it is East's turn, not South's"},
		{"Play 4", "before a claim", claims, "S exchanges N for a joker of S", "South: the discard of 2c waits for an answer"},
		{"Play 5", "a kong of jokers", dealt("NNN EEE WW JJJJ RR"), "E declares mahjong", "legal"},
		{"Play 5", "a joker in a pair", dealt("NNN EEE WW SSSS R J"), "E declares mahjong", "make no hand"},
		{"Play 5", "a joker as a single", dealt("NEWS 13579b 1357c J"), "E declares mahjong", "make no hand"},
		{"Play 5", "a joker in a hand without jokers", dealt("777b 888d 11c J NEWS R"), "E declares mahjong", "make no hand"},
		{"Play 6", "a dead hand claims", layout{phase: Claiming, turn: north, discards: "9c",
			racks: quads{"555c 444c 777c 9c"}, open: quads{"88c J"}}, "E claims 9c: mahjong", "East: the hand is dead"},
		{"Play 6", "a joker of a dead hand", layout{phase: Discarding, turn: north,
			racks: quads{"", "", "", "8c"}, open: quads{"88c J"}}, "N exchanges 8c for a joker of E", "legal"},
	}
	for _, tt := range tests {
		t.Run(tt.rule+" "+tt.name, func(t *testing.T) {
			s := tt.at.state(t, trial())
			tryRule(t, s, act(t, tt.do), tt.want)
		})
	}
}

func tryRule(t *testing.T, s State, a Action, want string) {
	t.Helper()
	before, legal := s, slices.Contains(s.Legal(a.Seat), a)
	check := s.Check(a)
	err := s.Apply(a)
	switch want {
	case "legal":
		if !legal || check != nil || err != nil {
			t.Errorf("legal %t, check %v, apply %v", legal, check, err)
		}
	case "mistake":
		if legal || !errors.As(check, new(*Mistake)) || err != nil {
			t.Errorf("legal %t, check %v, apply %v", legal, check, err)
		}
		settleRest(t, &s)
		if !s.View(a.Seat).Dead(a.Seat) {
			t.Error("the hand is not dead")
		}
	default:
		if legal || err == nil || check == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("legal %t, check %v, error %v, want %q", legal, check, err, want)
		}
		if s != before {
			t.Error("the state changed")
		}
	}
}

// settleRest lets all who have not answered decline.
func settleRest(t *testing.T, s *State) {
	t.Helper()
	if err := s.Settle([charleston.Seats]Claim{}); err != nil {
		t.Fatal(err)
	}
}

// Play 2 and 3: who gets a discard that several lay open, and whose turn it is then. North discards,
// so that East would play next.
func TestPriority(t *testing.T) {
	at := layout{phase: Claiming, turn: north, discards: "N", racks: quads{"N J", "N J", "N J"}}
	open, none := Claim{Size: 3, Jokers: 1}, Claim{}
	tests := []struct {
		name       string
		claims     [charleston.Seats]Claim
		turn, next charleston.Seat
		drawn      int
	}{
		{"nobody", [charleston.Seats]Claim{}, east, south, 1},
		{"all", [charleston.Seats]Claim{open, open, open, none}, east, south, 0},
		{"South and West", [charleston.Seats]Claim{none, open, open, none}, south, west, 0},
		{"West alone, so that East and South lose their turn", [charleston.Seats]Claim{none, none, open, none}, west, north, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := at.state(t, trial())
			before := s.View(north).WallLeft()
			if err := s.Settle(tt.claims); err != nil {
				t.Fatal(err)
			}
			if drawn := before - s.View(north).WallLeft(); s.Turn() != tt.turn || s.Phase() != Discarding || drawn != tt.drawn {
				t.Fatalf("%s's turn, phase %d, %d drawn", s.Turn(), s.Phase(), drawn)
			}
			first := s.Rack(tt.turn).Tiles()[0]
			if err := s.Apply(Action{Seat: tt.turn, Kind: Discard, Tile: first}); err != nil {
				t.Fatal(err)
			}
			if settleRest(t, &s); s.Turn() != tt.next {
				t.Errorf("%s plays on, not %s", s.Turn(), tt.next)
			}
		})
	}
}

// Settle refuses as a whole: the state is as before, and who is not asked has no claim.
func TestSettleRefuses(t *testing.T) {
	at := layout{phase: Claiming, turn: north, discards: "N", racks: quads{"N J", "N J"}, open: quads{"", "", "99b J"}}
	open := Claim{Size: 3, Jokers: 1}
	for _, tt := range []struct {
		name   string
		claims [charleston.Seats]Claim
		want   string
	}{
		{"the discarder", [charleston.Seats]Claim{{}, {}, {}, open}, "North: nobody answers the own discard"},
		{"a dead hand", [charleston.Seats]Claim{{}, {}, open, {}}, "West: the hand is dead"},
		{"one of two", [charleston.Seats]Claim{open, {Size: 4, Jokers: 1}, {}, {}}, "South: the group needs 2 of N"},
		{"no hand", [charleston.Seats]Claim{{Mahjong: true}, {}, {}, {}}, "East: with N the tiles make no hand"},
	} {
		s := at.state(t, trial())
		before := s
		if err := s.Settle(tt.claims); err == nil || !strings.Contains(err.Error(), tt.want) || s != before {
			t.Errorf("%s: error %v, changed %t", tt.name, err, s != before)
		}
	}
	s := at.state(t, trial())
	if err := s.Apply(act(t, "S declines")); err != nil {
		t.Fatal(err)
	}
	if err := s.Settle([charleston.Seats]Claim{{}, open}); err == nil || !strings.Contains(err.Error(), "South has answered already") {
		t.Error(err)
	}
	if err := s.Settle([charleston.Seats]Claim{open}); err != nil || s.Turn() != east {
		t.Error(err, s.Turn())
	}
	if err := s.Settle([charleston.Seats]Claim{}); err == nil || err.Error() != "no discard waits for an answer" {
		t.Error(err)
	}
}

func TestPay(t *testing.T) {
	// Worked by hand from the table of docs/rules.md 5.1 and 5.2.
	tests := []struct {
		name              string
		points            int
		winner, discarder charleston.Seat
		joker, holds      bool
		want              [charleston.Seats]int
	}{
		{"on a discard", 25, east, south, true, true, [4]int{100, -50, -25, -25}},
		{"on a discard, no joker", 25, east, south, false, true, [4]int{200, -100, -50, -50}},
		{"on a discard, can hold none", 25, east, south, false, false, [4]int{100, -50, -25, -25}},
		{"self-drawn", 30, west, west, true, true, [4]int{-60, -60, 180, -60}},
		{"self-drawn, no joker", 30, west, west, false, true, [4]int{-120, -120, 360, -120}},
		{"self-drawn, can hold none", 50, north, north, false, false, [4]int{-100, -100, -100, 300}},
		{"from the left", 40, north, west, true, true, [4]int{-40, -40, -80, 160}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := Pay(tt.points, tt.winner, tt.discarder, tt.joker, tt.holds); got != tt.want {
				t.Errorf("%v, want %v", got, tt.want)
			}
		})
	}
}

// Of several variants that the tiles complete the one counts that pays the winner most.
func TestBestVariant(t *testing.T) {
	tests := []struct {
		name, racks, hand string
		net               int
	}{
		// Open 2 counts 25 and is doubled without a joker, Same 1 counts 30 and can hold none.
		{"doubled", "111b 222b 666b 444b 55b", "Open 2", 25 * 2 * 2 * 3},
		{"with a joker only one is left", "111b 222b 666b 44b J 55b", "Open 2", 25 * 2 * 3},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r, ok := trial().DealtWin(rackOf(tt.racks))
			if !ok {
				t.Fatal("no win")
			}
			c := trial().Card()
			if hand := c.Hands[c.Variants[r.Variant].Hand].Name; hand != tt.hand || r.Net[east] != tt.net || r.Ending != SelfDrawn {
				t.Errorf("%s, %+v; want %s and %d", hand, r, tt.hand, tt.net)
			}
		})
	}
	if r, ok := trial().DealtWin(rackOf("111b 222b 666b 444b 5b N")); ok {
		t.Errorf("a hand that is none wins: %+v", r)
	}
	if r, ok := trial().DealtWin(rackOf("111b 222b 666b 444b 5b")); ok {
		t.Errorf("thirteen tiles win: %+v", r)
	}
}

// Groups that a joker leaves may fit a hand that takes no jokers, which they did not before.
func TestVariantsAfterExchange(t *testing.T) {
	s := layout{phase: Discarding, turn: east, racks: quads{"1b"}, open: quads{"", "11b J"}}.state(t, trial())
	name := func() string {
		var names []string
		for _, v := range s.View(east).Variants(south) {
			c := trial().Card()
			names = append(names, c.Hands[c.Variants[v].Hand].Name)
		}
		return fmt.Sprint(names)
	}
	if got := name(); got != "[Open 1 Open 2]" {
		t.Errorf("with a joker %s", got)
	}
	if err := s.Apply(act(t, "E exchanges 1b for a joker of S")); err != nil {
		t.Fatal(err)
	}
	if got := name(); got != "[Open 1 Open 2 Same 1]" {
		t.Errorf("without one %s", got)
	}
	if n := len(s.View(east).Variants(west)); n != len(trial().Card().Variants) {
		t.Errorf("with nothing open %d variants", n)
	}
}
