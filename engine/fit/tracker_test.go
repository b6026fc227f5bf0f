package fit

import (
	"math/rand/v2"
	"slices"
	"testing"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// Along a walk on which tiles come and go and now and then all change, the tracker finds what the
// definition says of each rack.
func TestTrackerAgreesWithDefinition(t *testing.T) {
	x := New(card.Practice())
	tracker := NewTracker(x)
	rng := rand.New(rand.NewPCG(5, 5))
	tiles := tile.Usual.Tiles()
	var rack tile.Rack
	for step := range 2000 {
		if step%50 == 0 {
			rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
			rack = tile.RackOf(tiles[:13]...)
		}
		if k := tiles[rng.IntN(len(tiles))]; rack.Size() < 14 && rack[k] < tile.Usual[k] {
			rack[k]++
		} else if rack[k] > 0 {
			rack[k]--
		}
		slack, most := rng.IntN(13), rng.IntN(80)
		cost := []Cost{AwayCost, {4, 3}, {8, 1}}[rng.IntN(3)]
		want, wantLeast := plainWithin(x, rack, cost, slack, most)
		if got, least := tracker.Within(&rack, cost, slack, most, nil); least != wantLeast || !slices.Equal(got, want) {
			t.Fatalf("step %d, %s, %v slack %d most %d: %d variants from %d, %d from %d are right", step, rack, cost, slack, most, len(got), least, len(want), wantLeast)
		}
		want, wantLeast = plainWithin(x, rack, AwayCost, 0, 0)
		if got, least := tracker.Nearest(&rack, nil); least != wantLeast || !slices.Equal(got, want) {
			t.Fatalf("step %d, %s: %v at %d away, %v at %d are right", step, rack, got, least, want, wantLeast)
		}
	}
}

// Near complete hands, where costs are 0, the list is that of the definition: every variant is priced
// by a full reading.
func TestTrackerNearCompleteHands(t *testing.T) {
	c := card.Practice()
	x := New(c)
	tracker := NewTracker(x)
	rng := rand.New(rand.NewPCG(6, 6))
	for range 300 {
		v := &c.Variants[rng.IntN(len(c.Variants))]
		tiles := v.Small.Plus(v.Large).Tiles()
		rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
		rack := tile.RackOf(tiles[:14-rng.IntN(4)]...)
		rack[tile.Joker] = uint8(rng.IntN(15 - rack.Size()))
		if tile.Usual.Holds(rack) != nil {
			continue
		}
		var want []int32
		least, cost := 1000, Cost{4, 3}
		prices := make([]int, x.Len())
		for i := range prices {
			r := Read(c, x.Variant(int32(i)), rack)
			prices[i] = int(cost.Single)*r.MissingSingles + int(cost.Group)*(r.MissingGroups-r.JokersUsed)
			least = min(least, prices[i])
		}
		for i, p := range prices {
			if p <= least+7 {
				want = append(want, int32(i))
			}
		}
		if got, price := tracker.Within(&rack, cost, 7, 0, nil); price != least || !slices.Equal(got, want) {
			t.Fatalf("%s: %d variants from %d, %d from %d are right", rack, len(got), price, len(want), least)
		}
	}
}

func BenchmarkTracker(b *testing.B) {
	x := New(card.Practice())
	tracker := NewTracker(x)
	rng := rand.New(rand.NewPCG(1, 1))
	tiles := tile.Usual.Tiles()
	rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
	rack := tile.RackOf(tiles[:13]...)
	var list []int32
	for _, name := range []string{"nearest", "within"} {
		b.Run(name, func(b *testing.B) {
			i := 0
			for b.Loop() {
				k := tiles[13+i%100]
				i++
				rack[k]++
				if name == "nearest" {
					list, _ = tracker.Nearest(&rack, list[:0])
				} else {
					list, _ = tracker.Within(&rack, Cost{4, 3}, 10, 48, list[:0])
				}
				rack[k]--
			}
			b.ReportMetric(float64(len(list)), "list")
		})
	}
}
