package cardreport

import (
	"math"
	"testing"

	"secondpass/rules/tile"
)

// threeHands is small enough to work out by hand: A and B differ in their pair; C is A in any suit.
const threeHands = `
section S
25 exposed 111b 222b 444b 888b 55b ; name "A"
25 exposed 111b 222b 444b 888b 66b ; name "B"
25 exposed 111x 222x 444x 888x 55x ; name "C"
`

// A and B share all but the pair, 12 tiles. A is one of the three variants of C: all 14 tiles of A serve
// C, but of C 14, 0 and 0 serve A, so (14 + 14/3)/2. Of B 12 serve C; of C 12, 0 and 0 serve B: (12 + 12/3)/2.
func TestNeighboursByHand(t *testing.T) {
	c := read(t, threeHands)
	shared := Shared(c)
	want := [][]float64{{14, 12, 28. / 3}, {12, 14, 8}, {28. / 3, 8, 14}}
	for a := range want {
		for b := range want[a] {
			if math.Abs(shared[a][b]-want[a][b]) > 1e-12 {
				t.Errorf("%d and %d share %v, by hand %v", a, b, shared[a][b], want[a][b])
			}
		}
	}
	list := neighboursOf(c, shared, 2)
	if len(list) != 2 || list[0].Name != "A" || list[1].Name != "B" {
		t.Errorf("the neighbours of C are %v", list)
	}
}

// More copies of a kind than the set has, which only jokers can make, are shared too.
func TestNeighboursShareQuints(t *testing.T) {
	shared := Shared(read(t, "section S\n50 exposed 11111b 222222b 777b\n50 exposed 11111b 222222b 888b"))
	if shared[0][1] != 11 {
		t.Errorf("%v shared, by hand a group of five and one of six", shared[0][1])
	}
}

// Of the three hands all use 1 bams, the third in one variant of three; 1 craks only the third, in one of three.
func TestWantedByHand(t *testing.T) {
	wants := Wanted(read(t, threeHands))
	near := func(a, b Want) bool {
		return math.Abs(a.Hands-b.Hands)+math.Abs(a.Variants-b.Variants)+math.Abs(a.Tiles-b.Tiles) < 1e-12
	}
	for k, want := range map[tile.Kind]Want{
		tile.Ranked(1, tile.Bams):  {1, 7. / 9, 7. / 3},
		tile.Ranked(1, tile.Craks): {1. / 3, 1. / 9, 1. / 3},
		tile.Ranked(6, tile.Bams):  {1. / 3, 1. / 3, 2. / 3},
		tile.Ranked(9, tile.Bams):  {},
		tile.Joker:                 {},
	} {
		if !near(wants[k], want) {
			t.Errorf("%s: %+v, by hand %+v", k.Name(), wants[k], want)
		}
	}
	sum := 0.0
	for _, w := range wants {
		sum += w.Tiles
	}
	if math.Abs(sum-14) > 1e-12 {
		t.Errorf("%v tiles in a hand", sum)
	}
}

func TestHoldings(t *testing.T) {
	rack := tile.MustParse("1223334b 4c 3d NNE 0 J")
	for _, row := range []struct {
		h    Holding
		want int
		text string
	}{
		{Holding{RankCopies, 3, 3, most}, 3, "a pung of 3s"},
		{Holding{Copies, int(tile.North), 2, most}, 2, "a pair of north winds"},
		{Holding{Copies, int(tile.Joker), 1, most}, 1, "1 or more jokers"},
		{Holding{Copies, int(tile.Flower), 0, 0}, 0, "no flowers"},
		{Holding{RankTiles, 3, 4, most}, 4, "4 or more tiles of rank 3"},
		{Holding{RankSuits, 3, 3, most}, 2, "rank 3 in all three suits"},
		{Holding{SuitTiles, 0, 7, most}, 7, "7 or more tiles of one suit"},
		{Holding{WindTiles, 0, 3, most}, 3, "3 or more winds"},
		{Holding{WindKinds, 0, 3, most}, 2, "3 or more different winds"},
		{Holding{DragonTiles, 0, 2, most}, 1, "2 or more dragons"},
		{Holding{DragonKinds, 0, 2, most}, 1, "2 or more different dragons"},
		{Holding{EvenTiles, 0, 6, most}, 4, "6 or more even tiles"},
		{Holding{OddTiles, 0, 7, most}, 5, "7 or more odd tiles"},
		{Holding{ThirdTiles, 0, 5, most}, 4, "5 or more threes, sixes and nines"},
		{Holding{PairKinds, 0, 0, 1}, 3, "at most 1 pairs (pungs count)"},
		{Holding{PungKinds, 0, 1, most}, 1, "1 or more pungs"},
		{Holding{RunLength, 0, 4, most}, 4, "a run of 4 or more in one suit"},
	} {
		if got := row.h.count(&rack); got != row.want || row.h.String() != row.text {
			t.Errorf("%q counts %d, by hand %d (%q)", row.h, got, row.want, row.text)
		}
		if in := row.h.In(&rack); in != (row.want >= row.h.Least && row.want <= row.h.Most) {
			t.Errorf("%s held: %v", row.h, in)
		}
	}
	seen := map[string]bool{}
	for _, h := range holdings() {
		if seen[h.String()] || h.String() == "" {
			t.Errorf("%q twice", h)
		}
		seen[h.String()] = true
	}
}
