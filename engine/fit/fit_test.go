package fit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

const demo = `card Demo
section Evens
25 exposed   FFF 22x 444y 66z 8888x
30 concealed 246x 888y 246z DDDDDx
section Runs
25 exposed   1111x 22x 333y 44y 555z ; slide
50 concealed 4073x EEE 407y WWWW ; no jokers
40 exposed   (NN SS|EE WW) 1111x 22y 33z FF ; slide 2
60 exposed   FFFFF DDDDx 999y NN
`

func readCard(text string) *card.Card {
	c, _, err := card.Read("demo", []byte(text), tile.Usual)
	if err != nil {
		panic(err)
	}
	return c
}

func parse(text string) tile.Rack { return tile.MustParse(text) }

func ExampleIndex_Hands() {
	x := New(readCard(demo))
	for _, r := range x.Hands(parse("FFF 2b 44c 6d 888b JJ 9c"))[:2] {
		fmt.Printf("%s %v: %d away, keep %s, missing %s, spare %q\n", r.OnCard().Name, r.Groups(), r.Away, r.Keep, r.Missing, r.Spare)
	}
	// Output:
	// Evens 1 [FFF 22b 444c 66d 8888b]: 2 away, keep 2888b 44c 6d FFF JJ, missing 28b 4c 6d, spare "9c"
	// Runs 1 [4444c 55c 666d 77d 888b]: 6 away, keep 888b 44c 6d JJ, missing 4455c 6677d, spare "2b 9c FFF"
}

// state is the plain account of one variant, by the definition of measures.md: the oracle.
func state(n need, rack tile.Rack) (singles, groups int) {
	for k := range tile.Joker {
		have, p, g := int(rack[k]), int(n.single[k]), int(n.group[k])
		singles += p - min(have, p)
		groups += g - min(max(have-p, 0), g)
	}
	return singles, groups
}

func plainAway(x *Index, rack tile.Rack) int {
	best := 99
	for _, n := range x.needs {
		s, g := state(n, rack)
		best = min(best, s+g-min(g, int(rack[tile.Joker])))
	}
	return best
}

func plainValue(x *Index, w *Weights, rack tile.Rack) int64 {
	var sum int64
	for _, n := range x.needs {
		s, g := state(n, rack)
		sum += int64(w.tables[rack[tile.Joker]].values[s<<4|g])
	}
	return sum
}

// randomRack shuffles the set; rich racks lean towards a variant of the card, since random
// ones are seldom near a hand.
func randomRack(x *Index, size int, rng *rand.Rand) tile.Rack {
	tiles := tile.Usual.Tiles()
	rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
	if rng.IntN(2) == 0 {
		n := x.needs[rng.IntN(len(x.needs))]
		wanted := n.single.Plus(n.group)
		slices.SortStableFunc(tiles, func(a, b tile.Kind) int {
			return int(min(wanted[b], 1)) - int(min(wanted[a], 1))
		})
		cut := rng.IntN(10)
		tiles = slices.Concat(tiles[:cut], tiles[70:])
	}
	return tile.RackOf(tiles[:size]...)
}

func drawRack(t *rapid.T, x *Index) tile.Rack {
	rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
	return randomRack(x, rapid.IntRange(13, 14).Draw(t, "size"), rng)
}

// The fast paths agree with the plain definition on every rack.
func TestRaterAgreesWithDefinition(t *testing.T) {
	for name, x := range map[string]*Index{"demo": New(readCard(demo)), "practice": New(card.Practice())} {
		w := NewWeights(0.12, 0.2, tile.UsualJokers)
		r := NewRater(x)
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				rack := drawRack(t, x)
				if got, want := r.Away(&rack), plainAway(x, rack); got != want {
					t.Fatalf("%s: away %d, want %d", rack, got, want)
				}
				if got, want := r.Value(w, &rack), plainValue(x, w, rack); got != want {
					t.Fatalf("%s: value %d, want %d", rack, got, want)
				}
				checkDiscards(t, x, r, w, rack)
				checkPasses(t, x, r, w, rack)
				checkStanding(t, x, r, w, rack)
			})
		})
	}
}

func checkDiscards(t *rapid.T, x *Index, r *Rater, w *Weights, rack tile.Rack) {
	var out [tile.Kinds]int64
	r.Discards(w, &rack, &out)
	for k, c := range rack {
		if c > 0 {
			less := rack.Minus(tile.RackOf(tile.Kind(k)))
			if want := plainValue(x, w, less); out[k] != want {
				t.Fatalf("%s without %s: value %d, want %d", rack, tile.Kind(k), out[k], want)
			}
		}
	}
}

func checkPasses(t *rapid.T, x *Index, r *Rater, w *Weights, rack tile.Rack) {
	passes := r.Passes(w, &rack, nil)
	want := plainPasses(rack)
	if len(passes) != len(want) {
		t.Fatalf("%s: %d passes, want %d", rack, len(passes), len(want))
	}
	for i, p := range passes {
		if p.Tiles != want[i] {
			t.Fatalf("%s: pass %d is %v, want %v", rack, i, p.Tiles, want[i])
		}
		if v := plainValue(x, w, rack.Minus(tile.RackOf(p.Tiles[:]...))); p.Value != v {
			t.Fatalf("%s without %s: value %d, want %d", rack, tile.List(p.Tiles[:]), p.Value, v)
		}
	}
}

// plainWithin is the definition of [Tracker.Within].
func plainWithin(x *Index, rack tile.Rack, c Cost, slack, most int) (list []int32, least int) {
	prices := make([]int, len(x.needs))
	for v, n := range x.needs {
		s, g := state(n, rack)
		prices[v] = s*int(c.Single) + max(g-int(rack[tile.Joker]), 0)*int(c.Group)
	}
	least = slices.Min(prices)
	count := func(slack int) (n int) {
		for _, p := range prices {
			if p <= least+slack {
				n++
			}
		}
		return n
	}
	for most > 0 && slack > 0 && count(slack) > most {
		slack--
	}
	for v, p := range prices {
		if p <= least+slack {
			list = append(list, int32(v))
		}
	}
	return list, least
}

// plainPasses lists the distinct passes by trying all threes of tiles.
func plainPasses(rack tile.Rack) [][3]tile.Kind {
	tiles := rack.Tiles()
	tiles = tiles[:rack.Naturals()]
	seen := map[[3]tile.Kind]bool{}
	var passes [][3]tile.Kind
	for i := range tiles {
		for j := i + 1; j < len(tiles); j++ {
			for k := j + 1; k < len(tiles); k++ {
				p := [3]tile.Kind{tiles[i], tiles[j], tiles[k]}
				if !seen[p] {
					seen[p] = true
					passes = append(passes, p)
				}
			}
		}
	}
	slices.SortFunc(passes, func(a, b [3]tile.Kind) int { return slices.Compare(a[:], b[:]) })
	return passes
}

func checkStanding(t *rapid.T, x *Index, r *Rater, w *Weights, rack tile.Rack) {
	s := r.Standing(w, rack)
	for range 20 {
		k := tile.Kind(rapid.IntRange(0, tile.Kinds-1).Draw(t, "kind"))
		if rapid.Bool().Draw(t, "add") && s.Rack()[k] < tile.Usual[k] {
			s.Add(k)
		} else if s.Rack()[k] > 0 {
			s.Remove(k)
		}
		if got, want := s.Value(), plainValue(x, w, s.Rack()); got != want {
			t.Fatalf("%s: value %d, want %d", s.Rack(), got, want)
		}
	}
}

// Taking in a tile that the best variant lacks brings that variant one nearer, unless a joker
// stood there already.
func TestNeededTileBringsNearer(t *testing.T) {
	x := New(card.Practice())
	rapid.Check(t, func(t *rapid.T) {
		rack := drawRack(t, x)
		for _, r := range x.Hands(rack) {
			for k, n := range r.Missing {
				if n == 0 || rack[k] >= tile.Usual[k] {
					continue
				}
				after := Read(x.card, r.Variant, rack.Plus(tile.RackOf(tile.Kind(k))))
				groups := r.MissingGroups - after.MissingGroups
				covered := groups == 1 && r.JokersUsed == r.MissingGroups
				if want := r.Away - 1; !covered && after.Away != want {
					t.Fatalf("%s for %v: %d away, with %s %d", rack, r.Groups(), r.Away, tile.Kind(k), after.Away)
				}
			}
		}
	})
}

func TestReadingAccounts(t *testing.T) {
	x := New(card.Practice())
	rapid.Check(t, func(t *rapid.T) {
		rack := drawRack(t, x)
		for _, r := range x.Hands(rack) {
			if r.Keep.Plus(r.Spare) != rack {
				t.Fatalf("%s: keep %s and spare %s do not make the rack", rack, r.Keep, r.Spare)
			}
			if n := r.Missing.Size(); n != r.Away+r.JokersUsed {
				t.Fatalf("%s: %d tiles missing, %d away and %d jokers used", rack, n, r.Away, r.JokersUsed)
			}
			if r.Spare[tile.Joker] > 0 {
				t.Fatalf("%s: a spare joker", rack)
			}
		}
	})
}

func TestHandsTieOrder(t *testing.T) {
	x := New(card.Practice())
	rapid.Check(t, func(t *rapid.T) {
		rack := drawRack(t, x)
		hands, variants := x.Hands(rack), x.Variants(rack)
		first := map[int]bool{}
		i := 0
		for _, v := range variants { // the best of each hand, in the order of all variants
			if !first[v.Hand] {
				first[v.Hand] = true
				if hands[i].Variant != v.Variant {
					t.Fatalf("%s: place %d is variant %v of %s, want %v", rack, i, hands[i].Groups(), hands[i].OnCard().Name, v.Groups())
				}
				i++
			}
		}
		for i := 1; i < len(hands); i++ {
			a, b := hands[i-1], hands[i]
			if a.Away > b.Away || a.Away == b.Away && a.MissingSingles > b.MissingSingles ||
				a.Away == b.Away && a.MissingSingles == b.MissingSingles && a.OnCard().Points < b.OnCard().Points {
				t.Fatalf("%s: %s before %s", rack, a.OnCard().Name, b.OnCard().Name)
			}
		}
	})
}

func TestReadByHand(t *testing.T) {
	c := readCard("card T\nsection S\n25 exposed 22b 222b 44c FFFF NNN\n25 exposed 22b 22b 444c FFFF NNN ; no jokers ; name \"B\"\n")
	rack := parse("222b 4c F NN JJJ 9d R E")
	tests := []struct {
		variant, away, single, used int
		keep, missing, spare, gaps  string
	}{
		// Two of the three 2b fill the pair, one the pung: missing 22b of the pung, 4c, FFF, N.
		{0, 4, 1, 3, "222b 4c NN F JJJ", "22b 4c N FFF", "9d E R", "[]"},
		{1, 7, 7, 0, "222b 4c NN F JJJ", "2b 44c N FFF", "9d E R", "[]"},
	}
	for _, tt := range tests {
		r := Read(c, tt.variant, rack)
		got := []any{r.Away, r.MissingSingles, r.JokersUsed, r.Keep.String(), r.Missing.String(), r.Spare.String(), fmt.Sprint(r.Gaps())}
		want := []any{tt.away, tt.single, tt.used, tt.keep, tt.missing, tt.spare, tt.gaps}
		if !slices.Equal(got, want) {
			t.Errorf("variant %d: got %v, want %v", tt.variant, got, want)
		}
	}
	r := Read(c, 0, parse("1b"))
	if gaps := r.Gaps(); fmt.Sprint(gaps) != "[2b 4c N F]" {
		t.Errorf("gaps %v", gaps)
	}
}

// A multiple is broken when the variant misses a tile given away and uses two or more of its kind.
func TestBreaks(t *testing.T) {
	c := readCard("card T\nsection S\n25 exposed 22b 222b 4c 555c FFF NN\n")
	r := Read(c, 0, parse("2222b 44c 555c F 99d RR"))
	for _, tt := range [][2]string{{"2b", "2222b"}, {"5c 9d", "555c"}, {"4c 99d", ""}, {"44c R", ""}, {"F", ""}, {"2b 55c", "2222b 555c"}} {
		if got := r.Breaks(parse(tt[0])).String(); got != tt[1] {
			t.Errorf("giving %s breaks %q, want %q", tt[0], got, tt[1])
		}
	}
}

func TestNearestBesideByHand(t *testing.T) {
	c := readCard("card T\nsection S\n25 exposed 44c 1d 4444b 333d 4444d\n25 exposed 44c 1d 4444b 333d 4444d ; no jokers ; name \"B\"\n30 exposed 44c 1d 4444b 3333d 444d\n")
	hands := []int{0, 1, 2}
	// Open is 4444b with three jokers in it; of the rest 4c, 1d, 3d and 4d lack, of which the joker fills one in a group.
	open := Open{Tiles: parse("4444b"), Variants: []int32{0, 1, 2}}
	near := NearestBeside(c, parse("4c 33d 444d J"), open, hands, 3)
	var got []string
	for i := range near {
		got = append(got, fmt.Sprintf("%s %d %d %s", near[i].OnCard().Name, near[i].Away, near[i].MissingSingles, near[i].Missing))
	}
	// The third pays more than the first and is as near, so it comes first.
	want := []string{"S 3 3 2 4c 133d", "S 1 3 2 4c 134d", "B 4 4 4c 134d"}
	if c.Hands[0].Name != "S 1" {
		t.Fatal(c.Hands[0].Name)
	}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	if near := NearestBeside(c, parse("4c"), Open{}, hands, 3); len(near) > 0 {
		t.Error("a dead hand is near something")
	}
	if near := NearestBeside(c, parse("4c"), open, []int{1}, 3); len(near) != 1 || near[0].Hand != 1 {
		t.Errorf("of one hand: %v", near)
	}
}

func TestOptionsAndSpare(t *testing.T) {
	x := New(readCard(demo))
	rack := parse("FFF 2b 44c 6d 888b JJ 9c")
	hands := x.Hands(rack)
	if n := Options(hands); n != 1 {
		t.Errorf("%d options, want 1", n)
	}
	if s := Spare(rack, hands[:1]).String(); s != "9c" {
		t.Errorf("spare %q", s)
	}
	if s := Spare(rack, nil).String(); s != "2888b 449c 6d FFF" {
		t.Errorf("spare without a plan %q", s)
	}
}

func TestOfSomeHands(t *testing.T) {
	c := card.Practice()
	all, some := New(c), Of(c, []int{7, 3, 7})
	rack := parse("FF 1234b 2468c NEWS")
	readings := some.Hands(rack)
	if len(readings) != 2 {
		t.Fatalf("%d hands, want 2", len(readings))
	}
	for _, r := range readings {
		i := slices.IndexFunc(all.Hands(rack), func(a Reading) bool { return a.Hand == r.Hand })
		if a := all.Hands(rack)[i]; a.Variant != r.Variant {
			t.Errorf("%s: variant %d in the part, %d in the whole", r.OnCard().Name, r.Variant, a.Variant)
		}
	}
}

func TestWeights(t *testing.T) {
	w := NewWeights(0.5, 0.25, 2)
	for _, tt := range []struct {
		jokers, singles, groups int
		want                    float64
	}{{0, 0, 0, 1}, {0, 1, 0, .5}, {0, 0, 1, .25}, {0, 2, 2, 1.0 / 64}, {1, 0, 1, 1}, {2, 1, 3, .125}} {
		got := float64(w.tables[tt.jokers].values[tt.singles<<4|tt.groups]) / one
		if math.Abs(got-tt.want) > 1e-8 {
			t.Errorf("%+v: weight %g", tt, got)
		}
	}
}

// A complete hand is 0 away, wherever its variant stands in the index, and its variant is the nearest.
func TestCompleteHands(t *testing.T) {
	x := New(card.Practice())
	r, tracker := NewRater(x), NewTracker(x)
	for v := range x.needs {
		rack := x.needs[v].single.Plus(x.needs[v].group)
		if tile.Usual.Holds(rack) != nil {
			continue // a group of more than four: it needs jokers
		}
		if away := r.Away(&rack); away != 0 {
			t.Errorf("%s, complete, is said to be %d away", rack, away)
		}
		if list, least := tracker.Within(&rack, AwayCost, 0, 0, nil); least != 0 || !slices.Contains(list, int32(v)) {
			t.Errorf("%s, complete: least cost %d, variants %v", rack, least, list)
		}
	}
}
