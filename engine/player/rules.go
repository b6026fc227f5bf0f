package player

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// Rules are what a player is held to beside its own judgement. They compose; the zero Rules ask for nothing.
// Where a rule cannot be kept with the tiles held, the others still are, and the action is legal in any case.
type Rules struct {
	// KeepFlowers: never pass a flower.
	KeepFlowers bool
	// OneOfEach: pass one tile of each suit, as far as there are three.
	OneOfEach bool
	// NoPairs: never pass two equal tiles together.
	NoPairs bool
	// Keep: never pass a tile of these kinds, one bit a kind.
	Keep uint64
	// Give: pass tiles of these kinds, one bit a kind, before any other.
	Give uint64
	// KeepMultiples: never pass a tile of which two or more are held.
	KeepMultiples bool
	// Together: pass a pair, or neighbours in one suit; the third tile is free.
	Together bool
	// Blind says when to pass blind, where that is allowed; BlindCount how many tiles then, 1 to 3, and for
	// BlindWhenSpare BlindSpare, 0 to 3, the most tiles that the nearest hands can all do without.
	Blind                  BlindRule
	BlindCount, BlindSpare int
	// Stop says how to vote after the first left; for StopWhenSpare StopSpare, 0 to 3, is the most tiles that the
	// nearest hands can all do without.
	Stop      StopRule
	StopSpare int
	// FixedCourtesy: offer Courtesy tiles, 0 to 3.
	FixedCourtesy bool
	Courtesy      int
	// JokerBait: keep a spare pair while other tiles are spare, and discard from it once the wall
	// is short, so that the third copy may take a joker out of the group that somebody claims it for.
	JokerBait bool
	// SpoilOneIn, when not 0: in one game of so many, by lot, pass the best multiple first of all. It is a known
	// mistake, for testing whether an experiment finds one.
	SpoilOneIn int
}

// BlindRule says when to pass blind; the zero BlindRule leaves it to the player.
type BlindRule uint8

const (
	// BlindNever passes own tiles only.
	BlindNever BlindRule = 1 + iota
	// BlindAlways passes blind wherever that is allowed.
	BlindAlways
	// BlindWhenSpare passes blind when the nearest hands leave few tiles to spare.
	BlindWhenSpare
)

// StopRule is how to vote on the second Charleston; the zero StopRule leaves it to the player.
type StopRule uint8

const (
	// StopAlways votes to stop.
	StopAlways StopRule = 1 + iota
	// StopNever votes to go on.
	StopNever
	// StopWhenSpare votes to stop when the nearest hands leave few tiles to spare, and else to go on.
	StopWhenSpare
)

// RuleWords is the rules as they are written.
const RuleWords = "keep-flowers, keep=TILES, give=TILES, keep-multiples, one-of-each, no-pairs, together, blind=never|always|1|2|3, blind-when=0..3, " +
	"stop=always|never, stop-when=0..3, courtesy=0..3, joker-bait, spoil=2..1000, aim=HAND, aim nearest at deal|STEP, passes=PLAYER; those on the passing also at STEP, or when jokers|pairs|away|spare N..M"

// maxSpoil bounds spoil.
const maxSpoil = 1000

// Set adds a rule written as in "keep-flowers", "blind=never" or "courtesy=2"; an unknown one is an error that
// lists them.
func (r *Rules) Set(text string) error {
	key, value, _ := strings.Cut(text, "=")
	n, err := strconv.Atoi(value)
	number := func(low, high int) bool { return err == nil && low <= n && n <= high }
	switch {
	case text == "keep-flowers":
		r.KeepFlowers = true
	case text == "one-of-each":
		r.OneOfEach = true
	case text == "no-pairs":
		r.NoPairs = true
	case text == "keep-multiples":
		r.KeepMultiples = true
	case text == "together":
		r.Together = true
	case key == "keep":
		return readKinds(text, value, &r.Keep)
	case key == "give":
		return readKinds(text, value, &r.Give)
	case key == "spoil" && number(2, maxSpoil):
		r.SpoilOneIn = n
	case key == "stop-when" && number(0, charleston.PassTiles):
		r.Stop, r.StopSpare = StopWhenSpare, n
	case text == "joker-bait":
		r.JokerBait = true
	case text == "blind=never":
		r.Blind = BlindNever
	case text == "blind=always":
		r.Blind, r.BlindCount = BlindAlways, charleston.PassTiles
	case key == "blind" && number(1, charleston.PassTiles):
		r.Blind, r.BlindCount = BlindAlways, n
	case key == "blind-when" && number(0, charleston.PassTiles):
		r.Blind, r.BlindCount, r.BlindSpare = BlindWhenSpare, charleston.PassTiles, n
	case text == "stop=always":
		r.Stop = StopAlways
	case text == "stop=never":
		r.Stop = StopNever
	case key == "courtesy" && number(0, charleston.PassTiles):
		r.FixedCourtesy, r.Courtesy = true, n
	default:
		return fmt.Errorf("no rule %q; the rules are %s", text, RuleWords)
	}
	return nil
}

// readKinds reads the tiles of a rule keep or give.
func readKinds(rule, text string, into *uint64) error {
	kinds, err := tile.ParseList(text)
	if err == nil && len(kinds) == 0 {
		err = errors.New("no tiles")
	}
	if err != nil {
		return fmt.Errorf("the rule %s: %w; right would be tiles, as in keep=0 or give=F0", rule, err)
	}
	for _, k := range kinds {
		*into |= 1 << k
	}
	return nil
}

// may says whether a tile may go with those that go already, and left, which are the tiles that do not go yet.
func (r *Rules) may(going []tile.Kind, k tile.Kind, left *tile.Rack) bool {
	if r.KeepFlowers && k == tile.Flower || r.Keep>>k&1 == 1 {
		return false
	}
	if r.Give>>k&1 == 0 && anyNatural(left, func(k tile.Kind) bool { return r.Give>>k&1 == 1 }) {
		return false
	}
	suit, ranked := k.Suit()
	if r.OneOfEach && !ranked {
		return false
	}
	held := left[k]
	for _, other := range going {
		if r.NoPairs && other == k {
			return false
		}
		if s, _ := other.Suit(); r.OneOfEach && s == suit {
			return false
		}
		if other == k {
			held++
		}
	}
	if r.KeepMultiples && held >= 2 {
		return false
	}
	return !r.Together || goesTogether(going, k, left)
}

// goesTogether says whether a tile begins or makes a pair or two neighbours in one suit, or is the third.
func goesTogether(going []tile.Kind, k tile.Kind, left *tile.Rack) bool {
	switch len(going) {
	case 0:
		if left[k] >= 2 {
			return true
		}
		for other := range tile.Joker {
			if left[other] > 0 && neighbours(k, other) {
				return true
			}
		}
		return false
	case 1:
		return k == going[0] || neighbours(k, going[0])
	}
	return true
}

// neighbours says whether two tiles are of one suit and ranks next to each other.
func neighbours(a, b tile.Kind) bool {
	s, ranked := a.Suit()
	t, alsoRanked := b.Suit()
	return ranked && alsoRanked && s == t && (a.Rank() == b.Rank()+1 || b.Rank() == a.Rank()+1)
}

// boundsPasses says whether some rule asks which tiles go together.
func (r *Rules) boundsPasses() bool {
	return r.KeepFlowers || r.OneOfEach || r.NoPairs || r.Keep != 0 || r.Give != 0 || r.KeepMultiples || r.Together
}
