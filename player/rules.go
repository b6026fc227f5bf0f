package player

import (
	"fmt"
	"strconv"
	"strings"

	"secondpass/charleston"
	"secondpass/tile"
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
	// Blind says when to pass blind, where that is allowed; BlindCount how many tiles then, 1 to 3, and for
	// BlindWhenSpare BlindSpare, 0 to 3, the most tiles that the nearest hands can all do without.
	Blind                  BlindRule
	BlindCount, BlindSpare int
	// Stop says how to vote after the first left.
	Stop StopRule
	// FixedCourtesy: offer Courtesy tiles, 0 to 3.
	FixedCourtesy bool
	Courtesy      int
	// JokerBait: keep a spare pair while other tiles are spare, and discard from it once the wall
	// is short, so that the third copy may take a joker out of the group that somebody claims it for.
	JokerBait bool
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
)

// RuleWords is the rules as they are written.
const RuleWords = "keep-flowers, one-of-each, no-pairs, blind=never|always|1|2|3, blind-when=0..3, stop=always|never, courtesy=0..3, joker-bait, aim=HAND, passes=PLAYER"

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

// may says whether a tile may go with those that go already.
func (r *Rules) may(going []tile.Kind, k tile.Kind) bool {
	if r.KeepFlowers && k == tile.Flower {
		return false
	}
	suit, ranked := k.Suit()
	if r.OneOfEach && !ranked {
		return false
	}
	for _, other := range going {
		if r.NoPairs && other == k {
			return false
		}
		if s, _ := other.Suit(); r.OneOfEach && s == suit {
			return false
		}
	}
	return true
}

// boundsPasses says whether some rule asks which tiles go together.
func (r *Rules) boundsPasses() bool { return r.KeepFlowers || r.OneOfEach || r.NoPairs }
