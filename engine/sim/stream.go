package sim

import (
	"hash/fnv"
	"math/rand/v2"
)

// Stream is the random numbers of one game of a run for one purpose ("deal", "mock", ...). Equal
// arguments give equal numbers; streams that differ in any argument are unrelated.
//
// Source: PCG-DXSM of math/rand/v2, whose sequence Go's own tests pin; seeds are spread by the
// finaliser of SplitMix64 (G. Steele, D. Lea, C. Flood, Fast splittable pseudorandom number generators,
// OOPSLA 2014), since runs are numbered 1, 2, 3.
func Stream(seed, game uint64, purpose string) *rand.Rand {
	return new(stream).begin(seed, game, purpose)
}

// stream is memory for a Stream that is begun again for every game.
type stream struct {
	pcg  rand.PCG
	rand *rand.Rand
}

// begin is [Stream] in this memory.
func (s *stream) begin(seed, game uint64, purpose string) *rand.Rand {
	h := fnv.New64a()
	h.Write([]byte(purpose)) // a hash never fails to write
	s.pcg.Seed(mix(seed^mix(h.Sum64())), mix(game))
	if s.rand == nil {
		s.rand = rand.New(&s.pcg)
	}
	return s.rand
}

// mix is the finaliser of SplitMix64: neighbouring numbers come out unrelated.
func mix(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}
