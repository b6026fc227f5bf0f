package table

import (
	"slices"
	"testing"

	"secondpass/engine/fit"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// What follows says the same as the package in the slowest way, straight from the card's groups, and
// shares no code with it.

// allows says whether a variant has all the open groups, and returns the groups that are left of it.
func allows(c *card.Card, v int, open []Exposure) (left []card.Group, ok bool) {
	variant := &c.Variants[v]
	left = slices.Clone(variant.Groups)
	hand := &c.Hands[variant.Hand]
	for _, e := range open {
		i := slices.Index(left, card.Group{Kind: e.Tile, Size: int(e.Size)})
		if hand.Concealed || i < 0 || e.Jokers > 0 && !hand.Jokers {
			return nil, false
		}
		left = slices.Delete(left, i, i+1)
	}
	return left, true
}

// makes says whether concealed tiles fill the groups left: singles and pairs with naturals, what then lacks of
// larger groups with jokers, and nothing is left over.
func makes(left []card.Group, concealed tile.Rack, jokers bool) bool {
	slices.SortStableFunc(left, func(a, b card.Group) int { return min(a.Size, 3) - min(b.Size, 3) })
	for _, g := range left {
		for range g.Size {
			switch {
			case concealed[g.Kind] > 0:
				concealed[g.Kind]--
			case jokers && g.Size >= 3 && concealed[tile.Joker] > 0:
				concealed[tile.Joker]--
			default:
				return false
			}
		}
	}
	return concealed.Size() == 0
}

func groupsOf(f *front) []Exposure { return f.groups[:f.n] }

// slowOpen are the variants that open groups allow.
func slowOpen(c *card.Card, open []Exposure) []int32 {
	var list []int32
	for v := range c.Variants {
		if _, ok := allows(c, v, open); ok {
			list = append(list, int32(v))
		}
	}
	return list
}

// slowWins are the variants that concealed tiles and open groups make.
func slowWins(c *card.Card, concealed tile.Rack, open []Exposure) []int32 {
	var list []int32
	for v := range c.Variants {
		left, ok := allows(c, v, open)
		if ok && makes(left, concealed, c.Hands[c.Variants[v].Hand].Jokers) {
			list = append(list, int32(v))
		}
	}
	return list
}

// checkWin confirms a win from scratch: the tiles make the variant by the slow way and by package fit, and no
// other variant that they make pays more or as much and stands sooner.
func checkWin(t *testing.T, s *State) {
	t.Helper()
	r := s.Result()
	c, seat := s.game.card, r.Winner
	open := groupsOf(&s.open[seat])
	wins := slowWins(c, s.racks[seat], open)
	all := s.racks[seat]
	for _, e := range open {
		all[e.Tile] += e.Naturals()
		all[tile.Joker] += e.Jokers
	}
	if reading := fit.Read(c, r.Variant, all); reading.Away != 0 || !slices.Contains(wins, int32(r.Variant)) {
		t.Fatalf("%s wins with %s | %v, which is no %v", seat, s.racks[seat], open, c.Variants[r.Variant].Groups)
	}
	best := int32(-1)
	for _, v := range wins {
		if best < 0 || received(c, s, v, r) > received(c, s, best, r) {
			best = v
		}
	}
	if int(best) != r.Variant {
		t.Fatalf("%s wins with variant %d, but %d pays more", seat, r.Variant, best)
	}
	want := received(c, s, best, r)
	if !s.game.rules.Points {
		want = 0
	}
	if r.Net[seat] != want {
		t.Fatalf("%s gains %d, not %d", seat, r.Net[seat], want)
	}
}

// received is what the winner gets for a variant by the table of payments: four shares on a discard, six
// when self-drawn.
func received(c *card.Card, s *State, v int32, r Result) int {
	jokers := int(s.racks[r.Winner][tile.Joker])
	for _, e := range groupsOf(&s.open[r.Winner]) {
		jokers += int(e.Jokers)
	}
	shares := 4
	if r.Ending == SelfDrawn {
		shares = 6
	}
	if jokers == 0 && c.TakesJokers(&c.Variants[v]) {
		shares *= 2
	}
	return shares * c.Hands[c.Variants[v].Hand].Points
}

// checkState confirms what must be true of a state at any time.
func checkState(t *testing.T, s *State) {
	t.Helper()
	var all, shown tile.Rack
	view := s.View(charleston.East)
	for i := range view.Discards() {
		if d := view.Discard(i); !d.Claimed {
			shown[d.Tile]++
		}
	}
	for seat := range charleston.Seat(charleston.Seats) {
		open := groupsOf(&s.open[seat])
		size, jokers := s.racks[seat].Size(), uint8(0)
		for _, e := range open {
			size += int(e.Size)
			jokers += e.Jokers
			shown[e.Tile] += e.Naturals()
			shown[tile.Joker] += e.Jokers
		}
		all = all.Plus(s.racks[seat])
		acts := s.turn == seat && (s.phase == Discarding || s.ending.Won())
		if want := 13 + boolInt(acts || s.dead[seat]); size != want {
			t.Fatalf("%s has %d tiles, not %d", seat, size, want)
		}
		if jokers != s.open[seat].jokers || s.taken[seat] > s.racks[seat][tile.Joker] {
			t.Fatalf("%s has %d jokers open, noted are %d; %d concealed, known are %d", seat, jokers, s.open[seat].jokers,
				s.racks[seat][tile.Joker], s.taken[seat])
		}
	}
	if shown != s.shown {
		t.Fatalf("shown are %s, noted are %s", shown, s.shown)
	}
	all = all.Plus(shown).Plus(tile.RackOf(s.Wall()...))
	if all != tile.Rack(s.game.card.Set) {
		t.Fatalf("the tiles are %s", all)
	}
	if r := s.Result(); r.Net[0]+r.Net[1]+r.Net[2]+r.Net[3] != 0 || (s.phase == Over) != (r.Ending != 0) {
		t.Fatalf("phase %d, result %+v", s.phase, r)
	}
}

func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}
