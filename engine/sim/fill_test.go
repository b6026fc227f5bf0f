package sim

import (
	"math/rand/v2"
	"testing"

	"secondpass/internal/goodness"
	"secondpass/internal/oracle"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

func rack(text string) tile.Rack { return tile.MustParse(text) }

func parcel(text string) charleston.Parcel {
	p, err := charleston.ParcelOf(rack(text).Tiles()...)
	if err != nil {
		panic(err)
	}
	return p
}

// southAt is what South knows at a step, having given tiles at the step before.
func southAt(step charleston.Step, gave string) charleston.View {
	v := charleston.View{Seat: charleston.South, Rules: house.Usual.Passing, Step: step, Phase: charleston.Passing, Rack: rack("FF J 1234567b NEW")}
	v.Gave[step-1] = parcel(gave)
	return v
}

// agrees fills many times and compares counts with R's chances.
func agrees(t *testing.T, name string, v charleston.View, cell func(racks [4]tile.Rack, wall tile.Rack) int) {
	t.Helper()
	const n = 30_000
	var chances []float64
	for _, r := range oracle.R(t, "testdata/fill.R") {
		if r.Name == name {
			chances = r.Out
		}
	}
	seen, expected := make([]int, len(chances)), make([]float64, len(chances))
	for i, p := range chances {
		expected[i] = p * n
	}
	for g := range uint64(n) {
		racks, wall, err := Fill(&v, tile.Usual, Stream(3, g, name))
		if err != nil {
			t.Fatal(err)
		}
		seen[cell(racks, tile.RackOf(wall...))]++
	}
	c, err := goodness.ChiSquareTest(seen, expected)
	if err != nil || c.P < 1e-3 {
		t.Errorf("%s: seen %v, expected %.1f: p %.2g, %v", name, seen, expected, c.P, err)
	}
}

// What is filled in follows the exact (multivariate) hypergeometric chances that R gives.
func TestFillAgainstR(t *testing.T) {
	fresh := charleston.View{Seat: charleston.South, Rules: house.Usual.Passing, Step: charleston.FirstRight, Phase: charleston.Passing, Rack: rack("FF J 1234567b NEW")}
	agrees(t, "jokers-east", fresh, func(racks [4]tile.Rack, _ tile.Rack) int { return int(racks[charleston.East][tile.Joker]) })
	agrees(t, "jokers-flowers-west", fresh, func(racks [4]tile.Rack, _ tile.Rack) int {
		w := racks[charleston.West]
		return 3*int(min(w[tile.Joker], 3)) + int(min(w[tile.Flower], 2))
	})
	given := southAt(charleston.FirstAcross, "89b S") // to the right: West
	agrees(t, "jokers-west-given", given, func(racks [4]tile.Rack, _ tile.Rack) int { return int(racks[charleston.West][tile.Joker]) })
	agrees(t, "jokers-wall-given", given, func(_ [4]tile.Rack, wall tile.Rack) int { return max(int(wall[tile.Joker]), 2) - 2 })
}

func TestFillKeepsWhatIsKnown(t *testing.T) {
	tests := []struct {
		name string
		v    charleston.View
		with charleston.Seat
		want string // "" where nothing is known
	}{
		{"first across: right has them", southAt(charleston.FirstAcross, "89b S"), charleston.West, "89b S"},
		{"first left: across has them", southAt(charleston.FirstLeft, "89b S"), charleston.North, "89b S"},
		{"after a step with blind passes", southAt(charleston.SecondLeft, "89b S"), charleston.East, ""},
	}
	noBlind := southAt(charleston.SecondLeft, "89b S")
	noBlind.Rules.Blind = false
	tests = append(tests, struct {
		name string
		v    charleston.View
		with charleston.Seat
		want string
	}{"without blind passes the left has them", noBlind, charleston.East, "89b S"})
	over := southAt(charleston.LastRight, "")
	over.Rules.Blind = false
	over.Step, over.Phase, over.Gave[charleston.LastRight], over.Gave[charleston.Courtesy] = charleston.Courtesy, charleston.Over, parcel("24c N"), parcel("89b S")
	before := over
	before.Gave[charleston.LastRight], before.Gave[charleston.Courtesy] = parcel("89b S"), parcel("2c")
	for _, more := range []struct {
		name string
		v    charleston.View
		with charleston.Seat
		want string
	}{{"after the courtesy across has what was given there", over, charleston.North, "89b S"}, {"what was given before may have gone on", before, charleston.West, ""}} {
		tests = append(tests, more)
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			always := true
			for g := range uint64(200) {
				racks, wall, err := Fill(&tt.v, tile.Usual, Stream(1, g, "known"))
				if err != nil {
					t.Fatal(err)
				}
				all := tile.RackOf(wall...)
				for seat, r := range racks {
					all = all.Plus(r)
					if r.Size() != charleston.Seat(seat).DealtTiles() {
						t.Fatalf("%s holds %d tiles", charleston.Seat(seat), r.Size())
					}
				}
				if all != tile.Rack(tile.Usual) || racks[tt.v.Seat] != tt.v.Rack {
					t.Fatal("the tiles do not make the set, or the own rack changed")
				}
				always = always && racks[tt.with].Contains(rack("89b S"))
			}
			if always != (tt.want != "") {
				t.Errorf("%s always holds what was given: %v", tt.with, always)
			}
		})
	}
}

// Against rejection: deal all hidden tiles at random and keep the deals in which West holds what
// South gave. Both ways give East and North the same number of flowers.
func TestFillAgainstRejection(t *testing.T) {
	v := southAt(charleston.FirstAcross, "1b N")
	given := rack("1b N")
	hidden, err := tile.Usual.Less(v.Rack)
	if err != nil {
		t.Fatal(err)
	}
	flowers := func(r [4]tile.Rack) int {
		return int(r[charleston.East][tile.Flower] + r[charleston.North][tile.Flower])
	}
	var kept, filled [9]int
	accepted := 0
	tiles := hidden.Tiles()
	rng := rand.New(rand.NewPCG(4, 4))
	for accepted < 3000 {
		rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
		r := [4]tile.Rack{charleston.East: tile.RackOf(tiles[:14]...), charleston.West: tile.RackOf(tiles[14:27]...), charleston.North: tile.RackOf(tiles[27:40]...)}
		if r[charleston.West].Contains(given) {
			kept[flowers(r)]++
			accepted++
		}
	}
	const n = 60_000
	expected := make([]float64, 9)
	for g := range uint64(n) {
		r, _, err := Fill(&v, tile.Usual, Stream(9, g, "rejection"))
		if err != nil {
			t.Fatal(err)
		}
		filled[flowers(r)]++
	}
	for i := range expected {
		expected[i] = float64(filled[i]) * float64(accepted) / n
	}
	c, err := goodness.ChiSquareTest(kept[:], expected)
	if err != nil || c.P < 1e-3 {
		t.Errorf("rejection %v, expected %.1f: p %.2g, %v", kept, expected, c.P, err)
	}
}

// In play too what is filled in leaves the view as it is, and known jokers stay where they were seen
// to go. The hidden tiles of a seat follow the hypergeometric chances (stat, itself checked against R).
func TestRefill(t *testing.T) {
	g := table.NewGame(card.Practice(), house.Usual)
	racks, wall := table.Deal(tile.Usual, Stream(5, 0, "deal"))
	s, err := g.Start(racks, wall)
	if err != nil {
		t.Fatal(err)
	}
	hidden := s.View(charleston.East).Unseen()
	n, jokers := hidden.Size(), int(hidden[tile.Joker])
	const games = 20_000
	seen, expected := make([]int, jokers+1), make([]float64, jokers+1)
	for k := range expected {
		expected[k] = games * goodness.HypergeometricPMF(k, jokers, n, 13)
	}
	for i := range uint64(games) {
		filled := s
		if err := Refill(&filled, charleston.East, Stream(5, i, "unseen")); err != nil {
			t.Fatal(err)
		}
		if filled.Rack(charleston.East) != s.Rack(charleston.East) || filled.View(charleston.East).Unseen() != hidden {
			t.Fatal("the seat's own knowledge changed")
		}
		seen[filled.Rack(charleston.South)[tile.Joker]]++
	}
	c, err := goodness.ChiSquareTest(seen, expected)
	if err != nil || c.P < 1e-3 {
		t.Errorf("jokers of South %v, expected %.1f: p %.2g, %v", seen, expected, c.P, err)
	}
}
