package deal

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"secondpass/engine/fit"
	"secondpass/engine/sim"
	"secondpass/internal/goodness"
	"secondpass/internal/oracle"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// exact is R's answer for a case of testdata/deal.R.
func exact(t *testing.T, name string) []oracle.Row {
	t.Helper()
	var rows []oracle.Row
	for _, r := range oracle.R(t, "testdata/deal.R") {
		if r.Name == name {
			rows = append(rows, r)
		}
	}
	if len(rows) == 0 {
		t.Fatalf("deal.R printed no row %q", name)
	}
	return rows
}

func dealerFor(t *testing.T, cond Condition, size int) *dealer {
	t.Helper()
	d, err := newDealer(cond, size, tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// The exact shares of constrained deals agree with R's hypergeometric distribution.
func TestShareAgainstR(t *testing.T) {
	check := func(d *dealer, row oracle.Row) {
		if want := row.Out[0]; math.Abs(d.share-want) > 1e-12*want {
			t.Errorf("%s: share %.17g, R says %.17g", row.Text, d.share, want)
		}
	}
	for _, r := range exact(t, "jokers") {
		check(dealerFor(t, Condition{Jokers: &Range{int(r.In[0]), int(r.In[1])}}, int(r.In[2])), r)
	}
	for _, r := range exact(t, "pair") {
		check(dealerFor(t, Condition{Has: tile.MustParse("44b")}, int(r.In[0])), r)
	}
	for _, r := range exact(t, "pair-flower-no-joker") {
		check(dealerFor(t, Condition{Has: tile.MustParse("44b F"), Jokers: &Range{0, 0}}, int(r.In[0])), r)
	}
}

// draws counts something over many deals and compares with R's chances, which stand for
// first, first+1 and so on.
func draws(t *testing.T, name string, first int, draw func(rng *rand.Rand) int) {
	t.Helper()
	const n = 40_000
	chances := exact(t, name)[0].Out
	seen, expected := make([]int, len(chances)), make([]float64, len(chances))
	for i, p := range chances {
		expected[i] = p * n
	}
	for i := range uint64(n) {
		seen[draw(sim.Stream(7, i, name))-first]++
	}
	c, err := goodness.ChiSquareTest(seen, expected)
	if err != nil || c.P < 1e-3 {
		t.Errorf("%s: seen %v, expected %.1f: chi-square %.1f, p %.2g, %v", name, seen, expected, c.Stat, c.P, err)
	}
}

// Dealing and mock passes follow the exact hypergeometric chances that R gives.
func TestDealingAgainstR(t *testing.T) {
	free := dealerFor(t, Condition{}, 13)
	draws(t, "jokers-dealt", 0, func(rng *rand.Rand) int { return int(free.deal(rng)[tile.Joker]) })
	draws(t, "flowers-dealt", 0, func(rng *rand.Rand) int { return int(free.deal(rng)[tile.Flower]) })
	some := dealerFor(t, Condition{Jokers: &Range{1, 8}}, 13)
	draws(t, "jokers-given-one", 1, func(rng *rand.Rand) int { return int(some.deal(rng)[tile.Joker]) })
	pair := dealerFor(t, Condition{Has: tile.MustParse("44b"), Jokers: &Range{1, 2}}, 13)
	draws(t, "copies-given", 2, func(rng *rand.Rand) int { return int(pair.deal(rng)[tile.Ranked(4, tile.Bams)]) })
	dealt := tile.MustParse("FF J 1234567b NEW")
	draws(t, "mock-flowers", 0, func(rng *rand.Rand) int {
		m, err := charleston.DrawMock(dealt, tile.Usual, rng)
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for _, tiles := range m[charleston.FirstRight:] {
			n += int(tile.RackOf(tiles[:]...)[tile.Flower])
		}
		return n
	})
}

// Exact dealing to a condition gives the racks that rejection gives: the other kinds follow too.
func TestExactDealingAgainstRejection(t *testing.T) {
	cond := Condition{Has: tile.MustParse("44b F"), Jokers: &Range{0, 1}}
	exactly, free := dealerFor(t, cond, 14), dealerFor(t, Condition{}, 14)
	var kept, drawn [15]int // by number of bams
	bams := func(r tile.Rack) (n int) {
		for rank := 1; rank <= 9; rank++ {
			n += int(r[tile.Ranked(rank, tile.Bams)])
		}
		return n
	}
	accepted := 0
	for i := range uint64(400_000) {
		if r := free.deal(sim.Stream(1, i, "free")); r.Contains(cond.Has) && r[tile.Joker] <= 1 {
			kept[bams(r)]++
			accepted++
		}
	}
	const n = 200_000
	for i := range uint64(n) {
		drawn[bams(exactly.deal(sim.Stream(1, i, "exact")))]++
	}
	// The larger sample serves as the expectation of the smaller one; its own error adds a
	// tenth to the statistic, which the limit on p allows for.
	expected := make([]float64, len(drawn))
	for i := range expected {
		expected[i] = float64(drawn[i]) * float64(accepted) / n
	}
	c, err := goodness.ChiSquareTest(kept[:], expected)
	if err != nil || c.P < 1e-3 {
		t.Errorf("rejection %v, expected %.1f: p %.2g, %v", kept, expected, c.P, err)
	}
	if share := float64(accepted) / 400_000; math.Abs(share-exactly.share) > 5*math.Sqrt(share/400_000) {
		t.Errorf("rejection accepts %.4f, the exact share is %.4f", share, exactly.share)
	}
}

func TestDrawToCondition(t *testing.T) {
	x := fit.New(card.Practice())
	cond := Condition{Jokers: &Range{1, 1}, Has: tile.MustParse("44b"), BestAway: &Range{6, 7}, TwoPlans: true}
	r, rep, err := Draw(cond, 13, tile.Usual, x, 3)
	if err != nil {
		t.Fatal(err)
	}
	hands := x.Hands(r)
	near := map[int]bool{}
	for _, h := range hands {
		if h.Away == hands[0].Away {
			near[h.OnCard().Section] = true
		}
	}
	if r.Size() != 13 || r[tile.Joker] != 1 || !r.Contains(cond.Has) || hands[0].Away < 6 || hands[0].Away > 7 || len(near) != 2 {
		t.Errorf("%s: nearest %d away, %d sections", r, hands[0].Away, len(near))
	}
	if rep.Accepted.N != rateTrials || rep.Accepted.Value <= 0 || rep.Share >= 1 {
		t.Errorf("%+v", rep)
	}
	if again, _, _ := Draw(cond, 13, tile.Usual, x, 3); again != r {
		t.Error("the same seed deals another rack")
	}
	if other, _, _ := Draw(cond, 13, tile.Usual, x, 4); other == r {
		t.Error("another seed deals the same rack")
	}
}

func TestDrawRefuses(t *testing.T) {
	x := fit.New(card.Practice())
	tests := []struct {
		name string
		cond Condition
		want string
	}{
		{"nine jokers", Condition{Jokers: &Range{9, 9}}, "impossible: no deal of 13 tiles has \"jokers 9\""},
		{"a joker held and none wanted", Condition{Jokers: &Range{0, 0}, Has: tile.MustParse("J")}, "impossible: no deal"},
		{"more tiles than the deal", Condition{Has: tile.MustParse("1111222233334b N")}, "impossible: 14 tiles asked for"},
		{"complete at the deal of 13", Condition{BestAway: &Range{0, 0}}, "impossible: 13 tiles are 1 to 14 away"},
		{"further than any hand", Condition{BestAway: &Range{15, 99}}, "impossible: 13 tiles"},
		{"one away at the deal", Condition{BestAway: &Range{1, 1}, Jokers: &Range{0, 0}}, "too rare: none of 1000000 deals"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if _, _, err := Draw(tt.cond, 13, tile.Usual, x, 1); err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("error %v, want %q", err, tt.want)
			}
		})
	}
}
