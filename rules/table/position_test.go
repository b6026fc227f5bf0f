package table

import (
	"strings"
	"testing"

	"secondpass/rules/tile"
)

func TestPositionRefuses(t *testing.T) {
	base := layout{phase: Discarding, turn: east, open: quads{"222c J"}, racks: quads{"FF"}}
	tests := []struct {
		name   string
		at     layout
		change func(p *Position)
		want   string
	}{
		{"no phase", base, func(p *Position) { p.Phase = Over }, "a position waits for a seat to discard"},
		{"a tile gone", base, func(p *Position) { p.Wall = p.Wall[1:] }, "in all, but the set has"},
		{"a tile in the wall that does not exist", base, func(p *Position) { p.Wall[0] = tile.Kinds }, "does not exist"},
		{"a discard by no seat", base, func(p *Position) { p.Discards = []Discarded{{Seat: 7}} }, "does not exist"},
		{"a rack too large", base, func(p *Position) { p.Racks[south][p.Wall[0]]++; p.Wall = p.Wall[1:] }, "South has 14 tiles in all; 13 are right"},
		{"the wrong turn", base, func(p *Position) { p.Turn = south }, "East has 14 tiles in all; 13 are right"},
		{"a group of two", base, func(p *Position) { p.Open[east][0].Size = 2 }, "East has an open group that nobody can have claimed: 2 of 2c"},
		{"a group of jokers", base, func(p *Position) { p.Open[east][0].Jokers = 4 }, "nobody can have claimed: 4 of 2c with 4 jokers"},
		{"a dead hand in turn", layout{phase: Discarding, turn: east, open: quads{"99b J"}}, nil, "East is to act, but its hand is dead"},
		{"a dead hand that claimed", layout{phase: Discarding, turn: east, open: quads{"", "99b J,99c J"}}, nil,
			"South has laid a group open with a hand that was dead"},
		{"no discard", layout{phase: Claiming, turn: east}, nil, "no discard is there to be answered"},
		{"a joker discarded", layout{phase: Claiming, turn: east, discards: "5b J"}, nil, "but the last on the table is J of East"},
		{"the discard of another", layout{phase: Claiming, turn: east, discards: "5b"}, func(p *Position) { p.Turn = south },
			"South's last discard is to be answered, but the last on the table is 5b of East"},
		{"nobody to answer", layout{phase: Claiming, turn: east, discards: "5b", open: quads{"", "99b J", "99c J", "99d J"}}, nil,
			"all other hands are dead"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			p := tt.at.position(t, trial().Set())
			if tt.change != nil {
				if _, err := trial().At(p); err != nil {
					t.Fatalf("refused without the change: %v", err)
				}
				tt.change(&p)
			}
			if _, err := trial().At(p); err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("error %v, want %q", err, tt.want)
			}
		})
	}
}

// A dead hand may have been found dead before or after its discard: with 13 tiles or 14.
func TestPositionOfDeadHand(t *testing.T) {
	p := layout{phase: Discarding, turn: east, open: quads{"", "99b J"}}.position(t, trial().Set())
	s, err := trial().At(p)
	if err != nil || !s.View(east).Dead(south) {
		t.Error(err)
	}
	p.Racks[south][p.Wall[0]]++
	p.Wall = p.Wall[1:]
	if _, err := trial().At(p); err != nil {
		t.Error(err)
	}
	p.Racks[south][p.Wall[0]]++
	p.Wall = p.Wall[1:]
	if _, err := trial().At(p); err == nil || err.Error() != "South has 15 tiles in all; 13 are right" {
		t.Error(err)
	}
}

func TestRedealRefuses(t *testing.T) {
	// South has taken a joker from East's group before all eyes.
	s := layout{phase: Discarding, turn: south, racks: quads{"", "2c 3c"}, open: quads{"22c JJ"}}.state(t, trial())
	if err := s.Apply(act(t, "S exchanges 2c for a joker of E")); err != nil {
		t.Fatal(err)
	}
	if n := s.View(east).Jokers(south); n != 1 {
		t.Fatalf("South is known to hold %d jokers", n)
	}
	tests := []struct {
		name   string
		change func(racks *[4]tile.Rack, wall *[]tile.Kind)
		want   string
	}{
		{"another wall", func(_ *[4]tile.Rack, wall *[]tile.Kind) { *wall = (*wall)[1:] }, "tiles in the wall;"},
		{"another size", func(racks *[4]tile.Rack, _ *[]tile.Kind) { racks[west][tile.Flower]++ }, "West has 14 concealed tiles; 13 are right"},
		{"other tiles", func(_ *[4]tile.Rack, wall *[]tile.Kind) { (*wall)[0] = (*wall)[0] + 1 }, "are hidden from East, not"},
		{"no such tile", func(_ *[4]tile.Rack, wall *[]tile.Kind) { (*wall)[0] = 200 }, "does not exist"},
		{"a joker lost", func(racks *[4]tile.Rack, wall *[]tile.Kind) {
			racks[south][tile.Joker]--
			racks[south][(*wall)[0]]++
			(*wall)[0] = tile.Joker
		}, "South has 0 jokers, but all have seen it take 1"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var racks [4]tile.Rack
			for seat := range racks {
				racks[seat] = s.racks[seat]
			}
			wall := s.Wall()
			tt.change(&racks, &wall)
			after := s
			if err := after.Redeal(east, &racks, wall); err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("error %v, want %q", err, tt.want)
			}
			if after != s {
				t.Error("the state changed")
			}
		})
	}
	// What is taken in exchange can be laid open or discarded, and is then no longer known.
	if err := s.Apply(act(t, "S discards J")); err != nil {
		t.Fatal(err)
	}
	if n := s.View(east).Jokers(south); n != 0 {
		t.Errorf("South is still known to hold %d jokers", n)
	}
}
