package fit

import (
	"math"
	"math/bits"
)

// one is the value of a complete hand in the fixed-point numbers of Value. Whole
// numbers make the sum over a card exact in any order, so that a value reached tile by
// tile equals the one computed from scratch.
const one = 1 << 27

// maxMissing bounds each half of a state: a hand has 14 tiles.
const maxMissing = 14

// Weights say what a variant is worth by what it lacks: single to the power of the
// missing singles times group to the power of the missing group tiles left after jokers.
// They are read-only and may be shared.
type Weights struct {
	// tables[J] serves a rack with J jokers.
	tables []table
}

// table serves racks with one number of jokers.
type table struct {
	// values holds, for each state, its weight and the finite differences of the weight when i more
	// singles and j more group tiles go missing, up to three in all, at i*perSingle + j*perGroup + state.
	// The first 256 entries are the weights themselves.
	values [maxSteps * perSingle]int32
	// worth is maxUnits-1 for states that weigh anything and 0 for those whose weight, and so every
	// difference beyond them, is 0 in fixed point.
	worth [256]record

	// The same weights a byte at a time, from the lowest up: lower for states below lowStates, upper for the others, which lack
	// so many singles that their weights are as good as nothing. bytesFrom has the bytes that are needed for states that are
	// at least so many tiles away, tallBytes those of upper.
	lower, upper [4][lowStates]uint8
	bytesFrom    [2*maxMissing + 4]uint8
	tallBytes    int
}

// lowStates is the number of states that lack fewer than eight singles.
const lowStates = 1 << 7

const (
	perGroup  = 256
	perSingle = maxSteps * perGroup
	maxSteps  = PassTiles + 1
	tableMask = maxSteps*perSingle - 1
)

// weights is the part of the table that gives the weight of a state.
func (t *table) weights() *[perGroup]int32 { return (*[perGroup]int32)(t.values[:]) }

// single and group are the differences for one single or one group tile more missing.
func (t *table) single() *[perGroup]int32 { return (*[perGroup]int32)(t.values[perSingle:]) }
func (t *table) group() *[perGroup]int32  { return (*[perGroup]int32)(t.values[perGroup:]) }

// NewWeights makes weights with a factor for each missing single or pair tile and one for
// each missing group tile, both above 0 and at most 1, for racks of up to maxJokers jokers.
// Which factors make a player strong is a matter of self-play; about 0.12 and 0.2 did in ours.
func NewWeights(single, group float64, maxJokers int) *Weights {
	w := &Weights{tables: make([]table, maxJokers+1)}
	for jokers := range w.tables {
		weight := func(s, g int) int64 {
			return int64(math.Round(one * math.Pow(single, float64(s)) * math.Pow(group, float64(max(g-jokers, 0)))))
		}
		for s := 0; s <= maxMissing; s++ {
			for g := 0; g <= maxMissing; g++ {
				w.tables[jokers].fill(s, g, weight)
			}
		}
		w.tables[jokers].lay(jokers)
	}
	return w
}

// fill computes the differences at one state for up to three tiles.
func (t *table) fill(s, g int, weight func(s, g int) int64) {
	if weight(s, g) != 0 {
		t.worth[s<<4|g] = maxUnits - 1
	}
	binomial := [4][4]int64{{1}, {1, 1}, {1, 2, 1}, {1, 3, 3, 1}}
	for i := 0; i <= 3; i++ {
		for j := 0; i+j <= 3; j++ {
			var sum int64
			for a := 0; a <= i; a++ {
				for b := 0; b <= j; b++ {
					term := binomial[i][a] * binomial[j][b] * weight(s+a, g+b)
					if (i-a+j-b)%2 == 1 {
						term = -term
					}
					sum += term
				}
			}
			t.values[i*perSingle+j*perGroup+(s<<4|g)] = int32(sum)
		}
	}
}

// lay parts the weights into bytes.
func (t *table) lay(jokers int) {
	for s, weight := range t.weights() {
		half := &t.lower
		if s >= lowStates {
			half = &t.upper
		}
		for p := range half {
			half[p][s%lowStates] = uint8(weight >> (8 * p))
		}
		size := (bits.Len32(uint32(weight)) + 7) / 8
		if s >= lowStates {
			t.tallBytes = max(t.tallBytes, size)
			continue
		}
		for away := range t.bytesFrom[:s>>4+max(s&15-jokers, 0)+1] {
			t.bytesFrom[away] = max(t.bytesFrom[away], uint8(size))
		}
	}
}
