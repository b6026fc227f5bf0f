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
		"25 exposed 11x 22x 333y DDDDDx NN ; slide",
		"25 concealed FF 11x 22x 44x 55y 77y 88y ; slide ; no jokers")
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
		{"25 exposed FFF 22222x 44x 7777x", "25 exposed FFF 22222y 44y 7777y", 14},
		{"25 exposed FFF 22222x 44x 7777x", "25 exposed FFFFF 222x 444x 777y", 8},
		{"25 exposed FFFF 11x 22222x 444x ; slide", "25 exposed FFF 77777x 88x 9999y", 8},
		{"25 exposed FFF 22222b 44b 7777b", "25 exposed FFF 22222c 44c 7777c", 3},
		{"25 exposed FFF 22222b 44b 7777b", "25 exposed FFF 22222x 44x 7777x", 14},
		{"25 exposed FFFF 22x 4x 777x DDDDx", "25 exposed FFFF 22x 4x 777x RRRR", 14},
		{"25 exposed NNNNN EEE WWW SSS", "25 exposed RRRRR GGG 00 FFFF", 0},
	}
	for _, tt := range tests {
		a := &candidate{traits: traitsOf(readCard(t, tt.a).Variants)}
		b := &candidate{traits: traitsOf(readCard(t, tt.b).Variants)}
		if ab, ba := shared(a, b), shared(b, a); ab != tt.want || ba != tt.want {
			t.Errorf("%s and %s share %d and %d, want %d", tt.a, tt.b, ab, ba, tt.want)
		}
	}
}

// What is said of suits that change places saves work and changes nothing: drawn hands share what a comparison of all variants
// finds.
func TestSharedIsOfAllVariants(t *testing.T) {
	for i, theme := range (Wish{}).filled(1).themes(1) {
		d := &drawer{rng: rand.New(rand.NewPCG(3, uint64(i))), theme: &theme, builds: builder{}}
		list, err := measure(d.pool()[:12], Middle)
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range list {
			for _, b := range list {
				most := 0
				for i := range a.tiles {
					for j := range b.tiles {
						most = max(most, common(&a.tiles[i], &b.tiles[j]))
					}
				}
				if got := shared(a, b); got != most {
					t.Errorf("%s and %s share %d, want %d", a.pattern(), b.pattern(), got, most)
				}
			}
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
	r := Count(readCard(t, "25 exposed FFF 22x 444y 66z 8888x", "30 concealed NNN EE W SSSS RRR G ; no jokers"))
	if r.Hands != 2 || r.Variants != 7 || r.Concealed != 1 || r.Jokerless != 1 || r.Flowers != 1 {
		t.Errorf("%+v", r)
	}
	if want := (6*5 + 6) / 7.0; math.Abs(r.Kinds-want) > 1e-9 {
		t.Errorf("kinds %g, want %g", r.Kinds, want)
	}
	if r.Sizes != [7]int{1: 1, 2: 2, 3: 2, 4: 2} {
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
		{"few variants", func(s *sums) { s.variants = 899 }, "899 variants"},
		{"many variants", func(s *sums) { s.variants = 1801 }, "1801 variants"},
		{"few concealed", func(s *sums) { s.concealed = 9 }, "9 concealed hands of 50"},
		{"many concealed", func(s *sums) { s.concealed = 13 }, "13 concealed hands of 50"},
		{"no quint", func(s *sums) { s.sizes[5] = 0 }, "no group of 5"},
		{"no east", func(s *sums) { s.use[tile.East] = 0 }, "no east wind"},
	}
	for _, tt := range tests {
		s := full
		tt.change(&s)
		if got := (&demands{hands: 50, largest: 6}).lacks(&s); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

// Counting a hand in and out again leaves the sums as they were.
func TestSumsAddAndTakeAway(t *testing.T) {
	list, err := measure([]*candidate{{hand: hand{pieces: []piece{fixed(term{symbol: 'F', size: 4}, term{symbol: '2', suit: 'x', size: 3}), fixed(terms([]int{4, 6}, "yx", []int{4, 3})...)}}}}, Middle)
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
