package table

import (
	"math/rand/v2"
	"testing"

	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// throwAny discards a random tile of the seat in turn.
func throwAny(s *State, rng *rand.Rand) error {
	rack := &s.racks[s.turn]
	n := rng.IntN(rack.Size())
	k := tile.Kind(0)
	for ; n >= int(rack[k]); k++ {
		n -= int(rack[k])
	}
	return s.Apply(Action{Seat: s.turn, Kind: Discard, Tile: k})
}

// BenchmarkTrivial plays whole games of drawing and discarding, without claims: the state
// machine alone.
func BenchmarkTrivial(b *testing.B) {
	g := NewGame(card.Practice(), house.Usual)
	rng := rand.New(rand.NewPCG(1, 2))
	start, err := g.Start(Deal(g.Set(), rng))
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	turns := 0
	for b.Loop() {
		s := start
		for s.phase != Over {
			if err := throwAny(&s, rng); err != nil {
				b.Fatal(err)
			}
			if s.phase == Claiming {
				if err := s.Settle([charleston.Seats]Claim{}); err != nil {
					b.Fatal(err)
				}
			}
			turns++
		}
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "games/s")
	b.ReportMetric(float64(turns)/float64(b.N), "turns/game")
}

// BenchmarkLegal plays whole games in which every seat chooses at random from its legal
// actions at every turn and at every discard.
func BenchmarkLegal(b *testing.B) {
	g := NewGame(card.Practice(), house.Usual)
	rng := rand.New(rand.NewPCG(1, 2))
	var legal []Action
	b.ReportAllocs()
	for b.Loop() {
		s, err := g.Start(Deal(g.Set(), rng))
		if err != nil {
			b.Fatal(err)
		}
		for s.phase != Over {
			if s.phase == Discarding {
				legal = s.AppendLegal(legal[:0], s.turn)
				if err := s.Apply(legal[rng.IntN(len(legal))]); err != nil {
					b.Fatal(err)
				}
				continue
			}
			var claims [charleston.Seats]Claim
			for seat := range charleston.Seat(charleston.Seats) {
				if s.Waits(seat) {
					legal = s.AppendLegal(legal[:0], seat)
					claims[seat] = legal[rng.IntN(len(legal))].Claim()
				}
			}
			if err := s.Settle(claims); err != nil {
				b.Fatal(err)
			}
		}
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "games/s")
}

func BenchmarkCopy(b *testing.B) {
	g := NewGame(card.Practice(), house.Usual)
	s, err := g.Start(Deal(g.Set(), rand.New(rand.NewPCG(1, 2))))
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		s2 := s
		sink = s2
	}
}

var sink State

func BenchmarkNewGame(b *testing.B) {
	for b.Loop() {
		NewGame(card.Practice(), house.Usual)
	}
}

// BenchmarkRedeal replaces all that a seat cannot see, as a simulation does before every game.
func BenchmarkRedeal(b *testing.B) {
	g := NewGame(card.Practice(), house.Usual)
	s, err := g.Start(Deal(g.Set(), rand.New(rand.NewPCG(1, 2))))
	if err != nil {
		b.Fatal(err)
	}
	racks, wall := s.racks, s.Wall()
	b.ReportAllocs()
	for b.Loop() {
		other := s
		if err := other.Redeal(charleston.South, &racks, wall); err != nil {
			b.Fatal(err)
		}
		sink = other
	}
}
