package compose

import (
	"math"
	"math/rand/v2"
)

const (
	// cards is how many cards are picked from the candidates, swaps how many exchanges
	// of one hand are tried on each.
	cards = 12
	swaps = 4000
)

// choose picks whole cards and returns the one with the least blemish, by section.
func choose(rng *rand.Rand, pools [][]*candidate, themes []theme) ([][]*candidate, float64) {
	over := allShared(pools)
	best := math.Inf(1)
	var kept [][]*candidate
	for range cards {
		t := &table{pools: pools, over: over}
		if !t.lay(rng, themes) {
			continue
		}
		if b := t.better(rng); b < best {
			best, kept = b, t.hands()
		}
	}
	return kept, best
}

// at is a candidate's place: section and index in its pool.
type at struct{ section, index int }

// table is a card while it is being picked.
type table struct {
	pools  [][]*candidate
	over   func(a, b at) int
	places []at
	sums   sums
}

func (t *table) of(a at) *candidate { return t.pools[a.section][a.index] }

// lay fills all sections at random; false where a section cannot be filled.
func (t *table) lay(rng *rand.Rand, themes []theme) bool {
	for s := range themes {
		left := themes[s].hands
		for _, i := range rng.Perm(len(t.pools[s])) {
			if left == 0 {
				break
			}
			if a := (at{s, i}); t.goes(a, -1) {
				t.places = append(t.places, a)
				t.sums.add(t.of(a), 1)
				left--
			}
		}
		if left > 0 {
			return false
		}
	}
	return true
}

// goes says whether a candidate may stand beside the hands picked, that at except aside:
// it shares few enough tiles with each, and no other of its section has its figure and plan.
func (t *table) goes(a at, except int) bool {
	c := t.of(a)
	for i, b := range t.places {
		if i == except {
			continue
		}
		if t.over(a, b) > mostShared {
			return false
		}
		if o := t.of(b); a.section == b.section && o.figure == c.figure && (o.plan == c.plan && o.build == c.build) {
			return false
		}
	}
	return true
}

// better tries swaps of one hand for another of its section and keeps those that
// lessen the blemish, which it returns.
func (t *table) better(rng *rand.Rand) float64 {
	now := t.blemish()
	for range swaps {
		i := rng.IntN(len(t.places))
		old := t.places[i]
		next := at{old.section, rng.IntN(len(t.pools[old.section]))}
		if next == old || !t.goes(next, i) {
			continue
		}
		t.swap(i, next)
		if b := t.blemish(); b < now {
			now = b
		} else {
			t.swap(i, old)
		}
	}
	return now
}

func (t *table) swap(i int, next at) {
	t.sums.add(t.of(t.places[i]), -1)
	t.sums.add(t.of(next), 1)
	t.places[i] = next
}

func (t *table) blemish() float64 { return t.sums.blemish() }

// hands are those picked, by section.
func (t *table) hands() [][]*candidate {
	list := make([][]*candidate, len(t.pools))
	for _, a := range t.places {
		list[a.section] = append(list[a.section], t.of(a))
	}
	return list
}

// allShared computes shared for pairs of candidates, each once when it is first asked for.
func allShared(pools [][]*candidate) func(a, b at) int {
	first := make([]int, len(pools)+1)
	for s, p := range pools {
		first[s+1] = first[s] + len(p)
	}
	n := first[len(pools)]
	known := make([]uint8, n*n) // 0 is unknown, else shared + 1
	return func(a, b at) int {
		i := (first[a.section]+a.index)*n + first[b.section] + b.index
		if known[i] == 0 {
			known[i] = uint8(shared(pools[a.section][a.index], pools[b.section][b.index])) + 1
		}
		return int(known[i]) - 1
	}
}
