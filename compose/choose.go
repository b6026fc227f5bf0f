package compose

import (
	"errors"
	"fmt"
	"math/rand/v2"
)

const (
	// cards is how many cards are picked from the candidates, swaps how many exchanges
	// of one hand are tried on each.
	cards = 12
	swaps = 4000
	// orders is how many random orders of a section's candidates are tried.
	orders = 200
)

// choose picks whole cards and returns the one with the least blemish of those that
// meet the demands.
func choose(rng *rand.Rand, pools [][]*candidate, themes []theme) (*layout, error) {
	spares := newSpares(pools, themes)
	var best *layout
	why := errors.New("no card could be laid out")
	for range cards {
		l := &layout{spares: spares}
		if err := l.fill(rng); err != nil {
			why = err
			continue
		}
		l.better(rng)
		if lack := l.sums.lacks(); lack != "" {
			why = errors.New("every card had a fault, the last one " + lack)
			continue
		}
		if best == nil || l.now < best.now {
			best = l
		}
	}
	if best == nil {
		return nil, why
	}
	return best, nil
}

// spares is what cards are laid out from; all layouts share it.
type spares struct {
	pools  [][]*candidate
	themes []theme
	// most is how often each word of what hands were drawn from may stand in a section.
	most []map[string]int
	over func(a, b place) int
}

// place is a candidate's place: section and index in its pool.
type place struct{ section, index int }

func (s *spares) at(p place) *candidate { return s.pools[p.section][p.index] }

// aspects are the words of what a hand was drawn from, made different from each other.
func (c *candidate) aspects() [5]string {
	return [5]string{"figure " + c.figure, "numbers " + c.numbers, "build " + c.build, "plan " + c.plan, "tail " + c.tail}
}

func newSpares(pools [][]*candidate, themes []theme) *spares {
	s := &spares{pools: pools, themes: themes, over: allShared(pools)}
	for i, pool := range pools {
		s.most = append(s.most, fairShares(pool, themes[i].hands))
	}
	return s
}

// fairShares allows each word of an aspect half more than its even share of the
// hands, and always two, so that a section shows all its ways.
func fairShares(pool []*candidate, hands int) map[string]int {
	var words [5]map[string]bool
	for _, c := range pool {
		for i, w := range c.aspects() {
			if words[i] == nil {
				words[i] = map[string]bool{}
			}
			words[i][w] = true
		}
	}
	most := map[string]int{}
	for _, set := range words {
		for w := range set {
			most[w] = max(2, (3*hands+2*len(set)-1)/(2*len(set)))
		}
	}
	return most
}

// mostClosed is how many of a section's hands may be concealed, where not all are: a third.
func (t *theme) mostClosed() int {
	if t.still {
		return t.hands
	}
	return (t.hands + 1) / 3
}

// layout is a card while it is being picked.
type layout struct {
	*spares
	places []place
	sums   sums
	now    float64 // the blemish
}

// fill picks hands for all sections at random.
func (l *layout) fill(rng *rand.Rand) error {
	for s := range l.themes {
		done := false
		for range orders {
			if done = l.fillSection(rng, s); done {
				break
			}
		}
		if !done {
			return fmt.Errorf("section %s: no %d hands that go together among %d", l.themes[s].section, l.themes[s].hands, len(l.pools[s]))
		}
	}
	return nil
}

// fillSection picks hands of a section in random order, each that goes with those before
// it; where too few do, none is picked.
func (l *layout) fillSection(rng *rand.Rand, s int) bool {
	start := len(l.places)
	for _, i := range rng.Perm(len(l.pools[s])) {
		if p := (place{s, i}); l.goes(p, -1) {
			l.places = append(l.places, p)
		}
		if len(l.places)-start == l.themes[s].hands {
			for _, p := range l.places[start:] {
				l.sums.add(l.at(p), 1)
			}
			return true
		}
	}
	l.places = l.places[:start]
	return false
}

// goes says whether a candidate may stand beside the hands picked, leaving out the
// one at except: it shares few enough tiles with each, and its section does not repeat itself.
func (l *layout) goes(p place, except int) bool {
	c := l.at(p)
	aspects := c.aspects()
	var count [5]int
	closed := 0
	for i, q := range l.places {
		if i == except || q.section != p.section {
			continue
		}
		o := l.at(q)
		differ := 0
		for j, w := range o.aspects() {
			if w == aspects[j] {
				count[j]++
			} else {
				differ++
			}
		}
		if o.concealed {
			closed++
		}
		if differ < 2 {
			return false
		}
	}
	for j, w := range aspects {
		if count[j] >= l.most[p.section][w] {
			return false
		}
	}
	if c.concealed && closed >= l.themes[p.section].mostClosed() {
		return false
	}
	for i, q := range l.places {
		if i != except && l.over(p, q) > mostShared {
			return false
		}
	}
	return true
}

// better tries swaps of one hand for another of its section and keeps those that
// lessen the blemish.
func (l *layout) better(rng *rand.Rand) {
	l.now = l.blemish()
	for range swaps {
		i := rng.IntN(len(l.places))
		old := l.places[i]
		next := place{old.section, rng.IntN(len(l.pools[old.section]))}
		if next == old || !l.goes(next, i) {
			continue
		}
		l.swap(i, next)
		if b := l.blemish(); b < l.now {
			l.now = b
		} else {
			l.swap(i, old)
		}
	}
}

func (l *layout) swap(i int, next place) {
	l.sums.add(l.at(l.places[i]), -1)
	l.sums.add(l.at(next), 1)
	l.places[i] = next
}

// blemish adds to that of the sums what only the sections show: one that is harder
// than others, or whose hands are all equally hard.
func (l *layout) blemish() float64 {
	means := make([]float64, len(l.themes))
	low, high := make([]float64, len(l.themes)), make([]float64, len(l.themes))
	for _, p := range l.places {
		d := l.at(p).difficulty
		means[p.section] += d / float64(l.themes[p.section].hands)
		if low[p.section] == 0 || d < low[p.section] {
			low[p.section] = d
		}
		high[p.section] = max(high[p.section], d)
	}
	b := l.sums.blemish() + 10*spread(means)
	for s := range low {
		b += 0.2 * max(0, aimStep-(high[s]-low[s]))
	}
	return b
}

// hands are those picked, by section.
func (l *layout) hands() [][]*candidate {
	list := make([][]*candidate, len(l.pools))
	for _, p := range l.places {
		list[p.section] = append(list[p.section], l.at(p))
	}
	return list
}

// allShared computes shared for pairs of candidates, each when it is first asked for.
func allShared(pools [][]*candidate) func(a, b place) int {
	first := make([]int, len(pools)+1)
	for s, p := range pools {
		first[s+1] = first[s] + len(p)
	}
	n := first[len(pools)]
	known := make([]uint8, n*n) // 0 is unknown, else shared + 1
	return func(a, b place) int {
		i, j := first[a.section]+a.index, first[b.section]+b.index
		i, j = min(i, j), max(i, j)
		if known[i*n+j] == 0 {
			known[i*n+j] = uint8(shared(pools[a.section][a.index], pools[b.section][b.index])) + 1
		}
		return int(known[i*n+j]) - 1
	}
}
