package advice

import (
	"math"
	"testing"

	"secondpass/engine/fit"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// four is a card of which near ways can be counted by hand.
func four(t *testing.T) *card.Card {
	t.Helper()
	c, _, err := card.Read("four.card", []byte("card Four\nsection Evens\n25 exposed FFF 22b 444c 66d 8888b\n25 concealed 22x 44x 66x 88x FFF NN S ; no jokers\nsection Odds\n25 exposed 11c 333c 5c 11111d 333b\n25 exposed NNNNN EEE WW SSSS\n"), tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func passesOf(t *testing.T, c *card.Card, rack string, passes ...string) []Facts {
	t.Helper()
	solo := charleston.NewSolo(charleston.South, tile.MustParse(rack), house.Usual.Passing, nil)
	var actions []charleston.Action
	for _, text := range passes {
		own, err := charleston.ParcelOf(tile.MustParse(text).Tiles()...)
		if err != nil {
			t.Fatal(err)
		}
		actions = append(actions, charleston.Action{Kind: charleston.Pass, Own: own, Count: charleston.PassTiles - own.Len()})
	}
	return FactsOf(c, solo.View(), actions)
}

func find(points []Point, k PointKind) *Point {
	for i := range points {
		if points[i].Kind == k {
			return &points[i]
		}
	}
	return nil
}

// both checks that a point is said of x beside y, that its mirror is said of y beside x, and not of x beside itself.
func both(t *testing.T, x, y *Facts, k PointKind, wantFor bool) *Point {
	t.Helper()
	p, mirror := find(Contrast(x, y), k), find(Contrast(y, x), k)
	switch {
	case p == nil || mirror == nil:
		t.Fatalf("point %d is not said both ways: %+v, %+v", k, p, mirror)
	case (p.Weight > 0) != wantFor || math.Abs(p.Weight+mirror.Weight) > 1e-9:
		t.Errorf("point %d weighs %v and %v", k, p.Weight, mirror.Weight)
	case find(Contrast(x, x), k) != nil:
		t.Errorf("point %d is said of two alike", k)
	}
	return p
}

// By hand, for FF 22b 44c 888b NN 3d 9c: Evens 1 lacks F 4c 66d 8b, 5 away; Evens 2 in bams has FF 22 88 NN and is 6 away,
// in craks or dots it is 8 away or more; Odds 1 and 2 are far. So two ways are near.
func TestFactsOfPasses(t *testing.T) {
	c := four(t)
	f := passesOf(t, c, "FF 22b 44c 888b NN 3d 9c", "8b 3d 9c", "N 3d 9c", "22b 3d", "NN 9c")
	for i, want := range []struct{ near, lost, nearest, lostNearest int }{{2, 1, 1, 1}, {2, 1, 1, 0}, {2, 2, 1, 1}, {2, 1, 1, 0}} {
		if f[i].Near != want.near || f[i].Lost != want.lost || f[i].Nearest != want.nearest || f[i].LostNearest != want.lostNearest {
			t.Errorf("pass %d: %d of %d near ways lost, %d of %d nearest; %+v is right", i, f[i].Lost, f[i].Near, f[i].LostNearest, f[i].Nearest, want)
		}
	}
	if got := f[0].Spare.String(); got != "9c 3d" {
		t.Errorf("%s is spare in every near way", got)
	}
	p := both(t, &f[1], &f[2], PointWays, true)
	if p.Here != 1 || p.There != 2 || p.Of != 2 {
		t.Errorf("ways %+v", p)
	}
	if p := both(t, &f[0], &f[1], PointHand, false); p.Hand.Hand != 0 || p.Here != 6 || p.There != 5 {
		t.Errorf("hand %+v", p)
	}
	if p := both(t, &f[0], &f[1], PointBreaks, false); p.Tiles.String() != "888b" {
		t.Errorf("breaks %s", p.Tiles)
	}
	both(t, &f[2], &f[1], PointGift, false)
	if find(Contrast(&f[0], &f[1]), PointGift) != nil {
		t.Error("scattered tiles are called a gift")
	}
	// The pair of 2b takes Evens 1 to 7 and Evens 2 to 8 away: neither is hopeless, which is three behind the nearest.
	if len(f[2].GivenUp) != 0 {
		t.Errorf("one further is called given up: %v", f[2].GivenUp)
	}
}

// A hand is given up only where it falls three behind the nearest, and the switch names both.
func TestGivenUpAndSwitched(t *testing.T) {
	c := four(t)
	// Odds 1 has 11 33 5 of craks and Odds 2 has NN EE W: 9 away both.
	f := passesOf(t, c, "1133c 5c NN EE W 3d 7d 9d", "NNE", "379d", "113c")
	for i, want := range []int{1, 0, 1} {
		if len(f[i].GivenUp) != want {
			t.Errorf("pass %d gives up %v of %+v", i, f[i].GivenUp, f[i].Before)
		}
	}
	both(t, &f[0], &f[1], PointGivesUp, false)
	var from *Facts
	for i := range f {
		if f[i].After.Hand != f[i].Before.Hand {
			from = &f[i]
		}
	}
	if from == nil {
		t.Fatal("no pass switches")
	}
	p := find(Contrast(from, &f[1]), PointSwitch)
	if p == nil || p.Hand.Hand != from.Before.Hand || p.To.Hand != from.After.Hand || p.There <= p.Here {
		t.Errorf("switch %+v", p)
	}
	if find(Contrast(&f[1], from), PointSwitch) != nil {
		t.Error("a pass that stays is called a switch")
	}
}

// A blind tile is one bargain with the ways that it saves.
func TestBlindBargain(t *testing.T) {
	f := passesOf(t, four(t), "FF 22b 44c 888b NN 3d 9c", "N 3d 9c", "3d 9c", "22b", "2b 3d", "22b 3d")
	p := both(t, &f[1], &f[4], PointBlind, true) // two of two near ways for one tile unseen
	if p.Here != 1 || p.There != 2 || p.Of != 2 {
		t.Errorf("bargain %+v", p)
	}
	if find(Contrast(&f[4], &f[1]), PointWays) != nil {
		t.Error("the ways are said beside the bargain that has them")
	}
	if p := find(Contrast(&f[2], &f[3]), PointBlind); p != nil && p.Weight != 0 {
		t.Errorf("equal numbers are a bargain: %+v", p)
	}
	both(t, &f[3], &f[0], PointBlind, false) // one tile unseen saves nothing
}

// Votes and offers go by what is missing and what is spare.
func TestContrastMore(t *testing.T) {
	c := four(t)
	for rack, goOn := range map[string]bool{"FF 2b 4c 8b NN 3d 9c 1d 5d 7d W": true, "FFF 22b 444c 66d 88b 9d": false} {
		solo := charleston.NewSolo(charleston.South, tile.MustParse(rack), house.Usual.Passing, nil)
		f := FactsOf(c, solo.View(), []charleston.Action{{Kind: charleston.Vote}, {Kind: charleston.Vote, Stop: true}})
		both(t, &f[0], &f[1], PointMissing, goOn)
		f = FactsOf(c, solo.View(), []charleston.Action{{Kind: charleston.Name, Count: 3}, {Kind: charleston.Name}})
		both(t, &f[0], &f[1], PointSpare, goOn)
	}
}

// reading is a made-up one of a hand of the card.
func reading(c *card.Card, variant, away, singles int) fit.Reading {
	return fit.Reading{Card: c, Hand: c.Variants[variant].Hand, Variant: variant, Away: away, MissingSingles: singles}
}

func TestContrastSections(t *testing.T) {
	c := four(t)
	solo := charleston.NewSolo(charleston.South, tile.MustParse("FF 22b 44c 888b NN 3d 9c"), house.Usual.Passing, nil)
	f, err := FactsOfSections(c, solo.View(), []string{"Evens", "Odds"})
	if err != nil || f[0].After.Away != 5 || f[0].Left != 2 || f[0].After.MissingSingles != 2 {
		t.Fatalf("%+v, %v", f, err)
	}
	x := Facts{Section: "A", After: reading(c, 0, 5, 1), Left: 12, Alive: 20}
	y := Facts{Section: "B", After: reading(c, 1, 5, 4), Left: 3, Alive: 8}
	for _, k := range []PointKind{PointPairs, PointConcealed, PointChoice, PointAlive} {
		both(t, &x, &y, k, true)
	}
	y.Alive = 14 // not half as many again
	if find(Contrast(&x, &y), PointAlive) != nil {
		t.Error("20 and 14 tiles are told apart")
	}
}

func TestContrastPlay(t *testing.T) {
	c := four(t)
	x := Facts{InPlay: true, After: reading(c, 0, 3, 1), Left: 12, Near: 12, Given: tile.RackOf(tile.North)}
	y := Facts{InPlay: true, After: reading(c, 0, 4, 1), Left: 3, Near: 12, Lost: 6, Given: tile.RackOf(tile.East), Asked: .8, Asker: charleston.West, Exchangeable: true, Shown: table.Exposure{Jokers: 1}}
	for _, k := range []PointKind{PointNearer, PointChoice, PointWays, PointAsked, PointExchange, PointShows} {
		both(t, &x, &y, k, true)
	}
	y.Asked = .4
	if find(Contrast(&x, &y), PointAsked) != nil {
		t.Error("a tile in fewer than half of the ways is said to be asked for")
	}
	dead, wins := Facts{InPlay: true, Dead: true}, Facts{InPlay: true, Wins: true}
	both(t, &x, &dead, PointDead, true)
	both(t, &wins, &x, PointWins, true)
}

// Two points are said, those that speak the same way first.
func TestSaid(t *testing.T) {
	for _, test := range []struct {
		weights []float64
		second  float64
	}{{[]float64{1, -.4, .3}, .3}, {[]float64{1, -.6, .3}, -.6}, {[]float64{-1, .2, -.1}, -.1}} {
		var points []Point
		for _, w := range test.weights {
			points = append(points, Point{Weight: w})
		}
		if said := Said(points); len(said) != 2 || said[1].Weight != test.second {
			t.Errorf("%v: %+v", test.weights, said)
		}
	}
}
