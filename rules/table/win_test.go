package table

import (
	"math/rand/v2"
	"testing"

	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// nearHand makes fourteen tiles of a variant, some of its groups open and jokers in some places, and then, half the
// time, puts another tile in the place of one that is concealed.
func nearHand(g *Game, rng *rand.Rand) (concealed tile.Rack, f front) {
	v := &g.card.Variants[rng.IntN(len(g.card.Variants))]
	hand := &g.card.Hands[v.Hand]
	for _, group := range v.Groups {
		jokers := 0
		if group.TakesJokers() && hand.Jokers && rng.IntN(3) == 0 {
			jokers = 1 + rng.IntN(group.Size)
		}
		if group.TakesJokers() && !hand.Concealed && rng.IntN(2) == 0 {
			e := Exposure{Tile: group.Kind, Size: uint8(group.Size), Jokers: uint8(min(jokers, group.Size-1))}
			f.add(e, g.extend(&f, e.Tile, e.Size, e.Jokers))
			continue
		}
		concealed[group.Kind] += uint8(group.Size - jokers)
		concealed[tile.Joker] += uint8(jokers)
	}
	if held := concealed.Tiles(); len(held) > 0 && rng.IntN(2) == 0 {
		concealed[held[rng.IntN(len(held))]]--
		by := held[rng.IntN(len(held))]
		if rng.IntN(2) == 0 {
			by = tile.Kind(rng.IntN(tile.Kinds))
		}
		concealed[by]++
	}
	return concealed, f
}

// The quick check of a win finds the variant that the slow one finds.
func TestCompletedAgreesWithSlow(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	won, lost := 0, 0
	for _, g := range []*Game{lantern(), trial()} {
		for range 4000 {
			concealed, f := nearHand(g, rng)
			s := State{game: g, phase: Over, ending: SelfDrawn}
			s.racks[charleston.East], s.open[charleston.East] = concealed, f
			v, ok := g.completed(&concealed, &f)
			slow := slowWins(g.card, concealed, groupsOf(&f))
			if ok != (len(slow) > 0) {
				t.Fatalf("%s | %v: complete %t, slowly %d variants", concealed, groupsOf(&f), ok, len(slow))
			}
			if !ok {
				lost++
				continue
			}
			won++
			s.variant = v
			checkWin(t, &s)
		}
	}
	if won < 1000 || lost < 1000 {
		t.Errorf("%d complete and %d incomplete", won, lost)
	}
}

// A hand may have a kind both in a pair and in a group: a joker stands in the group only.
func TestJokerBesidePair(t *testing.T) {
	c, _, err := card.Read("", []byte("card Pairs\nsection s\n25 exposed 33b 333b 555c 777d FFF\n"), tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	g := NewGame(c, house.Usual)
	open := func(k string, size, jokers uint8) (f front) {
		f.add(Exposure{Tile: tiles(k)[0], Size: size, Jokers: jokers}, g.extend(&f, tiles(k)[0], size, jokers))
		return f
	}
	tests := []struct {
		name, concealed string
		open            front
		want            bool
	}{
		{"the pair natural", "33b JJJ 555c 777d FFF", front{}, true},
		{"one more natural", "333b JJ 555c 777d FFF", front{}, true},
		{"half the pair a joker", "3b JJJJ 555c 777d FFF", front{}, false},
		{"the group open, the pair natural", "33b 555c 777d FFF", open("3b", 3, 2), true},
		{"the group open, half the pair a joker", "3b J 555c 777d FFF", open("3b", 3, 0), false},
	}
	for _, tt := range tests {
		concealed := rackOf(tt.concealed)
		if _, ok := g.completed(&concealed, &tt.open); ok != tt.want {
			t.Errorf("%s: %t", tt.name, ok)
		}
	}
}
