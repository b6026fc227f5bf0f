package tile

import "fmt"

// Set says how many copies of each kind there are, indexed by Kind.
type Set [Kinds]uint8

// The counts of the usual set and how far the house rule may move them.
const (
	UsualFlowers = 8
	UsualJokers  = 8
	MaxFlowers   = 24
	// MaxJokers keeps three tiles that can be passed in every rack of 13.
	MaxJokers = 10
)

// Usual is the set of 152 tiles: four of every ranked tile, wind and dragon,
// eight flowers and eight jokers.
var Usual = mustSet(UsualFlowers, UsualJokers)

// NewSet is the set under the house rules of docs/rules.md 1.3: flowers and jokers as given,
// 0 to 24 and 0 to 10, all else as usual.
func NewSet(flowers, jokers int) (Set, error) {
	var s Set
	if flowers < 0 || flowers > MaxFlowers {
		return s, fmt.Errorf("%d flowers: a set has 0 to %d", flowers, MaxFlowers)
	}
	if jokers < 0 || jokers > MaxJokers {
		return s, fmt.Errorf("%d jokers: a set has 0 to %d", jokers, MaxJokers)
	}
	for k := range s {
		s[k] = 4
	}
	s[Flower], s[Joker] = uint8(flowers), uint8(jokers)
	return s, nil
}

func mustSet(flowers, jokers int) Set {
	s, err := NewSet(flowers, jokers)
	if err != nil {
		panic(err)
	}
	return s
}

// Size is the number of tiles in the set.
func (s Set) Size() int { return Rack(s).Size() }

// Tiles lists every tile of the set in canonical order, one entry a tile; the
// caller owns the slice.
func (s Set) Tiles() []Kind { return Rack(s).Tiles() }

// Less is the set with the tiles of a rack taken out. It returns an *ExcessError
// for the first kind of which the rack has more than the set.
func (s Set) Less(r Rack) (Set, error) {
	if err := s.Holds(r); err != nil {
		return s, err
	}
	for k := range s {
		s[k] -= r[k]
	}
	return s, nil
}

// Holds returns nil when the set has every tile of the rack, and an
// *ExcessError for the first kind of which the rack has too many.
func (s Set) Holds(r Rack) error {
	for k := range s {
		if r[k] > s[k] {
			return &ExcessError{Kind: Kind(k), Have: int(r[k]), Copies: int(s[k])}
		}
	}
	return nil
}

// ExcessError says that a rack has more copies of a kind than there are.
type ExcessError struct {
	Kind         Kind
	Have, Copies int
}

func (e *ExcessError) Error() string {
	return fmt.Sprintf("%d of %s (%s), but the set holds %d", e.Have, e.Kind, e.Kind.Name(), e.Copies)
}
