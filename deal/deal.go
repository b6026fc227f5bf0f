package deal

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"

	"secondpass/engine/fit"
	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// Range is a lowest and a highest number, both included.
type Range struct{ Low, High int }

func (r Range) String() string {
	if r.Low == r.High {
		return fmt.Sprint(r.Low)
	}
	return fmt.Sprintf("%d..%d", r.Low, r.High)
}

// Holds says whether a number is in the range.
func (r Range) Holds(n int) bool { return r.Low <= n && n <= r.High }

// ParseRange reads "3" or "1..3"; nil for "".
func ParseRange(text string) (*Range, error) {
	if text == "" {
		return nil, nil
	}
	low, high, two := strings.Cut(text, "..")
	if !two {
		high = low
	}
	a, errA := strconv.Atoi(low)
	b, errB := strconv.Atoi(high)
	if errA != nil || errB != nil || a < 0 || b < a {
		return nil, fmt.Errorf("%q: a number or a range from small to large, as in 2 or 1..3, is right", text)
	}
	return &Range{Low: a, High: b}, nil
}

// Condition is what a deal must be like. The zero Condition lets every deal through.
type Condition struct {
	// Jokers bounds the number of jokers, when not nil.
	Jokers *Range
	// Has are tiles that the rack must hold at least.
	Has tile.Rack
	// BestAway bounds the tiles away of the nearest hand, when not nil.
	BestAway *Range
	// TwoPlans asks for two sections equally near and none nearer.
	TwoPlans bool
}

// String is the condition in words, "" for none.
func (c Condition) String() string {
	var parts []string
	if c.Jokers != nil {
		parts = append(parts, fmt.Sprintf("jokers %s", c.Jokers))
	}
	if c.Has.Size() > 0 {
		parts = append(parts, "has "+c.Has.String())
	}
	if c.BestAway != nil {
		parts = append(parts, fmt.Sprintf("best away %s", c.BestAway))
	}
	if c.TwoPlans {
		parts = append(parts, "two plans equally near")
	}
	return strings.Join(parts, ", ")
}

// searched says whether part of the condition can only be met by trying.
func (c Condition) searched() bool { return c.BestAway != nil || c.TwoPlans }

// Rarity says how rare the deals of a condition are.
type Rarity struct {
	// Share is the exact chance of a random deal to have the jokers and tiles asked for.
	Share float64
	// Accepted is the share of those deals that also met the searched part (BestAway, TwoPlans),
	// from a fixed number of trials; N is 0 where nothing was searched.
	Accepted stat.Interval[unit.Chance]
	// Tried is the trial that was kept, counted from 1.
	Tried int
}

const (
	// rateTrials is how many deals tell the rate of acceptance.
	rateTrials = 2_000
	// maxTrials is when a condition is given up as too rare.
	maxTrials = 1_000_000
)

// ErrTooRare is that of a condition which so many deals did not meet that it is given up.
var ErrTooRare = errors.New("too rare")

// Draw deals a rack of the given size to a condition, by the seed. The jokers and tiles asked for
// are met exactly: how many copies of each stand in the rack is drawn in proportion to the number of racks that have
// so many (multivariate hypergeometric), the rest uniformly from the other kinds. BestAway and TwoPlans are met by
// rejection: deals are tried in turn until one fits. x is the index of the card, needed for these two.
func Draw(cond Condition, size int, set tile.Set, x *fit.Index, seed uint64) (tile.Rack, Rarity, error) {
	d, err := newDealer(cond, size, set)
	if err != nil {
		return tile.Rack{}, Rarity{}, err
	}
	if r := cond.BestAway; r != nil && (r.High < card.HandTiles-size || r.Low > card.HandTiles) {
		return tile.Rack{}, Rarity{}, fmt.Errorf("impossible: %d tiles are %d to %d away from a hand of %d", size, card.HandTiles-size, card.HandTiles, card.HandTiles)
	}
	rare := Rarity{Share: d.share, Tried: 1}
	if !cond.searched() {
		return d.deal(sim.Stream(seed, 0, "deal")), rare, nil
	}
	if x.Len() == 0 {
		return tile.Rack{}, rare, fmt.Errorf("the card has no hands, so that none can be near")
	}
	m := matcher{cond: cond, rater: fit.NewRater(x), x: x}
	var found tile.Rack
	rare.Tried = 0
	accepted := 0
	for trial := range maxTrials {
		if rare.Tried > 0 && trial >= rateTrials {
			break
		}
		rack := d.deal(sim.Stream(seed, uint64(trial), "deal"))
		if !m.fits(rack) {
			continue
		}
		if trial < rateTrials {
			accepted++
		}
		if rare.Tried == 0 {
			found, rare.Tried = rack, trial+1
		}
	}
	rare.Accepted = stat.Wilson(accepted, rateTrials)
	if rare.Tried == 0 {
		return found, rare, fmt.Errorf("%w: none of %d deals with %q; ask for less", ErrTooRare, maxTrials, cond)
	}
	return found, rare, nil
}

// matcher tests the searched part of a condition.
type matcher struct {
	cond  Condition
	rater *fit.Rater
	x     *fit.Index
	near  []fit.Reading
}

func (m *matcher) fits(rack tile.Rack) bool {
	if r := m.cond.BestAway; r != nil {
		if away := m.rater.Away(&rack); away < r.Low || away > r.High {
			return false
		}
	}
	return !m.cond.TwoPlans || m.sectionsNearest(rack) == 2
}

// sectionsNearest is the number of sections whose best hand is as near as the nearest of all.
func (m *matcher) sectionsNearest(rack tile.Rack) int {
	m.near, _ = m.rater.Nearest(&rack, len(m.x.Card().Hands), m.near[:0])
	sections := map[int]bool{}
	for i := range m.near {
		if m.near[i].Away > m.near[0].Away {
			break
		}
		sections[m.near[i].OnCard().Section] = true
	}
	return len(sections)
}

// dealer draws racks whose counts of some kinds are bounded.
type dealer struct {
	size  int
	kinds []bounded
	rest  []tile.Kind // the tiles of all other kinds
	// ways[i][n] is the number of ways to fill n places from kinds[i:] and the rest.
	ways  [][]float64
	share float64
}

type bounded struct {
	kind      tile.Kind
	low, high int
	copies    int
}

func newDealer(cond Condition, size int, set tile.Set) (*dealer, error) {
	d := &dealer{size: size}
	if err := set.Holds(cond.Has); err != nil {
		return nil, fmt.Errorf("impossible: a deal with %w", err)
	}
	if n := cond.Has.Size(); n > size {
		return nil, fmt.Errorf("impossible: %d tiles asked for in a deal of %d", n, size)
	}
	for k, copies := range set {
		b := bounded{tile.Kind(k), int(cond.Has[k]), int(copies), int(copies)}
		if b.kind == tile.Joker && cond.Jokers != nil {
			b.low, b.high = max(b.low, cond.Jokers.Low), min(b.high, cond.Jokers.High)
		}
		if b.low > 0 || b.high < b.copies {
			d.kinds = append(d.kinds, b)
			continue
		}
		for range copies {
			d.rest = append(d.rest, b.kind)
		}
	}
	d.count()
	if d.share == 0 {
		return nil, fmt.Errorf("impossible: no deal of %d tiles has %q", size, cond)
	}
	return d, nil
}

// count fills ways from the last bounded kind to the first.
func (d *dealer) count() {
	d.ways = make([][]float64, len(d.kinds)+1)
	for i := range d.ways {
		d.ways[i] = make([]float64, d.size+1)
	}
	last := len(d.kinds)
	total := len(d.rest)
	for n := range d.ways[last] {
		d.ways[last][n] = choose(len(d.rest), n)
	}
	for i := last - 1; i >= 0; i-- {
		b := d.kinds[i]
		total += b.copies
		for n := range d.ways[i] {
			for c := b.low; c <= min(b.high, n); c++ {
				d.ways[i][n] += float64(choose(b.copies, c) * d.ways[i+1][n-c])
			}
		}
	}
	d.share = d.ways[0][d.size] / choose(total, d.size)
}

// choose is the binomial coefficient. Those of a deal stay below 2^63 and come out exact or within
// a rounding of the last place.
func choose(n, k int) float64 {
	if k < 0 || k > n {
		return 0
	}
	c := 1.0
	for i := range k {
		c = c * float64(n-i) / float64(i+1)
	}
	return math.Round(c)
}

// deal draws one rack.
func (d *dealer) deal(rng *rand.Rand) tile.Rack {
	var rack tile.Rack
	left := d.size
	for i, b := range d.kinds {
		at := rng.Float64() * d.ways[i][left]
		drawn := 0
		for c := b.low; c <= min(b.high, left); c++ {
			w := float64(choose(b.copies, c) * d.ways[i+1][left-c])
			if w == 0 {
				continue // even where rounding leaves a crumb of at, the deal stays possible
			}
			drawn = c
			if at < w {
				break
			}
			at -= w
		}
		rack[b.kind] = uint8(drawn)
		left -= drawn
	}
	rest := make([]tile.Kind, len(d.rest))
	copy(rest, d.rest)
	for i := range left {
		j := i + rng.IntN(len(rest)-i)
		rest[i], rest[j] = rest[j], rest[i]
		rack[rest[i]]++
	}
	return rack
}
