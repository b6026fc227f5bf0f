package compose

import (
	"cmp"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
)

const (
	// cards is how many cards are picked from the candidates, swaps how many exchanges
	// of one hand are tried on each.
	cards = 12
	swaps = 10000
	// orders is how many random orders of a section's candidates are tried.
	orders = 200
	// gain is what a swap must lessen the blemish by: more than rounding does, which is not
	// the same on every processor.
	gain = 1e-9
)

// choose picks whole cards and returns the one with the least blemish of those that
// meet the demands.
func choose(rng *rand.Rand, pools [][]*candidate, themes []theme, wish Wish) (*layout, error) {
	spares := newSpares(pools, themes, wish)
	var best *layout
	why := errors.New("no card could be laid out")
	for range cards {
		l := &layout{spares: spares}
		if err := l.fill(rng); err != nil {
			why = err
			continue
		}
		l.better(rng)
		if lack := l.lacks(&l.sums); lack != "" {
			why = errors.New("every card had a fault, the last one " + lack)
			continue
		}
		if best == nil || l.now < best.now-gain {
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
	demands
	// most is how often each word of an aspect may stand in a section.
	most [][aspects]map[string]int
	over func(a, b place) int
}

// place is a candidate's place: section and index in its pool.
type place struct{ section, index int }

func (s *spares) at(p place) *candidate { return s.pools[p.section][p.index] }

func newSpares(pools [][]*candidate, themes []theme, wish Wish) *spares {
	s := &spares{pools: pools, themes: themes, demands: demandsOf(themes, wish), over: allShared(pools)}
	for i, pool := range pools {
		s.most = append(s.most, fairShares(pool, themes[i].hands))
	}
	return s
}

// fairShares allows each word of an aspect half more than its even share of the hands,
// and always two, so that a section shows all its ways.
func fairShares(pool []*candidate, hands int) (most [aspects]map[string]int) {
	for i := range most {
		most[i] = map[string]int{}
		for _, c := range pool {
			most[i][c.words[i]] = 0
		}
		for w := range most[i] {
			most[i][w] = max(2, (3*hands+2*len(most[i])-1)/(2*len(most[i])))
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

// fill picks hands for all sections at random, for those with the fewest to choose from first.
func (l *layout) fill(rng *rand.Rand) error {
	choice := func(s int) float64 { return float64(len(l.pools[s])) / float64(l.themes[s].hands) }
	order := make([]int, len(l.themes))
	for s := range order {
		order[s] = s
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(choice(a), choice(b)) })
	for _, s := range order {
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
	slices.SortStableFunc(l.places, func(a, b place) int { return cmp.Compare(a.section, b.section) })
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
// one at except: its section does not repeat itself, and it shares few enough tiles with each.
func (l *layout) goes(p place, except int) bool {
	if l.repeats(p, except) {
		return false
	}
	for i, q := range l.places {
		if i != except && l.over(p, q) > mostShared {
			return false
		}
	}
	return true
}

// repeats says whether a candidate is too much like those of its section: the same
// as one in all aspects but one, one word too often, or one concealed hand too many.
func (l *layout) repeats(p place, except int) bool {
	c := l.at(p)
	var count [aspects]int
	closed := 0
	for i, q := range l.places {
		if i == except || q.section != p.section {
			continue
		}
		o := l.at(q)
		alike := 0
		for j, w := range o.words {
			if w == c.words[j] {
				count[j]++
				alike++
			}
		}
		if alike >= aspects-1 {
			return true
		}
		if o.concealed {
			closed++
		}
	}
	for j, w := range c.words {
		if count[j] >= l.most[p.section][j][w] {
			return true
		}
	}
	return c.concealed && closed >= l.themes[p.section].mostClosed()
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
		if b := l.blemish(); b < l.now-gain {
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
	b := l.demands.blemish(&l.sums) + float64(10*spread(means))
	for s := range low {
		b += float64(0.2 * max(0, aimStep-(high[s]-low[s])))
	}
	return b
}
