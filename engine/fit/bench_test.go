package fit

import (
	"flag"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// The benchmarks time each fast path beside the plain definition on the same racks in the
// same run, and report the ratio as "times-plain". Run them with
//
//	go test -run '^$' -bench . ./engine/fit
//
// internal/yardstick sets them beside a program in C, on several cards.

var benchFile = flag.String("card", "", "card file that benchmarks are run on; without it the practice card")

// benchCard is the card that benchmarks are run on.
func benchCard(b *testing.B) *card.Card {
	b.Helper()
	if *benchFile == "" {
		return card.Practice()
	}
	text, err := os.ReadFile(*benchFile)
	if err != nil {
		b.Fatal(err)
	}
	c, _, err := card.Read(*benchFile, text, tile.Usual)
	if err != nil {
		b.Fatal(err)
	}
	return c
}

func benchRacks(x *Index, size int) []tile.Rack {
	rng := rand.New(rand.NewPCG(7, 7))
	racks := make([]tile.Rack, 256)
	for i := range racks {
		tiles := tile.Usual.Tiles()
		rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
		racks[i] = tile.RackOf(tiles[:size]...)
	}
	return racks
}

// sparse is a variant as the plain loops read it: only the kinds it needs.
type sparse struct {
	kinds []struct{ kind, single, group uint8 }
}

func sparseCard(x *Index) []sparse {
	list := make([]sparse, len(x.needs))
	for v, n := range x.needs {
		for k := range naturals {
			if p, g := n.single[k], n.group[k]; p+g > 0 {
				list[v].kinds = append(list[v].kinds, struct{ kind, single, group uint8 }{uint8(k), p, g})
			}
		}
	}
	return list
}

func (s *sparse) missing(rack *tile.Rack) (singles, groups uint8) {
	for _, n := range s.kinds {
		have := rack[n.kind]
		if have < n.single {
			singles += n.single - have
			groups += n.group
			continue
		}
		groups += n.group - min(have-n.single, n.group)
	}
	return
}

var sink int64

// compareWithPlain runs fast for the benchmark's count and plain for a share of it, both over
// the same racks, and reports how many times longer plain takes.
func compareWithPlain(b *testing.B, racks []tile.Rack, plainEvery int, fast, plain func(*tile.Rack) int64) {
	for i := range racks { // the two do the same work
		if f, p := fast(&racks[i]), plain(&racks[i]); f != p {
			b.Fatalf("%s: fast %d, plain %d", racks[i], f, p)
		}
		if i == 8 {
			break
		}
	}
	var plainTime time.Duration
	plainRuns := 0
	b.ResetTimer()
	for i := 0; b.Loop(); i++ {
		sink += fast(&racks[i%len(racks)])
		if i%plainEvery == 0 {
			b.StopTimer()
			start := time.Now()
			sink += plain(&racks[plainRuns%len(racks)])
			plainTime += time.Since(start)
			plainRuns++
			b.StartTimer()
		}
	}
	b.StopTimer()
	fastEach := float64(b.Elapsed().Nanoseconds()) / float64(b.N)
	b.ReportMetric(float64(plainTime.Nanoseconds())/float64(plainRuns)/fastEach, "times-plain")
}

func BenchmarkAway(b *testing.B) {
	x := New(benchCard(b))
	r, list := NewRater(x), sparseCard(x)
	compareWithPlain(b, benchRacks(x, 13), 5000,
		func(rack *tile.Rack) int64 { return int64(r.Away(rack)) },
		func(rack *tile.Rack) int64 {
			best := uint8(99)
			for v := range list {
				s, g := list[v].missing(rack)
				best = min(best, s+g-min(g, rack[tile.Joker]))
			}
			return int64(best)
		})
}

func plainSum(list []sparse, w *Weights, rack *tile.Rack) int64 {
	weight := w.tables[rack[tile.Joker]].weights()
	var sum int64
	for v := range list {
		s, g := list[v].missing(rack)
		sum += int64(weight[s<<4|g])
	}
	return sum
}

func BenchmarkValue(b *testing.B) {
	x := New(benchCard(b))
	r, list, w := NewRater(x), sparseCard(x), NewWeights(0.12, 0.2, tile.UsualJokers)
	compareWithPlain(b, benchRacks(x, 13), 5000,
		func(rack *tile.Rack) int64 { return r.Value(w, rack) },
		func(rack *tile.Rack) int64 { return plainSum(list, w, rack) })
}

func BenchmarkDiscards(b *testing.B) {
	x := New(benchCard(b))
	r, list, w := NewRater(x), sparseCard(x), NewWeights(0.12, 0.2, tile.UsualJokers)
	compareWithPlain(b, benchRacks(x, 14), 20000,
		func(rack *tile.Rack) int64 {
			var out [tile.Kinds]int64
			r.Discards(w, rack, &out)
			var sum int64
			for k, c := range rack {
				sum += int64(c) * out[k]
			}
			return sum
		},
		func(rack *tile.Rack) int64 {
			var sum int64
			for _, k := range rack.Tiles() {
				less := *rack
				less[k]--
				sum += plainSum(list, w, &less)
			}
			return sum
		})
}

func BenchmarkPasses(b *testing.B) {
	x := New(benchCard(b))
	r, list, w := NewRater(x), sparseCard(x), NewWeights(0.12, 0.2, tile.UsualJokers)
	passes := make([]Pass, 0, 364)
	racks := benchRacks(x, 14)
	distinct := make(map[*tile.Rack][][PassTiles]tile.Kind)
	for i := range racks {
		distinct[&racks[i]] = plainPasses(racks[i])
	}
	compareWithPlain(b, racks, 20000,
		func(rack *tile.Rack) int64 {
			passes = r.Passes(w, rack, passes[:0])
			var sum int64
			for i := range passes {
				sum += passes[i].Value
			}
			return sum
		},
		func(rack *tile.Rack) int64 {
			var sum int64
			for _, p := range distinct[rack] {
				less := rack.Minus(tile.RackOf(p[:]...))
				sum += plainSum(list, w, &less)
			}
			return sum
		})
}

// One tile out and another in, the value known after each.
func BenchmarkOneTile(b *testing.B) {
	x := New(benchCard(b))
	list, w := sparseCard(x), NewWeights(0.12, 0.2, tile.UsualJokers)
	racks := benchRacks(x, 14)
	standings := make(map[*tile.Rack]*Standing)
	tiles := make(map[*tile.Rack][]tile.Kind)
	for i := range racks {
		standings[&racks[i]] = NewRater(x).Standing(w, racks[i])
		tiles[&racks[i]] = racks[i].Tiles()
	}
	compareWithPlain(b, racks, 5000,
		func(rack *tile.Rack) int64 {
			s, k := standings[rack], tiles[rack][3]
			s.Remove(k)
			less := s.Value()
			s.Add(k)
			return less + s.Value()
		},
		func(rack *tile.Rack) int64 {
			less := *rack
			less[tiles[rack][3]]--
			return plainSum(list, w, &less) + plainSum(list, w, rack)
		})
}
