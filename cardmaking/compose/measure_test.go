package compose

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

func readCard(t *testing.T, lines ...string) *card.Card {
	t.Helper()
	c, _, err := card.Read("test.card", []byte("card T\nsection S\n"+strings.Join(lines, "\n")+"\n"), tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// The difficulty agrees with one computed from the definitions of away and missing
// singles alone.
func TestDifficulty(t *testing.T) {
	c := readCard(t,
		"25 exposed FFF 22x 444y 66z 8888x",
		"25 exposed 111x 22x 3333y DDDDDx ; slide",
		"25 concealed FF 11x 22x 33x 44y 55y 66y ; slide ; no jokers")
	got := Difficulty(c)
	for h := range c.Hands {
		sum := 0.0
		for _, rack := range testRacks() {
			best := 1 << 20
			for i := range c.VariantsOf(h) {
				single, group := c.Needs(&c.VariantsOf(h)[i])
				away, singles := 0, 0
				for k := range tile.Joker {
					away += max(0, int(single[k])+int(group[k])-int(rack[k]))
					singles += max(0, int(single[k])-int(rack[k]))
				}
				away -= min(away-singles, int(rack[tile.Joker]))
				best = min(best, away<<8|singles)
			}
			sum += float64(best>>8) + 0.25*float64(best&0xff)
		}
		if want := sum / float64(len(testRacks())); math.Abs(got[h]-want) > 1e-9 {
			t.Errorf("%s: difficulty %g, want %g", c.Hands[h].Pattern, got[h], want)
		}
	}
	if !(got[2] > got[1]) {
		t.Errorf("pairs without jokers %g are no harder than a run with a quint %g", got[2], got[1])
	}
}

func TestShared(t *testing.T) {
	tests := []struct {
		a, b string
		want int
	}{
		{"25 exposed FFFF 2222x 44x 6666x", "25 exposed FFFF 2222y 44y 6666y", 14},
		{"25 exposed FFFF 2222x 44x 6666x", "25 exposed FFF 2222x 444x 6666y", 9},
		{"25 exposed FFFF 1111x 22x 3333x ; slide", "25 exposed FFFF 7777x 88x 9999y", 10},
		{"25 exposed NNNN EEEE WWWW SS", "25 exposed RRRR GGGG 0000 FF", 0},
	}
	for _, tt := range tests {
		a := &candidate{traits: traitsOf(readCard(t, tt.a).Variants)}
		b := &candidate{traits: traitsOf(readCard(t, tt.b).Variants)}
		if ab, ba := shared(a, b), shared(b, a); ab != tt.want || ba != tt.want {
			t.Errorf("%s and %s share %d and %d, want %d", tt.a, tt.b, ab, ba, tt.want)
		}
	}
}

// Packed counts share what the counts themselves do.
func TestCommon(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	draw := func() tile.Rack {
		var r tile.Rack
		for left := handTiles; left > 0; {
			n := min(left, 1+rng.IntN(handTiles))
			r[rng.IntN(int(tile.Joker))] += uint8(n)
			left -= n
		}
		return r
	}
	for range 2000 {
		a, b := draw(), draw()
		pa, pb := pack(a), pack(b)
		if got, want := common(&pa, &pb), handTiles-a.Minus(b).Size(); got != want {
			t.Fatalf("%v and %v share %d, want %d", a, b, got, want)
		}
		if got := common(&pa, &pa); got != handTiles {
			t.Fatalf("%v shares %d with itself", a, got)
		}
	}
}

func TestCount(t *testing.T) {
	r := Count(readCard(t, "25 exposed FFF 22x 444y 66z 8888x", "30 concealed NN EE WW SS RR GG 00 ; no jokers"))
	if r.Hands != 2 || r.Variants != 7 || r.Concealed != 1 || r.Jokerless != 1 || r.Flowers != 1 {
		t.Errorf("%+v", r)
	}
	if want := (6*5 + 7) / 7.0; math.Abs(r.Kinds-want) > 1e-9 {
		t.Errorf("kinds %g, want %g", r.Kinds, want)
	}
	if r.Sizes != [7]int{2: 2, 3: 1, 4: 1} {
		t.Errorf("sizes %v", r.Sizes)
	}
	// A two of bams stands in two of six variants as a pair, over two hands: 1/3.
	if got := r.Use[tile.Ranked(2, tile.Bams)]; math.Abs(got-1/3.0) > 1e-9 {
		t.Errorf("use of 2b %g", got)
	}
	s := r.Sections[0]
	if s.Name != "S" || s.Hands != 2 || s.Variants != 7 || s.Concealed != 1 || !(s.Easiest < s.Mean && s.Mean < s.Hardest) {
		t.Errorf("%+v", s)
	}
}

func TestLacks(t *testing.T) {
	full := sums{hands: 50, variants: 1300, concealed: 11, sizes: [7]int{0, 1, 1, 1, 1, 1, 1}}
	for k := range tile.Joker {
		full.use[k] = 1
	}
	tests := []struct {
		name   string
		change func(*sums)
		want   string
	}{
		{"all met", func(*sums) {}, ""},
		{"few variants", func(s *sums) { s.variants = 999 }, "999 variants"},
		{"many variants", func(s *sums) { s.variants = 1701 }, "1701 variants"},
		{"few concealed", func(s *sums) { s.concealed = 9 }, "9 concealed hands of 50"},
		{"many concealed", func(s *sums) { s.concealed = 13 }, "13 concealed hands of 50"},
		{"no quint", func(s *sums) { s.sizes[5] = 0 }, "no group of 5"},
		{"no east", func(s *sums) { s.use[tile.East] = 0 }, "no east wind"},
	}
	for _, tt := range tests {
		s := full
		tt.change(&s)
		if got := s.lacks(); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

// Counting a hand in and out again leaves the sums as they were.
func TestSumsAddAndTakeAway(t *testing.T) {
	list, err := measure([]*candidate{{hand: hand{pieces: []piece{fixed(term{symbol: 'F', size: 4}, term{symbol: '2', suit: 'x', size: 3}), fixed(terms([]int{4, 6}, "yx", []int{4, 3})...)}}}})
	if err != nil || len(list) != 1 {
		t.Fatal(err, list)
	}
	var s sums
	s.add(list[0], 1)
	if s.hands != 1 || s.variants != 6 || s.flowers != 1 || s.suits != [4]int{2: 1} || s.sizes != [7]int{3: 1, 4: 1} {
		t.Errorf("%+v", s)
	}
	s.add(list[0], -1)
	if s != (sums{}) {
		t.Errorf("left over %+v", s)
	}
}
