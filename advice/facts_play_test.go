package advice

import (
	"testing"

	"secondpass/engine/prepared"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// laidOut is a table on the card of four hands: South holds a rack, East has NNN JJ open, West 444c, and all else is anywhere.
func laidOut(t *testing.T, phase table.Phase, turn charleston.Seat, south string, discards ...tile.Kind) table.State {
	t.Helper()
	c := four(t)
	p := table.Position{Phase: phase, Turn: turn}
	p.Racks[charleston.South] = tile.MustParse(south)
	p.Open[charleston.East] = []table.Exposure{{Tile: tile.North, Size: 5, Jokers: 2}}
	p.Open[charleston.West] = []table.Exposure{{Tile: tile.Ranked(4, tile.Craks), Size: 3}}
	left := tile.Rack(c.Set).Minus(p.Racks[charleston.South]).Minus(tile.MustParse("NNN JJ 444c"))
	for _, k := range discards {
		p.Discards = append(p.Discards, table.Discarded{Seat: turn, Tile: k})
		left[k]--
	}
	rest := left.Tiles()
	for seat := range p.Racks {
		for p.Racks[seat].Size() < []int{charleston.East: 8, charleston.South: 13, charleston.West: 10, charleston.North: 13}[seat] {
			p.Racks[seat][rest[len(rest)-1]]++
			rest = rest[:len(rest)-1]
		}
	}
	p.Wall = rest
	state, err := prepared.Of(c).Game(house.Usual).At(p)
	if err != nil {
		t.Fatal(err)
	}
	return state
}

// By hand: East's five norths allow Odds 2 alone, which uses E, W and S besides; West's 444c allows Evens 1 alone, which uses F, 2b, 6d
// and 8b. A joker lies open for N.
func TestFactsOfDiscards(t *testing.T) {
	state := laidOut(t, table.Discarding, charleston.South, "FF 22b 88b 9c 5d 7d 1b 3b E N W")
	north, none := tile.North, charleston.Seat(0)
	for _, c := range []struct {
		tile         tile.Kind
		asked        float64
		asker        charleston.Seat
		exchangeable bool
	}{{tile.East, 1, charleston.East, false}, {tile.West, 1, charleston.East, false}, {tile.Ranked(8, tile.Bams), 1, charleston.West, false},
		{tile.Flower, 1, charleston.West, false}, {tile.Ranked(9, tile.Craks), 0, none, false}, {north, 0, none, true}} {
		f, err := FactsOfPlay(state, charleston.South, []table.Action{{Seat: charleston.South, Kind: table.Discard, Tile: c.tile}})
		if err != nil || f[0].Asked != c.asked || c.asked > 0 && f[0].Asker != c.asker || f[0].Exchangeable != c.exchangeable || f[0].Dead || f[0].Wins {
			t.Errorf("%s is asked for by %v (%.2f), a joker lies open for it: %v, %v", c.tile, f[0].Asker, f[0].Asked, f[0].Exchangeable, err)
		}
	}
}

// A claim that leaves a hand of the card keeps the hand alive, another one does not, and one that ends the game wins.
func TestFactsOfClaims(t *testing.T) {
	for _, c := range []struct {
		rack       string
		discard    tile.Kind
		claim      table.Action
		dead, wins bool
	}{
		{"FF 22b 4c 888b 99c 6d 1b 7d", tile.Ranked(8, tile.Bams), table.Action{Kind: table.Expose, Size: 4}, false, false},
		{"FF 22b 4c 888b 99c 6d 1b 7d", tile.Ranked(9, tile.Craks), table.Action{Kind: table.Expose, Size: 3}, true, false},
		{"FFF 22b 4c JJ 66d 888b", tile.Ranked(8, tile.Bams), table.Action{Kind: table.Mahjong}, false, true},
	} {
		state := laidOut(t, table.Claiming, charleston.East, c.rack, c.discard)
		c.claim.Seat, c.claim.Tile = charleston.South, c.discard
		f, err := FactsOfPlay(state, charleston.South, []table.Action{c.claim, {Seat: charleston.South, Kind: table.Decline}})
		if err != nil {
			t.Fatal(err)
		}
		if f[0].Dead != c.dead || f[0].Wins != c.wins || f[1].Dead || f[1].Wins {
			t.Errorf("%s: dead %v, wins %v; let go: dead %v, wins %v", c.discard, f[0].Dead, f[0].Wins, f[1].Dead, f[1].Wins)
		}
		if shown := f[0].Shown.Size; (c.claim.Kind == table.Expose) != (shown > 0) {
			t.Errorf("%s: a group of %d is shown", c.discard, shown)
		}
	}
}

// What may be said where two decisions differ is not said where they do not, and not of less than it says.
func TestPointsAreNotSaid(t *testing.T) {
	c := four(t)
	x := Facts{InPlay: true, After: reading(c, 0, 3, 1), Left: 12, Near: 12, Given: tile.RackOf(tile.North), Alive: 10}
	for name, change := range map[string]func(y *Facts){
		"no hand laid open": func(y *Facts) { y.Asked = askedEnough - .01 },
		"a few more unseen": func(y *Facts) { y.Alive = 14 },
		"the same":          func(*Facts) {},
	} {
		y := x
		change(&y)
		if points := Contrast(&x, &y); len(points) > 0 {
			t.Errorf("%s: %+v", name, points)
		}
	}
	f := passesOf(t, c, "FF 22b 44c 888b NN 3d 9c", "3d 9c N", "3d 9c N", "8b 3d 9c", "8b 9c N")
	for _, k := range []PointKind{PointWays, PointHand, PointBreaks, PointGift, PointGivesUp, PointSwitch, PointBlind} {
		if find(Contrast(&f[0], &f[1]), k) != nil {
			t.Errorf("point %d is said of one pass beside itself", k)
		}
	}
	// Both break the three 8s, and both keep the nearest hand in front.
	for _, k := range []PointKind{PointBreaks, PointSwitch, PointBlind} {
		if p := find(Contrast(&f[2], &f[3]), k); p != nil {
			t.Errorf("point %d is said where both do it: %+v", k, p)
		}
	}
	// Votes of one number differ in nothing.
	solo := charleston.NewSolo(charleston.South, tile.MustParse("FF 2b 4c 8b NN 3d 9c 1d 5d 7d W"), house.Usual.Passing, nil)
	votes := FactsOf(c, solo.View(), []charleston.Action{{Kind: charleston.Name, Count: 3}, {Kind: charleston.Name, Count: 3}})
	if points := Contrast(&votes[0], &votes[1]); len(points) > 0 {
		t.Errorf("one number beside itself: %+v", points)
	}
}
