package table

import (
	"math/rand/v2"
	"strings"
	"testing"

	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

func TestStartRefuses(t *testing.T) {
	racks, wall := Deal(tile.Usual, rand.New(rand.NewPCG(1, 1)))
	if _, err := trial().Start(racks, wall); err != nil {
		t.Fatal(err)
	}
	if _, err := trial().Start(racks, wall[1:]); err == nil || !strings.Contains(err.Error(), "in all, but the set has") {
		t.Error(err)
	}
	racks[east], racks[west] = racks[west], racks[east]
	if _, err := trial().Start(racks, wall); err == nil || err.Error() != "East has 13 tiles in all; 14 are right" {
		t.Error(err)
	}
	// No house rule makes so large a set, but a card can be made with any.
	set := tile.Usual
	set[tile.Flower] += maxTiles + 1 - 152
	g := NewGame(&card.Card{Set: set}, house.Usual)
	racks, wall = Deal(set, rand.New(rand.NewPCG(1, 1)))
	if _, err := g.Start(racks, wall); err == nil || err.Error() != "a set of 173 tiles: at most 172 can be played with" {
		t.Error(err)
	}
}

// A card on which no hand stands yet can be played with: nobody can win, and every claim kills a hand.
func TestEmptyCard(t *testing.T) {
	g := NewGame(&card.Card{Set: tile.Usual}, house.Usual)
	rng := rand.New(rand.NewPCG(2, 1))
	s, err := g.Start(Deal(tile.Usual, rng))
	if err != nil {
		t.Fatal(err)
	}
	for s.phase != Over {
		if err := throwAny(&s, rng); err != nil {
			t.Fatal(err)
		}
		for seat := range charleston.Seat(charleston.Seats) {
			if s.phase != Claiming || !s.Waits(seat) {
				continue
			}
			if legal := s.Legal(seat); len(legal) != 1 || legal[0].Kind != Decline {
				t.Fatalf("%v", legal)
			}
			a := Action{Seat: seat, Kind: Expose, Tile: s.waiting(), Size: 3, Jokers: 1}
			if s.check(a) != nil {
				a = Action{Seat: seat, Kind: Decline}
			}
			if err := s.Apply(a); err != nil {
				t.Fatal(err)
			}
		}
		checkState(t, &s)
	}
	if s.ending != WallGame || s.dead == [charleston.Seats]bool{} {
		t.Errorf("%+v, dead %v", s.Result(), s.dead)
	}
}

// Tiles are dealt in any order alike: the first and the last of the wall are of each kind as often as the set
// has it. Chi-square with 35 degrees of freedom exceeds 80 once in 50,000 times.
func TestDealIsFair(t *testing.T) {
	const n = 20_000
	rng := rand.New(rand.NewPCG(3, 1))
	var first, last [tile.Kinds]int
	for range n {
		_, wall := Deal(tile.Usual, rng)
		first[wall[0]]++
		last[wall[len(wall)-1]]++
	}
	for name, seen := range map[string][tile.Kinds]int{"first": first, "last": last} {
		chi := 0.0
		for k, m := range seen {
			expected := n * float64(tile.Usual[k]) / 152
			chi += (float64(m) - expected) * (float64(m) - expected) / expected
		}
		if chi > 80 {
			t.Errorf("the %s tile of the wall: chi-square %.1f", name, chi)
		}
	}
}
