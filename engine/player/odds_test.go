package player

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// binomial is the chance of k of n, from the formula.
func binomial(n, k int, p float64) float64 {
	if k < 0 || k > n {
		return 0
	}
	choose := 1.0
	for i := range k {
		choose *= float64(n-i) / float64(i+1)
	}
	return choose * math.Pow(p, float64(k)) * math.Pow(1-p, float64(n-k))
}

// come is the chance that exactly n of live naturals and jokers come.
func come(n, live, jokers int, q, j float64) float64 {
	sum := 0.0
	for a := range n + 1 {
		sum += binomial(live, a, q) * binomial(jokers, n-a, j)
	}
	return sum
}

// The tables hold what the definition says, worked out from binomial chances: at least so many naturals, or
// naturals and jokers, come; or one fewer, and one of those left is let go and claimed.
func TestOddsAgreeWithTheDefinition(t *testing.T) {
	p := Params{Horizon: 1, LetGo: .6, JokerShare: .35}
	o := NewOdds(p)
	for h := 1; h < horizons; h += 7 {
		q := maxChance * float64(h) / (horizons - 1)
		claim := q * 3 * p.LetGo
		for _, jokers := range []int{0, 3, 8} {
			table := &o.tables[h][jokers]
			for live := 0; live <= 8; live++ {
				for need := range maxNeed {
					var atLeast, helped float64
					for n := range need {
						atLeast += come(n, live, 0, q, 0)
						helped += come(n, live, jokers, q, q*p.JokerShare)
					}
					last := 0.0
					if need > 0 {
						last = 1 - math.Pow(1-claim, float64(max(live-(need-1), 0)))
					}
					want := [rates]float64{
						drawn:          1 - atLeast,
						drawnOrJoker:   1 - helped,
						claimed:        1 - atLeast + come(need-1, live, 0, q, 0)*last,
						claimedOrJoker: 1 - helped + come(need-1, live, jokers, q, q*p.JokerShare)*last,
					}
					for r, w := range want {
						if got := float64(table.come[r*perRate+need*perNeed+live]); math.Abs(got-w) > 1e-6 {
							t.Fatalf("q %.3f, %d jokers, rate %d: %d of %d live come with %.7f, by the definition %.7f", q, jokers, r, need, live, got, w)
						}
					}
				}
			}
		}
	}
}

// The chance of one copy is the share of the wall that the seat draws within the horizon, from the tiles unseen.
func TestHorizon(t *testing.T) {
	o := NewOdds(Params{Horizon: .4, LetGo: .5, JokerShare: .4})
	unseen := tile.Rack(tile.Usual)
	unseen[tile.Joker] = 5
	z := o.at(&unseen, 100)
	want := .4 * 25 / float64(unseen.Size())
	if got := float64(z.come[int(drawn)*perRate+perNeed+1]); math.Abs(got-want) > maxChance/(horizons-1)/2+1e-9 {
		t.Errorf("one copy comes with %.4f, not %.4f", got, want)
	}
}

// What a holding loses without a tile is its value less the value of the rest over the same lines, but for lines
// that have no say: each is worth less than the negligible part of it, 0.0005, and there may be dozens.
func TestLossIsTheFallOfTheValue(t *testing.T) {
	c := card.Practice()
	kit := kitOf(c, nil, Tuning{Params: General})
	s := kit.New()
	rng := rand.New(rand.NewPCG(8, 8))
	tiles := tile.Usual.Tiles()
	for range 400 {
		rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
		rack := tile.RackOf(tiles[:13]...)
		z := s.before(&rack)
		h := &hopes{book: kit.book, odds: kit.odds, near: s.hopes.near, weight: s.hopes.weight}
		held := holding{rack: rack}
		h.weigh(&held, &z)
		h.lose(&z)
		total, loss := h.total, h.loss
		if total == 0 || h.complete {
			continue
		}
		for k := range tile.Joker {
			if rack[k] == 0 || rack[tile.Joker] > 0 {
				continue // where the jokers would go may change with the tile
			}
			held.rack[k]--
			h.weighList(&held, &z)
			held.rack[k]++
			if got, want := loss[k], total-h.total; math.Abs(got-want) > 10*negligible*total+1e-12 {
				t.Fatalf("%s without %s: %.4g of %.4g lost, the rest is worth %.4g less", rack, k, got, total, want)
			}
		}
	}
}

// A rack nearer to a hand is worth more than the same with a tile less.
func TestWorth(t *testing.T) {
	s := kitOf(card.Practice(), nil, Tuning{Params: General}).New()
	c := card.Practice()
	rng := rand.New(rand.NewPCG(2, 9))
	for range 200 {
		v := &c.Variants[rng.IntN(len(c.Variants))]
		if !c.Hands[v.Hand].Jokers {
			continue
		}
		all := v.Small.Plus(v.Large)
		tiles := all.Tiles()
		rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
		near := tile.RackOf(tiles[:12]...)
		far := near
		far[tiles[0]]--
		if tile.Usual.Holds(near) != nil {
			continue
		}
		if a, b := s.Worth(near), s.Worth(far); a <= b {
			t.Errorf("%s is worth %.4g, without %s %.4g", near, a, tiles[0], b)
		}
	}
}

// With one tile missing, a copy of it that is seen dead lowers the value.
func TestDeadTilesCount(t *testing.T) {
	kit := kitOf(card.Practice(), nil, Tuning{Params: General})
	s := kit.New()
	variants := card.Practice().Variants
	v := &variants[slices.IndexFunc(variants, func(v card.Variant) bool { return tile.Usual.Holds(v.Small.Plus(v.Large)) == nil })]
	all := v.Small.Plus(v.Large)
	var missing tile.Kind
	for k, n := range v.Large {
		if n > 0 {
			missing = tile.Kind(k)
		}
	}
	all[missing]--
	unseen := tile.Rack(tile.Usual).Minus(all)
	z := kit.odds.at(&unseen, 60)
	live := s.value(&all, &z)
	unseen[missing]--
	z = kit.odds.at(&unseen, 60)
	if dead := s.value(&all, &z); dead >= live {
		t.Errorf("with a copy of %s dead %.4g, with all live %.4g", missing, dead, live)
	}
}
